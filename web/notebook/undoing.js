/**
 * What taking back a Save asks for. A record that the Save made is deleted; a register gets back the
 * value that stood before; a register in which the Save's change is not shown any more is left alone.
 * Not for: writing it (`writing`).
 *
 * @typedef {import('./types.d.ts').Change} Change
 * @typedef {import('./types.d.ts').JournalRow} JournalRow
 * @typedef {import('./types.d.ts').RecordRow} RecordRow
 * @typedef {import('./types.d.ts').Wanted} Wanted
 * @typedef {import('./types.d.ts').Undone} Undone
 * @typedef {import('./kinds.js').Kinds} Kinds
 * @typedef {import('./writing.js').Transaction} Transaction
 */

import { DELETED, isHigher, keyOf, stateOf } from './merge.js';
import { headsOf } from './rows.js';
import { upcast } from './upcast.js';

/**
 * Work out what takes back one Save.
 * @param {Transaction} tx
 * @param {Kinds} kinds
 * @param {string} group
 * @returns {Promise<{wanted: Wanted[], left: Undone['left']}>}
 */
export async function undoing(tx, kinds, group) {
  const rows = await tx.objectStore('journal').index('group').getAll(group);
  if (rows.length === 0) throw new TypeError('there is no Save of that id here; look it up in the history');
  /** @type {Map<string, Map<string, {row: JournalRow, change: Change}>>} */
  const by_key = new Map();
  for (const row of rows.filter((one) => one.parked === undefined)) {
    const change = upcast(row.change, kinds.upcasts);
    const key = keyOf(change.kind, change.record);
    by_key.set(key, (by_key.get(key) ?? new Map()).set(row.id, { row, change }));
  }
  const wanted = [];
  const left = [];
  for (const [key, mine] of by_key) {
    const row = await tx.objectStore('record').get(key);
    if (row === undefined) continue;
    const asked = await undoingOne(tx, kinds, row, mine);
    left.push(...asked.left);
    if (asked.wanted !== null) wanted.push(asked.wanted);
  }
  return { wanted, left };
}

/**
 * @param {Transaction} tx
 * @param {Kinds} kinds
 * @param {RecordRow} row
 * @param {Map<string, {row: JournalRow, change: Change}>} mine
 * @returns {Promise<{wanted: Wanted | null, left: Undone['left']}>}
 */
async function undoingOne(tx, kinds, row, mine) {
  const { kind, id: record } = row;
  const state = stateOf(headsOf(row));
  if (await madeBy(tx, kind, record, mine)) {
    return { wanted: state.hidden ? null : { kind, record, remove: true }, left: [] };
  }
  /** @type {Undone['left']} */
  const left = [];
  /** @type {Map<string, any>} */
  const back = new Map();
  const registers = new Set([...mine.values()].flatMap(({ change }) => Object.keys(change.set)));
  for (const register of [...registers].sort()) {
    const shown = state.heads.get(register)?.[0];
    if (shown === undefined || !mine.has(shown.id)) left.push({ kind, record, register });
    else back.set(register, await before(tx, kinds, register, shown.id, mine));
  }
  const deleted = back.get(DELETED);
  back.delete(DELETED);
  if (back.size === 0 && deleted === undefined) return { wanted: null, left };
  /** @type {Wanted} */
  const wanted = { kind, record, set: Object.fromEntries(back) };
  if (deleted === true) wanted.remove = true;
  if (deleted === false) wanted.restore = true;
  return { wanted, left };
}

/**
 * Tell whether a record has its first change in this Save, and none that stood before.
 * @param {Transaction} tx
 * @param {string} kind
 * @param {string} record
 * @param {Map<string, {row: JournalRow, change: Change}>} mine
 */
async function madeBy(tx, kind, record, mine) {
  const changes = [...mine.values()];
  const outside = changes.some(({ change }) => Object.values(change.base).flat().some((id) => !mine.has(id)));
  if (outside) return false;
  if (changes.some(({ row }) => row.makes)) return true;
  const rows = await tx.objectStore('journal').index('record').getAll(record);
  const lowest = changes.map(({ change }) => change).sort((one, other) => (isHigher(one, other) ? 1 : -1))[0];
  return rows.every((row) => row.change.kind !== kind || mine.has(row.id) || isHigher(row.change, lowest));
}

/**
 * Answer the value of a register before a Save: the highest of what its first change there named.
 * @param {Transaction} tx
 * @param {Kinds} kinds
 * @param {string} register
 * @param {string} shown
 * @param {Map<string, {row: JournalRow, change: Change}>} mine
 * @returns {Promise<any>}
 */
async function before(tx, kinds, register, shown, mine) {
  const bases = new Set();
  const ways = [shown];
  for (let id = ways.pop(); id !== undefined; id = ways.pop()) {
    for (const base of mine.get(id)?.change.base[register] ?? []) {
      if (mine.has(base) && !bases.has(base)) ways.push(base);
      bases.add(base);
    }
  }
  const ids = [...bases].filter((id) => !mine.has(id));
  const rows = await Promise.all(ids.map((id) => tx.objectStore('journal').get(id)));
  const stood = rows
    .flatMap((row) => (row === undefined || row.parked ? [] : [upcast(row.change, kinds.upcasts)]))
    .filter((change) => Object.hasOwn(change.set, register))
    .sort((one, other) => (isHigher(one, other) ? -1 : 1));
  if (stood.length === 0) return register === DELETED ? false : null;
  return stood[0].set[register];
}
