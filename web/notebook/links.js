/**
 * The records that name a record: counted, and read in pages, so that a species seen ten thousand times is
 * no burden. Not for: the records themselves (`reading`).
 *
 * @typedef {import('./types.d.ts').Rec} Rec
 * @typedef {import('./notebook.js').Notebook} Notebook
 */

import { keyOf } from './merge.js';
import { refOf } from './rows.js';

/**
 * Count the records of a kind that name a record in a register; deleted ones are counted too.
 * @param {Notebook} notebook
 * @param {string} kind
 * @param {string} register
 * @param {string} id
 * @returns {Promise<number>}
 */
export async function countLinked(notebook, kind, register, id) {
  const db = await notebook.sync.means.store.db();
  return db.countFromIndex('record', 'refs', refOf(kind, register, id));
}

/**
 * Answer a page of them, the last made first (ids rise with the time they were made at).
 * @param {Notebook} notebook
 * @param {{kind: string, register: string, id: string}} link
 * @param {{limit: number, after?: string | undefined}} page after: the last id of the page before
 * @returns {Promise<{recs: Rec[], last: string | undefined, more: boolean}>}
 */
export async function linkedPage(notebook, { kind, register, id }, { limit, after }) {
  const db = await notebook.sync.means.store.db();
  const ref = refOf(kind, register, id);
  const keys = [];
  const index = db.transaction('record').store.index('refs');
  let at = await index.openKeyCursor(IDBKeyRange.only(ref), 'prev');
  if (at !== null && after !== undefined) {
    const key = keyOf(kind, after);
    // A cursor that stands there already must not be told to go there.
    if (String(at.primaryKey) > key) at = await at.continuePrimaryKey(ref, key);
    if (at !== null && String(at.primaryKey) === key) at = await at.continue();
  }
  while (at !== null && keys.length < limit) {
    keys.push(String(at.primaryKey));
    at = await at.continue();
  }
  const ids = keys.map((key) => key.slice(0, key.indexOf('/')));
  const found = await Promise.all(ids.map((one) => notebook.get(one)));
  const recs = found.filter((rec) => rec !== undefined && !rec.deleted);
  return { recs: /** @type {Rec[]} */ (recs), last: ids.at(-1) ?? after, more: at !== null };
}
