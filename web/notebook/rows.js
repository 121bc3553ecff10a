/**
 * The rows that stand in the phone's store, made from one another: a record with its heads and what is
 * shown of it, and a change in the journal. Pure functions; the page and the worker make the same rows.
 * Not for: transactions (`writing`, `intake`), or the rule itself (`merge`).
 *
 * @typedef {import('./types.d.ts').RecordRow} RecordRow
 * @typedef {import('./types.d.ts').Head} Head
 * @typedef {import('./types.d.ts').KeptHead} KeptHead
 * @typedef {import('./types.d.ts').Named} Named
 * @typedef {import('./types.d.ts').Change} Change
 * @typedef {import('./types.d.ts').JournalRow} JournalRow
 * @typedef {import('./kinds.js').Kinds} Kinds
 * @typedef {import('./merge.js').Held} Held
 */

import { canonical } from './canonical.js';
import { DELETED, keyOf, stateOf } from './merge.js';
import { stampMs } from './stamp.js';

/** Raised when rows are made otherwise than before: they are then made again from the journal. */
export const ROWS = 1;

/**
 * Answer a record's heads by register, highest first.
 * @param {RecordRow | undefined} row
 * @returns {[string, Head[]][]}
 */
export function headsOf(row) {
  return Object.entries(row?.heads ?? {}).map(([name, kept]) => {
    const value = canonical(row?.values[name] ?? null);
    return [name, kept.map((head) => ({ ...head, value: head.value ?? value }))];
  });
}

/**
 * Answer a record's heads as merging takes changes into them.
 * @param {RecordRow | undefined} row
 * @returns {Held}
 */
export function heldOf(row) {
  return {
    heads: new Map(headsOf(row).map(([name, heads]) => [name, new Map(heads.map((head) => [head.id, head]))])),
    awaited: new Map(Object.entries(row?.awaited ?? {}).map(([name, ids]) => [name, new Set(ids)])),
  };
}

/**
 * Answer the row of a record, with what its indexes look at; `seqs` gives the numbers of those newly come.
 * @param {Kinds} kinds
 * @param {string} kind
 * @param {string} id
 * @param {Held} held
 * @param {{get(id: string): number | undefined}} [seqs]
 * @returns {RecordRow}
 */
export function recordRowOf(kinds, kind, id, held, seqs = new Map()) {
  const state = stateOf(Array.from(held.heads, ([name, some]) => [name, some.values()]));
  /** @type {[string, any][]} */
  const shown = [];
  /** @type {[string, KeptHead[]][]} */
  const heads = [];
  /** @type {number | undefined} */
  let seq = 0;
  let hlc = '';
  for (const [name, some] of state.heads) {
    const value = JSON.parse(some[0].value);
    if (name !== DELETED && value !== null) shown.push([name, value]);
    if (some[0].hlc > hlc) hlc = some[0].hlc;
    const kept = some.map((head) => keptHeadOf(head, name === DELETED ? '' : some[0].value, seqs.get(head.id)));
    for (const head of kept) seq = seq === undefined || head.seq === undefined ? undefined : Math.max(seq, head.seq);
    heads.push([name, kept]);
  }
  const values = Object.fromEntries(shown);
  const when = kinds.timeOf(kind, values) ?? (hlc === '' ? 0 : stampMs(hlc));
  /** @type {RecordRow} */
  const made = {
    key: keyOf(kind, id),
    kind,
    id,
    values,
    heads: Object.fromEntries(heads),
    conflict_count: state.conflicts.length,
    deleted: state.hidden,
    edited_after_delete: state.badge,
    hlc,
    when,
    refs: refsOf(kinds, kind, values),
  };
  const awaited = [...held.awaited].filter(([, ids]) => ids.size > 0);
  if (awaited.length > 0) made.awaited = Object.fromEntries(awaited.map(([name, ids]) => [name, [...ids].sort()]));
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
 * Answer a head as it is kept: a value that is shown is not kept twice.
 * @param {Head} head
 * @param {string} shown
 * @param {number | undefined} seq
 * @returns {KeptHead}
 */
function keptHeadOf(head, shown, seq = head.seq) {
  /** @type {KeptHead} */
  const kept = { id: head.id, hlc: head.hlc };
  if (head.value !== shown) kept.value = head.value;
  if (head.seen !== undefined) kept.seen = head.seen;
  if (seq !== undefined) kept.seq = seq;
  return kept;
}

/**
 * Answer the ids of all heads, and of those that are equal to the value shown.
 * @param {RecordRow} row
 * @returns {{heads: Named, screen: Named}}
 */
export function namesOf(row) {
  const names = Object.entries(row.heads);
  return {
    heads: Object.fromEntries(names.map(([name, some]) => [name, some.map((head) => head.id)])),
    screen: Object.fromEntries(
      names.map(([name, some]) => [
        name,
        some.filter((head) => head.value === some[0].value).map((head) => head.id),
      ]),
    ),
  };
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
