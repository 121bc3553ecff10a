/**
 * Many heads and records at once within a transaction, read and written in bulk: one at a time takes
 * longer than all the rest. Not for: the rule itself (`merge`), or the form of the rows (`rows`).
 *
 * @typedef {import('./types.d.ts').Edit} Edit
 * @typedef {import('./kinds.js').Kinds} Kinds
 * @typedef {import('./merge.js').Held} Held
 * @typedef {import('./store.js').Database} Database
 * @typedef {import('./writing.js').Transaction} Transaction
 */

import { unwrap } from '../doors/idb.js';
import { applyTo, editOf, emptyHeld, keyOf } from './merge.js';
import { heldOf, recordRowOf } from './rows.js';
import { SAVING } from './store.js';
import { upcast } from './upcast.js';

/**
 * @template T
 * @param {Database} db
 * @param {(tx: Transaction) => Promise<T>} work
 * @returns {Promise<T>}
 */
export async function inOne(db, work) {
  // What the server has can be pulled again, so this need not wait for the disk.
  const tx = db.transaction(SAVING, 'readwrite', { durability: 'relaxed' });
  const done = tx.done;
  done.catch(() => {});
  try {
    const answer = await work(tx);
    await done;
    return answer;
  } catch (trouble) {
    try {
      tx.abort();
    } catch {
      // it has ended already
    }
    const cause = await done.then(() => trouble, (/** @type {unknown} */ why) => why);
    throw cause instanceof DOMException && cause.name === 'AbortError' ? trouble : cause;
  }
}

/**
 * Put many rows without a promise for each: what fails ends the transaction, which says so.
 * @template {'journal' | 'record'} N
 * @param {Transaction} tx
 * @param {N} name
 * @param {import('./store.js').Shape[N]['value'][]} rows
 */
export function putMany(tx, name, rows) {
  const store = unwrap(tx).objectStore(name);
  for (const row of rows) store.put(row);
}

/**
 * Get many rows by key, in one wait. Answers by position.
 * @template {'journal' | 'record'} N
 * @param {Transaction} tx
 * @param {N} name
 * @param {string[]} keys
 * @returns {Promise<(import('./store.js').Shape[N]['value'] | undefined)[]>}
 */
export function getMany(tx, name, keys) {
  if (keys.length === 0) return Promise.resolve([]);
  const store = unwrap(tx).objectStore(name);
  return new Promise((resolve, reject) => {
    const requests = keys.map((key) => store.get(key));
    // Requests of a transaction are answered in the order they were made.
    requests[requests.length - 1].onsuccess = () => resolve(requests.map((request) => request.result));
    for (const request of requests) request.onerror = () => reject(request.error);
  });
}

/**
 * Read what merging looks at; undefined for what this program cannot read, which is kept all the same.
 * @param {Kinds} kinds
 * @param {import('./types.d.ts').Change} change
 */
export function editIn(kinds, change) {
  try {
    return editOf(upcast(change, kinds.upcasts));
  } catch {
    return undefined;
  }
}

/**
 * @param {Transaction} tx
 * @param {Map<string, {kind: string, record: string}>} keys
 */
export async function heldRecords(tx, keys) {
  const names = [...keys.keys()];
  const rows = await getMany(tx, 'record', names);
  return new Map(names.map((key, place) => [key, heldOf(rows[place])]));
}

/**
 * @param {Transaction} tx
 * @param {Kinds} kinds
 * @param {Map<string, {kind: string, record: string}>} keys
 * @param {Map<string, Held>} records
 * @param {Map<string, number>} seqs
 */
export function putRecords(tx, kinds, keys, records, seqs) {
  const rows = [];
  for (const [key, held] of records) {
    const named = keys.get(key);
    if (named === undefined) continue;
    const row = recordRowOf(kinds, named.kind, named.record, held, seqs);
    // A record all of whose changes are parked has no head, and is not shown.
    if (Object.keys(row.heads).length === 0) void tx.objectStore('record').delete(key).catch(() => {});
    else rows.push(row);
  }
  putMany(tx, 'record', rows);
}

/**
 * Answer the heads of one record from its changes.
 * @param {Transaction} tx
 * @param {Kinds} kinds
 * @param {string} kind
 * @param {string} record
 * @param {Map<string, number>} seqs takes in the numbers of the changes
 */
export async function fromJournal(tx, kinds, kind, record, seqs) {
  const rows = await tx.objectStore('journal').index('record').getAll(record);
  const held = emptyHeld();
  const known = new Set();
  for (const row of rows) {
    const edit = row.parked === undefined ? editIn(kinds, row.change) : undefined;
    if (edit?.key !== keyOf(kind, record)) continue;
    if (row.seq !== undefined) seqs.set(row.id, row.seq);
    applyTo(held, edit, known);
    known.add(edit.id);
  }
  return held;
}
