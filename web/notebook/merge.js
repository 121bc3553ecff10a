/**
 * What a set of changes means: heads, the value shown, conflicts, hidden or not. Pure functions.
 *
 * The heads of a register are the changes that no other change names as its base; so the state is a
 * function of the set, and order, repetition and batching cannot matter. Conflicts come from versions,
 * never from clocks. Two forms that must agree: `states`, from scratch, is the rule itself; `applyTo`
 * takes one change at a time. Not for: judging a change, or keeping anything (`store`).
 *
 * @typedef {import('./types.d.ts').Edit} Edit
 * @typedef {import('./types.d.ts').Head} Head
 * @typedef {import('./types.d.ts').RecordState} RecordState
 * @typedef {import('./types.d.ts').Named} Named
 * @typedef {{heads: Map<string, Map<string, Head>>, awaited: Map<string, Set<string>>}} Held
 */

import { canonical } from './canonical.js';

/** The register that hides a record. */
export const DELETED = 'deleted';

/**
 * Name a record by id and kind: one id under two kinds is two records.
 * @param {string} kind
 * @param {string} record
 */
export function keyOf(kind, record) {
  return `${record}/${kind}`;
}

/**
 * Answer what merging looks at in a change lifted to the present schema.
 * @param {{id: string, kind: string, record: string, hlc: string, set: object, base: Named, seen?: Named}} change
 * @returns {Edit}
 */
export function editOf(change) {
  return {
    id: change.id,
    kind: change.kind,
    record: change.record,
    key: keyOf(change.kind, change.record),
    hlc: change.hlc,
    values: new Map(Object.entries(change.set).map(([name, value]) => [name, canonical(value)])),
    base: new Map(Object.entries(change.base)),
    seen: change.seen,
  };
}

/**
 * Answer the state of every record that a set of changes touches, from scratch, by key.
 * @param {Iterable<Edit>} edits
 * @returns {Map<string, RecordState>}
 */
export function states(edits) {
  const by_id = new Map(Array.from(edits, (edit) => [edit.id, edit]));
  const named = new Set();
  for (const edit of by_id.values()) {
    for (const name of edit.values.keys()) {
      for (const base of edit.base.get(name) ?? []) {
        if (base !== edit.id) named.add(`${edit.key} ${name} ${base}`);
      }
    }
  }
  /** @type {Map<string, Map<string, Head[]>>} */
  const records = new Map();
  for (const edit of by_id.values()) {
    const registers = entry(records, edit.key, () => new Map());
    for (const [name, value] of edit.values) {
      if (!named.has(`${edit.key} ${name} ${edit.id}`)) {
        entry(registers, name, () => /** @type {Head[]} */ ([])).push(headOf(edit, name, value));
      }
    }
  }
  return new Map(Array.from(records, ([key, registers]) => [key, stateOf(registers)]));
}

/**
 * Answer a record's state from the heads of its registers, in any order.
 * @param {Iterable<[string, Iterable<Head>]>} registers
 * @returns {RecordState}
 */
export function stateOf(registers) {
  /** @type {Map<string, Head[]>} */
  const heads = new Map();
  for (const [name, some] of registers) {
    const ranked = [...some].sort((one, other) => (isHigher(one, other) ? -1 : 1));
    if (ranked.length > 0) heads.set(name, ranked);
  }
  const conflicts = [...heads].filter(([, some]) => some.some((head) => head.value !== some[0].value));
  const deleting = heads.get(DELETED) ?? [];
  // A head that says false is an undo that no deleter had seen.
  let hidden = deleting.length > 0 && deleting.every((head) => head.value === 'true');
  if (hidden) {
    hidden = [...heads].every(
      ([name, some]) =>
        name === DELETED ||
        some.every((head) => deleting.some((one) => (one.seen?.[name] ?? []).includes(head.id))),
    );
  }
  return {
    heads,
    conflicts: conflicts.map(([name]) => name).sort(),
    hidden,
    badge: deleting.length > 0 && deleting[0].value === 'true' && !hidden,
  };
}

