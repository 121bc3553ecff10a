/**
 * A Save: what a person wants turned into changes, kept in ONE transaction with the heads and records
 * that they make. Nothing but the database is awaited inside it. Resolves when the browser has said
 * that everything is on the disk, and not before.
 * Not for: changes that others made (`intake`), or what an undo asks for (`undoing`).
 *
 * @typedef {import('./types.d.ts').Wanted} Wanted
 * @typedef {import('./types.d.ts').Change} Change
 * @typedef {import('./types.d.ts').JournalRow} JournalRow
 * @typedef {import('./types.d.ts').RecordRow} RecordRow
 * @typedef {import('./types.d.ts').Named} Named
 * @typedef {import('./store.js').Database} Database
 * @typedef {import('./kinds.js').Kinds} Kinds
 * @typedef {('journal' | 'record' | 'kv')[]} Saving
 * @typedef {import('idb').IDBPTransaction<import('./store.js').Stores, Saving, 'readwrite'>} Transaction
 * @typedef {Wanted & {base?: Named}} Asked
 * @typedef {{wanted: Asked[], rows?: JournalRow[]}} Decided rows: further rows of the journal to write
 * @typedef {{kinds: Kinds, device: string, now: () => number, newId: (now_ms: number) => string}} Writer
 * @typedef {{group: string, ids: string[], keys: {kind: string, record: string}[], changes: Change[]}} Written
 */

import { canonical } from './canonical.js';
import { DELETED, applyTo, baseOfEdit, editOf, keyOf, seenByDelete, withWhatUnsentName } from './merge.js';
import { headsOf, heldOf, journalRowOf, recordRowOf } from './rows.js';
import { stampAfter } from './stamp.js';
import { SAVING, StoreClosed } from './store.js';

/** Nothing of a Save was kept. `reason`: the disk is full, the store is closed, or a fault. */
export class NotSaved extends Error {
  /**
   * @param {'full' | 'closed' | 'fault'} reason
   * @param {unknown} cause
   */
  constructor(reason, cause) {
    super(`Nothing was saved (${reason}).`, { cause });
    this.name = 'NotSaved';
    this.reason = reason;
  }
}

/**
 * Answer a failed write as a NotSaved.
 * @param {unknown} trouble
 */
export function notSaved(trouble) {
  if (trouble instanceof NotSaved || trouble instanceof TypeError) return trouble;
  if (trouble instanceof StoreClosed) return new NotSaved('closed', trouble);
  const full = trouble instanceof DOMException && trouble.name === 'QuotaExceededError';
  return new NotSaved(full ? 'full' : 'fault', trouble);
}

/**
 * Keep one Save: all of it or, with an error, none.
 * @param {Database} db
 * @param {Writer} writer
 * @param {(tx: Transaction) => Decided | Promise<Decided>} decide looks things up in the same transaction
 * @param {{label?: string, draft?: string}} [about] draft: a kept form that this Save does away with
 * @returns {Promise<Written | null>} null where nothing was wanted
 */
export async function write(db, writer, decide, { label, draft } = {}) {
  const tx = db.transaction(SAVING, 'readwrite', { durability: 'strict' });
  const done = tx.done;
  done.catch(() => {});
  try {
    const { wanted, rows = [] } = await decide(tx);
    const written = wanted.length > 0 ? await changesOf(tx, writer, wanted) : null;
    /** @type {Promise<unknown>[]} */
    const puts = rows.map((row) => tx.objectStore('journal').put(row));
    if (written !== null) puts.push(...(await putAll(tx, writer.kinds, written, label)));
    if (draft !== undefined) await tx.objectStore('kv').delete(`draft/${draft}`);
    await Promise.all([...puts, done]);
    return written;
  } catch (trouble) {
    try {
      tx.abort();
    } catch {
      // it has ended already
    }
    const cause = await done.then(() => trouble, (/** @type {unknown} */ why) => why);
    const aborted_here = cause instanceof DOMException && cause.name === 'AbortError';
    throw notSaved(aborted_here ? trouble : cause);
  }
}

/**
 * Refuse what cannot be kept, before a transaction is opened for it.
 * @param {Asked[]} wanted
 */
export function check(wanted) {
  const keys = new Set();
  for (const one of wanted) {
    canonical(one.set ?? {});
    if (Object.keys(one.set ?? {}).length === 0 && !one.remove && !one.restore) {
      throw new TypeError('nothing is set; change at least one register');
    }
    if (one.record === undefined) continue;
    const key = keyOf(one.kind, one.record);
    if (keys.has(key)) throw new TypeError('the same record stands twice in one Save; put its edits together');
    keys.add(key);
  }
}

/**
 * @param {Transaction} tx
 * @param {Writer} writer
 * @param {Asked[]} wanted
 * @returns {Promise<Written & {rows: Map<string, RecordRow | undefined>}>}
 */
async function changesOf(tx, writer, wanted) {
  const now_ms = writer.now();
  const asked = wanted.map((one) => ({ ...one, record: one.record ?? writer.newId(now_ms) }));
  const keys = asked.map((one) => keyOf(one.kind, one.record));
  const [last, journey, ...found] = await Promise.all([
    tx.objectStore('kv').get('device_seq'),
    tx.objectStore('kv').get('journey'),
    ...keys.map((key) => tx.objectStore('record').get(key)),
  ]);
  const rows = new Map(keys.map((key, place) => [key, found[place]]));
  const unsent = await unsentOf(tx, asked, rows);
  const group = writer.newId(now_ms);
  let device_seq = last ?? 0;
  const changes = asked.map((one) => {
    device_seq += 1;
    return changeOf(one, rows.get(keyOf(one.kind, one.record)), unsent, writer, {
      device_seq,
      group,
      now_ms,
      offset_ms: journey?.offset_ms ?? 0,
    });
  });
  await tx.objectStore('kv').put(device_seq, 'device_seq');
  return {
    group,
    ids: asked.map((one) => one.record),
    keys: asked.map(({ kind, record }) => ({ kind, record })),
    changes,
    rows,
  };
}

