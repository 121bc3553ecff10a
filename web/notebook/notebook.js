/**
 * The phone's notebook as the screens use it: records read and saved, undone, resolved; drafts and settings;
 * where everything stands. Opened once per page.
 * Not for: how it is kept (`store`, `writing`, `intake`), or any word on screen.
 *
 * @typedef {import('./types.d.ts').Wanted} Wanted
 * @typedef {import('./types.d.ts').Saved} Saved
 * @typedef {import('./types.d.ts').Undone} Undone
 * @typedef {import('./types.d.ts').Rec} Rec
 * @typedef {import('./types.d.ts').Told} Told
 * @typedef {import('./types.d.ts').NotebookState} NotebookState
 * @typedef {import('./types.d.ts').RuleTexts} RuleTexts
 * @typedef {import('./writing.js').Decided} Decided
 * @typedef {import('./writing.js').Transaction} Transaction
 *
 * @typedef {object} Options
 * @property {string} [name] of the database
 * @property {typeof fetch} [fetch]
 * @property {() => number} [now] the phone's clock [ms since 1970]
 * @property {RuleTexts} [rules] instead of asking the server for them
 * @property {boolean} [sync] false: only when asked
 * @property {boolean} [worker] false: the page takes in itself what is pulled
 * @property {() => void} [onBlocked] an older page must be closed first
 * @property {() => void} [onClosed] a newer page has taken over; this one must be loaded again
 */

import { Applier } from './applier.js';
import { newId } from './ids.js';
import { NO_JOURNEY } from './journey.js';
import { History } from './history.js';
import { Kinds } from './kinds.js';
import { blobOf, dropBlob, freeBlob, putBlob } from './photos.js';
import { Reading } from './reading.js';
import { shapeOf } from './remaking.js';
import { rescueFile } from './rescue.js';
import { rulesOf } from './rules.js';
import { Server } from './server.js';
import { deviceOf, persistOnce, standing } from './standing.js';
import { Store } from './store.js';
import { Sync } from './sync.js';
import { Tidings } from './tidings.js';
import { undoing } from './undoing.js';
import { check, write } from './writing.js';

export { NotSaved } from './writing.js';
export { StoreClosed } from './store.js';
export { NoRules } from './rules.js';

/**
 * Open the phone's notebook. Raises NoRules where this phone has never been near a server, StoreClosed
 * where the database is of a newer program.
 * @param {Options} [options]
 * @returns {Promise<Notebook>}
 */
export async function openNotebook(options = {}) {
  const { name = 'notebook', onBlocked, onClosed, fetch: fetcher = (...args) => fetch(...args) } = options;
  const store = new Store(name, { onBlocked, onClosed });
  const rules = options.rules ?? (await rulesOf(store, fetcher));
  const { device, born } = await deviceOf(store);
  const notebook = new Notebook(store, rules, device, born, { ...options, fetch: fetcher });
  await notebook.bringUpToDate();
  if (options.sync !== false) notebook.sync.start();
  return notebook;
}

export class Notebook {
  #store;
  #kinds;
  #reading;
  #history;
  #applier;
  #tidings;
  #server;
  #born;
  #now;