/**
 * Tell whether a head ranks above another: by stamp, then by id, compared as text.
 * @param {{hlc: string, id: string}} one
 * @param {{hlc: string, id: string}} other
 */
export function isHigher(one, other) {
  return one.hlc > other.hlc || (one.hlc === other.hlc && one.id > other.id);
}

/** @returns {Held} a record of which nothing is known */
export function emptyHeld() {
  return { heads: new Map(), awaited: new Map() };
}

/**
 * Take a change into its record, once. What was named as a base and has not come is awaited: when it
 * comes it is no head.
 * @param {Held} held
 * @param {Edit} edit
 * @param {{has(id: string): boolean}} known every change taken in before, of any record
 */
export function applyTo(held, edit, known) {
  for (const [name, value] of edit.values) {
    const heads = entry(held.heads, name, () => new Map());
    const awaited = held.awaited.get(name);
    if (!awaited?.delete(edit.id)) heads.set(edit.id, headOf(edit, name, value));
    for (const base of edit.base.get(name) ?? []) {
      if (base === edit.id) continue;
      if (!heads.delete(base) && !known.has(base)) entry(held.awaited, name, () => new Set()).add(base);
    }
  }
}

/**
 * @param {Edit} edit
 * @param {string} name
 * @param {string} value
 * @returns {Head}
 */
function headOf(edit, name, value) {
  const head = { id: edit.id, hlc: edit.hlc, value };
  return name === DELETED && edit.seen !== undefined ? { ...head, seen: edit.seen } : head;
}

/**
 * Answer the heads that stand on screen as one value: the one shown and every one equal to it.
 * @param {readonly Head[]} heads highest first
 * @returns {string[]}
 */
export function onScreen(heads) {
  return heads.filter((head) => head.value === heads[0].value).map((head) => head.id);
}

/**
 * Answer what an edit made now must name. `unsent` answers what a change without a seq names in this
 * register; an edit over such a head names that too, so that it still stands in the place of the older
 * value should the server quarantine the one between.
 * @param {Iterable<string>} ids the heads on screen
 * @param {(id: string) => Iterable<string> | undefined} unsent
 * @returns {string[]} in text order
 */
export function withWhatUnsentName(ids, unsent) {
  const names = new Set(ids);
  for (const id of [...names]) for (const base of unsent(id) ?? []) names.add(base);
  return [...names].sort();
}

/**
 * Answer the base of an edit: the head shown and every head of equal value, or `every` head (resolving,
 * and registers in which the last writer wins); and what the unsent among them name.
 * @param {readonly Head[]} heads highest first
 * @param {(id: string) => Iterable<string> | undefined} unsent
 * @param {boolean} [every]
 */
export function baseOfEdit(heads, unsent, every = false) {
  return withWhatUnsentName(every ? heads.map((head) => head.id) : onScreen(heads), unsent);
}

/**
 * Answer what a delete made now must carry: all heads of the other registers, and what the unsent ones
 * among them name.
 * @param {Iterable<[string, readonly {id: string}[]]>} heads
 * @param {(id: string, register: string) => Iterable<string> | undefined} unsent
 * @returns {Named}
 */
export function seenByDelete(heads, unsent) {
  /** @type {[string, string[]][]} */
  const seen = [];
  for (const [name, some] of heads) {
    if (name === DELETED || some.length === 0) continue;
    seen.push([name, withWhatUnsentName(some.map((head) => head.id), (id) => unsent(id, name))]);
  }
  return Object.fromEntries(seen);
}

/**
 * @template K, V
 * @param {Map<K, V>} map
 * @param {K} key
 * @param {() => V} make
 * @returns {V}
 */
function entry(map, key, make) {
  let found = map.get(key);
  if (found === undefined) {
    found = make();
    map.set(key, found);
  }
  return found;
}
