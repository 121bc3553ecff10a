/** The door to htm: templates for preact without a build step. */

import * as code from '../vendor/htm.js';
import { h } from './preact.js';

/** @typedef {import('preact').VNode<any>} VNode */

const htm = /** @type {typeof import('htm').default} */ (/** @type {{default: unknown}} */ (/** @type {unknown} */ (code)).default);

export const html = /** @type {(texts: TemplateStringsArray, ...values: unknown[]) => VNode} */ (
  /** @type {unknown} */ (htm.bind(h))
);
