/** The door to idb: IndexedDB with promises. */

import * as code from '../vendor/idb.js';

export const { openDB, unwrap } = /** @type {typeof import('idb')} */ (/** @type {unknown} */ (code));