/**
 * Answer what the changes without a seq name, among all that the edits may stand on.
 * @param {Transaction} tx
 * @param {(Asked & {record: string})[]} asked
 * @param {Map<string, RecordRow | undefined>} rows
 * @returns {Promise<(id: string, register: string) => string[] | undefined>}
 */
async function unsentOf(tx, asked, rows) {
  const ids = new Set();
  for (const one of asked) {
    for (const heads of Object.values(rows.get(keyOf(one.kind, one.record))?.heads ?? {})) {
      for (const head of heads) if (head.seq === undefined) ids.add(head.id);
    }
    for (const some of Object.values(one.over?.heads ?? {})) for (const id of some) ids.add(id);
  }
  const looked_up = await Promise.all([...ids].map((id) => tx.objectStore('journal').get(id)));
  const bases = new Map(
    looked_up.flatMap((row) => (row === undefined || row.seq !== undefined ? [] : [[row.id, row.change.base]])),
  );
  return (id, register) => bases.get(id)?.[register];
}

/**
 * @param {Asked & {record: string}} one
 * @param {RecordRow | undefined} row
 * @param {(id: string, register: string) => string[] | undefined} unsent
 * @param {Writer} writer
 * @param {{device_seq: number, group: string, now_ms: number, offset_ms: number}} about
 * @returns {Change}
 */
function changeOf(one, row, unsent, writer, { device_seq, group, now_ms, offset_ms }) {
  const { kind, record } = one;
  const set = { ...one.set };
  if (one.remove || one.restore) set[DELETED] = one.remove === true;
  const names = Object.keys(set);
  const heads = new Map(headsOf(row));
  const headsIn = (/** @type {string} */ name) => heads.get(name) ?? [];
  const base = names.map((name) => {
    const of_register = (/** @type {string} */ id) => unsent(id, name);
    const every = one.resolve === true || writer.kinds.lastWriterWins(kind, name);
    const given = one.base?.[name];
    if (given !== undefined) return [name, [...given]];
    if (one.over === undefined) return [name, baseOfEdit(headsIn(name), of_register, every)];
    const known = every ? headsIn(name).map((head) => head.id) : [];
    const seen = (every ? one.over.heads : one.over.screen)[name] ?? [];
    return [name, withWhatUnsentName([...known, ...seen], of_register)];
  });
  /** @type {Change} */
  const change = {
    id: writer.newId(now_ms),
    device: writer.device,
    device_seq,
    record,
    kind,
    set,
    base: Object.fromEntries(base),
    hlc: stampAfter(
      now_ms,
      offset_ms,
      names.flatMap((name) => headsIn(name).map((head) => head.hlc)),
      writer.device,
    ),
    wall: Math.max(Math.floor(now_ms), 0),
    tz_min: -new Date(now_ms).getTimezoneOffset(),
    schema: writer.kinds.schema,
    group,
  };
  if (one.remove) {
    /** @type {[string, {id: string}[]][]} */
    const seen =
      one.over === undefined
        ? [...heads]
        : Object.entries(one.over.heads).map(([name, ids]) => [name, ids.map((id) => ({ id }))]);
    change.seen = seenByDelete(seen, unsent);
  }
  return change;
}

/**
 * @param {Transaction} tx
 * @param {Kinds} kinds
 * @param {Written & {rows: Map<string, RecordRow | undefined>}} written
 * @param {string | undefined} label
 * @returns {Promise<Promise<unknown>[]>}
 */
async function putAll(tx, kinds, { changes, rows }, label) {
  const known = await knownOf(tx, changes, rows);
  /** @type {Promise<unknown>[]} */
  const puts = [];
  for (const change of changes) {
    const edit = editOf(change);
    const row = rows.get(edit.key);
    const held = heldOf(row);
    applyTo(held, edit, known);
    const about = { label, makes: row === undefined };
    puts.push(
      tx.objectStore('journal').add(journalRowOf(change, about)),
      tx.objectStore('record').put(recordRowOf(kinds, change.kind, change.record, held)),
    );
  }
  return puts;
}

/**
 * Answer which of the changes named as bases were taken in before; a parked one was not.
 * @param {Transaction} tx
 * @param {Change[]} changes
 * @param {Map<string, RecordRow | undefined>} rows
 */
async function knownOf(tx, changes, rows) {
  const named = new Set();
  const heads = new Set();
  for (const row of rows.values()) {
    for (const some of Object.values(row?.heads ?? {})) for (const head of some) heads.add(head.id);
  }
  for (const change of changes) {
    for (const ids of Object.values(change.base)) for (const id of ids) if (!heads.has(id)) named.add(id);
  }
  const looked_up = await Promise.all([...named].map((id) => tx.objectStore('journal').get(id)));
  return new Set([...heads, ...looked_up.flatMap((row) => (row === undefined || row.parked ? [] : [row.id]))]);
}
