/**
 * The rows that stand in the phone's store, made from one another: a record's heads, and the record as
 * it is shown. Pure functions; the page and the worker make the same rows.
 * Not for: transactions (`writing`, `intake`), or the rule itself (`merge`).
 *
 * @typedef {import('./types.d.ts').HeadRow} HeadRow
 * @typedef {import('./types.d.ts').RecordRow} RecordRow
 * @typedef {import('./types.d.ts').Head} Head
 * @typedef {import('./types.d.ts').Change} Change
 * @typedef {import('./types.d.ts').JournalRow} JournalRow
 * @typedef {import('./kinds.js').Kinds} Kinds
 * @typedef {import('./merge.js').Held} Held
 */

import { DELETED, emptyHeld, keyOf, onScreen, stateOf } from './merge.js';
import { stampMs } from './stamp.js';

/** Raised when rows are made otherwise than before: they are then made again from the journal. */
export const ROWS = 1;

/**
 * Answer a record's heads as merging takes changes into them.
 * @param {HeadRow | undefined} row
 * @returns {Held}
 */
export function heldOf(row) {
  if (row === undefined) return emptyHeld();
  return {
    heads: new Map(
      Object.entries(row.heads).map(([name, heads]) => [name, new Map(heads.map((head) => [head.id, head]))]),
    ),
    awaited: new Map(Object.entries(row.awaited).map(([name, ids]) => [name, new Set(ids)])),
  };
}

/**
 * Answer the row of a record's heads; `seqs` gives the numbers of those newly come.
 * @param {string} kind
 * @param {string} record
 * @param {Held} held
 * @param {{get(id: string): number | undefined}} seqs
 * @returns {HeadRow}
 */
export function headRowOf(kind, record, held, seqs) {
  const { heads } = stateOf(Array.from(held.heads, ([name, some]) => [name, some.values()]));
  return {
    key: keyOf(kind, record),
    kind,
    record,
    heads: Object.fromEntries(
      Array.from(heads, ([name, some]) => [
        name,
        some.map((head) => {
          const seq = seqs.get(head.id) ?? head.seq;
          return seq === undefined ? head : { ...head, seq };
        }),
      ]),
    ),
    awaited: Object.fromEntries(
      Array.from(held.awaited, ([name, ids]) => /** @type {const} */ ([name, [...ids].sort()])).filter(
        ([, ids]) => ids.length > 0,
      ),
    ),
  };
}

/**
 * Answer the record as it is shown, with what its indexes look at.
 * @param {Kinds} kinds
 * @param {HeadRow} row
 * @returns {RecordRow}
 */
export function recordRowOf(kinds, row) {
  const { kind, record: id } = row;
  const state = stateOf(Object.entries(row.heads));
  /** @type {[string, any][]} */
  const shown = [];
  /** @type {number | undefined} */
  let seq = 0;
  let hlc = '';
  for (const [name, heads] of state.heads) {
    const value = JSON.parse(heads[0].value);
    if (name !== DELETED && value !== null) shown.push([name, value]);
    if (heads[0].hlc > hlc) hlc = heads[0].hlc;
    for (const head of heads) seq = seq === undefined || head.seq === undefined ? undefined : Math.max(seq, head.seq);
  }
  const values = Object.fromEntries(shown);
  const when = kinds.timeOf(kind, values) ?? (hlc === '' ? 0 : stampMs(hlc));
  const names = [...state.heads];
  /** @type {RecordRow} */
  const made = {
    key: row.key,
    kind,
    id,
    values,
    heads: Object.fromEntries(names.map(([name, heads]) => [name, heads.map((head) => head.id)])),
    screen: Object.fromEntries(names.map(([name, heads]) => [name, onScreen(heads)])),
    conflict_count: state.conflicts.length,
    deleted: state.hidden,
    edited_after_delete: state.badge,
    hlc,
    when,
    refs: refsOf(kinds, kind, values),
  };
  if (seq !== undefined) made.seq = seq;
  if (typeof values.blob === 'string') made.blob = values.blob;
  if (state.conflicts.length > 0) made.conflicted = 1;
  if (state.hidden) {
    made.hidden = kind;
  } else {
    made.shown = [kind, when, id];
    if (typeof values.site === 'string') made.shown_at = [kind, values.site, when, id];
  }
  return made;
}

/**
 * Write a link as the index of links has it.
 * @param {string} kind
 * @param {string} register
 * @param {string} id
 */
export function refOf(kind, register, id) {
  return `${kind}.${register}=${id}`;
}

/**
 * @param {Kinds} kinds
 * @param {string} kind
 * @param {Record<string, any>} values
 */
function refsOf(kinds, kind, values) {
  const refs = new Set();
  for (const register of kinds.links.get(kind)?.keys() ?? []) {
    const value = values[register];
    for (const id of Array.isArray(value) ? value : [value]) {
      if (typeof id === 'string') refs.add(refOf(kind, register, id));
    }
  }
  return [...refs];
}

/**
 * Answer the journal's row of a change made here or come from the server.
 * @param {Change} change
 * @param {{seq?: number, label?: string, makes?: boolean}} about
 * @returns {JournalRow}
 */
export function journalRowOf(change, { seq, label, makes }) {
  /** @type {JournalRow} */
  const row = { id: change.id, record: change.record, change };
  if (change.group !== undefined) row.group = change.group;
  if (seq === undefined) row.unsent = change.device_seq;
  else row.seq = seq;
  if (label !== undefined) row.label = label;
  if (makes) row.makes = true;
  return row;
}
