/** The door to canonicalize: JSON in its one canonical form (RFC 8785). */

import * as code from '../vendor/canonicalize.js';

export const canonicalize = /** @type {typeof import('canonicalize').default} */ (
  /** @type {{default: unknown}} */ (/** @type {unknown} */ (code)).default
);
