/**
 * The whole store gone through once: heads and records made again from the journal, or every seq
 * forgotten because the server's journal is another. Both may be done twice.
 * Not for: taking in changes (`intake`).
 *
 * @typedef {import('./types.d.ts').JournalRow} JournalRow
 * @typedef {import('./types.d.ts').RecordRow} RecordRow
 * @typedef {import('./types.d.ts').KeptHead} KeptHead
 * @typedef {import('./kinds.js').Kinds} Kinds
 * @typedef {import('./store.js').Database} Database
 */

import { putJourney } from './journey.js';
import { applyTo, emptyHeld } from './merge.js';
import { editIn, inOne, putMany, putRecords } from './records.js';
import { ROWS } from './rows.js';

const PAGE = 500;

/**
 * Forget every seq, for the server's journal is another: a seq means nothing in another epoch. What was
 * in neither outbox nor quarantine stands in the outbox again until the offer is answered.
 * @param {Database} db
 */
export async function forgetSeqs(db) {
  await inOne(db, (tx) => putJourney(tx, { restart: true, cursor: null, furthest: null }));
  await eachPage(db, 'journal', (/** @type {JournalRow} */ row) => {
    if (row.seq === undefined) return null;
    const { seq: _, ...rest } = row;
    return row.parked === undefined ? { ...rest, unsent: row.change.device_seq } : rest;
  });
  await eachPage(db, 'record', (/** @type {RecordRow} */ { seq: _, ...row }) => {
    const without = (/** @type {KeptHead} */ { seq: __, ...head }) => head;
    const heads = Object.entries(row.heads).map(([name, some]) => [name, some.map(without)]);
    return { ...row, heads: Object.fromEntries(heads) };
  });
}

/**
 * Make heads and records again from the journal alone, where the schema or the rows' form has risen. In
 * one transaction: a Save that saw half of the heads would name the wrong ones.
 * @param {Database} db
 * @param {Kinds} kinds
 */
export async function rebuild(db, kinds) {
  await inOne(db, async (tx) => {
    const rows = (await tx.objectStore('journal').getAll()).filter((row) => row.parked === undefined);
    const records = new Map();
    const keys = new Map();
    const seqs = new Map();
    const known = new Set();
    for (const row of rows) {
      const edit = editIn(kinds, row.change);
      if (edit === undefined) continue;
      if (row.seq !== undefined) seqs.set(row.id, row.seq);
      if (!records.has(edit.key)) records.set(edit.key, emptyHeld());
      keys.set(edit.key, edit);
      applyTo(records.get(edit.key), edit, known);
      known.add(edit.id);
    }
    await tx.objectStore('record').clear();
    putRecords(tx, kinds, keys, records, seqs);
    await tx.objectStore('kv').put(shapeOf(kinds), 'shape');
  });
}

/**
 * Name the form that heads and records have here.
 * @param {Kinds} kinds
 */
export function shapeOf(kinds) {
  return `${kinds.schema}.${ROWS}`;
}

/**
 * Go through a store a page at a time, writing back the rows for which there is an answer.
 * @param {Database} db
 * @param {'journal' | 'record'} name
 * @param {(row: any) => any} changed
 */
async function eachPage(db, name, changed) {
  /** @type {string | undefined} */
  let last;
  for (let going = true; going; ) {
    going = await inOne(db, async (tx) => {
      const store = tx.objectStore(name);
      const range = last === undefined ? null : IDBKeyRange.lowerBound(last, true);
      const rows = /** @type {any[]} */ (await store.getAll(range, PAGE));
      putMany(tx, name, rows.map(changed).filter((row) => row !== null));
      if (rows.length > 0) last = rows[rows.length - 1][name === 'journal' ? 'id' : 'key'];
      return rows.length === PAGE;
    });
  }
}