  /**
   * @param {Store} store
   * @param {RuleTexts} rules
   * @param {string} device
   * @param {import('./standing.js').Born} born
   * @param {Options & {fetch: typeof fetch}} options
   */
  constructor(store, rules, device, born, { fetch: fetcher, now = Date.now, worker }) {
    this.device = device;
    this.#store = store;
    this.#born = born;
    this.#now = now;
    this.#kinds = new Kinds(rules);
    this.#reading = new Reading(store, this.#kinds);
    this.#history = new History(store, this.#kinds, device, this.#reading);
    this.#tidings = new Tidings(store.name, {
      onHeard: () => this.#reading.forget(),
      onAsked: () => this.sync.asked(),
      onState: (state) => void this.#heard(state),
    });
    this.#applier = new Applier(store, rules, (kinds, records) => this.#tell(kinds, records), worker);
    this.#server = new Server(fetcher);
    this.sync = new Sync({ store, server: this.#server, applier: this.#applier, now }, this.#tidings, () =>
      this.#lookAgain(),
    );
  }

  /** Make heads and records again where their form or the schema has risen; learn what is backed up. */
  async bringUpToDate() {
    const db = await this.#store.db();
    const [shape, first] = await Promise.all([db.get('kv', 'shape'), db.count('journal')]);
    if (shape !== shapeOf(this.#kinds)) {
      if (first > 0) await this.#applier.ask('rebuild', {});
      else await db.put('kv', shapeOf(this.#kinds), 'shape');
    }
    await this.#learn();
  }

  // -- reading

  /** @param {string} kind @param {import('./reading.js').Which} [which] @returns {Promise<Rec[]>} */
  all(kind, which) {
    return this.#reading.all(kind, which);
  }

  /** @param {string} id @returns {Promise<Rec | undefined>} */
  get(id) {
    return this.#reading.get(id);
  }

  /** @param {string} kind @param {string} field @param {string} value @returns {Promise<Rec[]>} */
  byIndex(kind, field, value) {
    return this.#reading.byIndex(kind, field, value);
  }

  /** @param {string} kind @returns {Promise<number>} */
  count(kind) {
    return this.#reading.count(kind);
  }

  /** Answer what has been deleted, to bring it back. @returns {Promise<Rec[]>} */
  deleted() {
    return this.#reading.deleted();
  }

  /** @param {string} id */
  history(id) {
    return this.#history.of(id);
  }

  conflicts() {
    return this.#history.conflicts();
  }

  parked() {
    return this.#history.parked();
  }

  /** @param {Rec} rec */
  stateOf(rec) {
    return rec.state;
  }

  // -- saving

  /**
   * Save edits as one. Resolves when all of it is on this phone's disk; raises NotSaved, and then none of
   * it is; raises TypeError for edits that say nothing.
   * @param {Wanted[]} edits
   * @param {{label?: string, draft?: string}} [about] draft: the kept form that this Save does away with
   * @returns {Promise<Saved>}
   */
  async save(edits, about = {}) {
    check(edits);
    if (edits.length === 0) throw new TypeError('nothing is set; change at least one register');
    const { group, ids } = /** @type {Saved} */ (await this.#write(() => ({ wanted: edits }), about));
    void persistOnce();
    return { group, ids };
  }

  /**
   * Take back one Save by a new one. What was edited since is left alone, and named.
   * @param {string} group
   * @param {{label?: string}} [about]
   * @returns {Promise<Undone>}
   */
  async undo(group, about = {}) {
    /** @type {Undone['left']} */
    let left = [];
    const written = await this.#write(async (tx) => {
      const asked = await undoing(tx, this.#kinds, group);
      left = asked.left;
      return asked;
    }, about);
    return { group: written?.group, left };
  }

  /**
   * Settle a conflict: the value stands in the place of every head.
   * @param {string} record
   * @param {string} register
   * @param {any} value
   * @param {{label?: string}} [about]
   * @returns {Promise<Saved>}
   */
  async resolve(record, register, value, about = {}) {
    const rec = await this.get(record);
    if (rec === undefined) throw new TypeError('there is no such record here');
    const set = register === 'deleted' ? {} : { [register]: value };
    /** @type {Wanted} */
    const edit = { kind: rec.kind, record, set, resolve: true };
    if (register === 'deleted') edit[value ? 'remove' : 'restore'] = true;
    return this.save([edit], about);
  }

  /**
   * Put mended values in the place of a parked change, on the ground that it stood on.
   * @param {string} change the parked one's id
   * @param {Record<string, any>} set
   * @param {{label?: string}} [about]
   * @returns {Promise<Saved>}
   */
  async mend(change, set, about = {}) {
    check([{ kind: '', set }]);
    const decide = async (/** @type {Transaction} */ tx) => {
      const row = await tx.objectStore('journal').get(change);
      if (row?.parked === undefined) throw new TypeError('that change is not parked');
      const { kind, record, base } = row.change;
      const parked = { ...row.parked, settled: /** @type {const} */ ('mended') };
      return { wanted: [{ kind, record, set, base }], rows: [{ ...row, parked }] };
    };
    const { group, ids } = /** @type {Saved} */ (await this.#write(decide, about));
    return { group, ids };
  }

  /**
   * Let a parked change be: it stays in the history and is not asked about again.
   * @param {string} change
   */
  async setAside(change) {
    await this.#write(async (tx) => {
      const row = await tx.objectStore('journal').get(change);
      if (row?.parked === undefined) throw new TypeError('that change is not parked');
      return { wanted: [], rows: [{ ...row, parked: { ...row.parked, settled: 'set aside' } }] };
    }, {});
    this.#tell([], []);
  }

  /**
   * @param {(tx: Transaction) => Decided | Promise<Decided>} decide
   * @param {{label?: string, draft?: string}} about
   */
  async #write(decide, about) {
    const writer = { kinds: this.#kinds, device: this.device, now: this.#now, newId };
    const written = await write(await this.#store.db(), writer, decide, about);
    if (written !== null) {
      this.#tell(written.keys.map(({ kind }) => kind), written.ids);
      this.sync.soon();
    }
    return written;
  }

  // -- this phone only

  /** @param {string} name @returns {Promise<any>} */
  async draft(name) {
    return (await this.#store.db()).get('kv', `draft/${name}`);
  }

  /** @param {string} name @param {any} value */
  async keepDraft(name, value) {
    await (await this.#store.db()).put('kv', value, `draft/${name}`);
  }

  /** @param {string} name */
  async dropDraft(name) {
    await (await this.#store.db()).delete('kv', `draft/${name}`);
  }

  /** Answer the names of the forms that were left half-written. @returns {Promise<string[]>} */
  async drafts() {
    const keys = await (await this.#store.db()).getAllKeys('kv', IDBKeyRange.bound('draft/', 'draft0', false, true));
    return keys.map((key) => key.slice('draft/'.length));
  }

  /** @param {string} name @returns {Promise<any>} */
  async setting(name) {
    return (await this.#store.db()).get('kv', `setting/${name}`);
  }

  /** @param {string} name @param {any} value */
  async keepSetting(name, value) {
    await (await this.#store.db()).put('kv', value, `setting/${name}`);
  }

  // -- photos

  /** @param {ArrayBuffer} bytes @param {string} type @returns {Promise<string>} their SHA-256 */
  putBlob(bytes, type) {
    return putBlob(this.#store, bytes, type, this.#now());
  }

  /** @param {string} sha256 @returns {Promise<Blob | undefined>} */
  blob(sha256) {
    return blobOf(this.#store, sha256);
  }

  /**
   * Fetch bytes from the server and keep them. Raises ServerTrouble; Error where they are not what the hash
   * says.
   * @param {string} sha256
   * @returns {Promise<Blob>}
   */
  async fetchBlob(sha256) {
    const { bytes, type } = await this.#server.blob(sha256);
    const held = await putBlob(this.#store, bytes, type, this.#now(), { state: 'server' });
    if (held === sha256) return new Blob([bytes], { type });
    await dropBlob(this.#store, held);
    throw new Error('the server sent other bytes than those asked for');
  }

  /** Let go of bytes that are backed up; answers whether they were. @param {string} sha256 */
  freeBlob(sha256) {
    return freeBlob(this.#store, sha256);
  }

  /** Drop bytes that no record names. @param {string} sha256 */
  dropBlob(sha256) {
    return dropBlob(this.#store, sha256);
  }

  /** Write everything unsent into one file. @returns {Promise<Blob>} */
  async rescue() {
    return rescueFile(this.#store, this.device, this.#now());
  }

  // -- where everything stands

  /** @returns {Promise<NotebookState>} */
  state() {
    return standing(this.#store, this.#born, this.sync.state);
  }

  /** The person has read that this notebook is new or that the old one was lost. */
  async acknowledgeFresh() {
    this.#born = { ...this.#born, told: true };
    await (await this.#store.db()).put('kv', this.#born, 'born');
  }

  /**
   * Hear of every Save and every pull, here and in other pages; empty sets mean that only where things stand
   * has changed. The answer stops that.
   * @param {(told: Told) => void} listener
   */
  subscribe(listener) {
    return this.#tidings.subscribe(listener);
  }

  /** Close it, for tests and for pages that end. */
  close() {
    this.sync.stop();
    this.#applier.close();
    this.#tidings.close();
    this.#store.close();
  }

  /** @param {string[]} kinds @param {string[]} records */
  #tell(kinds, records) {
    this.#reading.forget();
    this.#tidings.tell(kinds, records);
  }

  async #lookAgain() {
    await this.#learn();
    this.#tell([], []);
  }

  /** @param {import('./types.d.ts').SyncState} state */
  async #heard(state) {
    if (state.phase !== 'syncing') await this.#learn();
    this.sync.hear(state);
  }

  async #learn() {
    const journey = (await (await this.#store.db()).get('kv', 'journey')) ?? NO_JOURNEY;
    this.#reading.durable_seq = journey.durable_seq;
  }
}
