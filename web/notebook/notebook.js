/**
 * The phone's notebook as the screens use it: records read and saved, undone, resolved; drafts and settings;
 * where everything stands. Opened once per page.
 * Not for: how it is kept (`store`, `writing`, `intake`), or any word on screen.
 *
 * @typedef {import('./types.d.ts').Wanted} Wanted
 * @typedef {import('./types.d.ts').Saved} Saved
 * @typedef {import('./types.d.ts').Rec} Rec
 * @typedef {import('./types.d.ts').RuleTexts} RuleTexts
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
import { Keeping } from './keeping.js';
import { Kinds } from './kinds.js';
import { blobOf, dropBlob, fetchBlob, freeBlob, putBlob } from './photos.js';
import { Reading } from './reading.js';
import { shapeOf } from './remaking.js';
import { rescueFile } from './rescue.js';
import { rulesOf } from './rules.js';
import { Server } from './server.js';
import { Saving } from './saving.js';
import { deviceOf, standing } from './standing.js';
import { Store } from './store.js';
import { Sync } from './sync.js';
import { Tidings } from './tidings.js';

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
  const [rules, { device, born }] = await Promise.all([options.rules ?? rulesOf(store, fetcher), deviceOf(store)]);
  const notebook = new Notebook(store, rules, device, born, { ...options, fetch: fetcher });
  await notebook.bringUpToDate();
  if (options.sync !== false) notebook.sync.start();
  return notebook;
}

export class Notebook {
  #store;
  #kinds;
  #reading;
  #saving;
  #keeping;
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
    /** The record kinds, as forms are built from them. */
    this.schema = rules.schema;
    this.#store = store;
    this.#born = born;
    this.#now = now;
    this.#kinds = new Kinds(rules);
    this.#reading = new Reading(store, this.#kinds);
    this.#history = new History(store, this.#kinds, device, this.#reading);
    this.#keeping = new Keeping(store);
    this.#saving = new Saving(store, { kinds: this.#kinds, device, now, newId }, this.#reading, (kinds, records) => {
      this.#tell(kinds, records);
      this.sync.soon();
    });
    this.#tidings = new Tidings(store.name, {
      onHeard: () => this.#reading.forget(),
      onAsked: () => this.sync.asked(),
      onState: (state) => void this.#heard(state),
    });
    this.#applier = new Applier(store, rules, (kinds, records) => this.#tell(kinds, records), worker);
    this.#server = new Server(fetcher, undefined, device);
    this.sync = new Sync({ store, server: this.#server, applier: this.#applier, now }, this.#tidings, () => this.#lookAgain());
  }

  /** Make heads and records again where their form or the schema has risen; learn what is backed up. */
  async bringUpToDate() {
    const db = await this.#store.db();
    const [shape] = await Promise.all([db.get('kv', 'shape'), this.#learn()]);
    if (shape !== shapeOf(this.#kinds)) {
      if ((await db.count('journal')) > 0) await this.#applier.ask('rebuild', {});
      else await db.put('kv', shapeOf(this.#kinds), 'shape');
    }
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

  /** Count what is hidden with what was deleted. @returns {Promise<number>} */
  hidden() {
    return this.#reading.hidden();
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

  // -- saving: what each does and raises stands in `saving`

  /** @param {Wanted[]} edits @param {{label?: string, draft?: string}} [about] @returns {Promise<Saved>} */
  save(edits, about) {
    return this.#saving.save(edits, about);
  }

  /** @param {string} group @param {{label?: string}} [about] @returns {Promise<import('./types.d.ts').Undone>} */
  undo(group, about) {
    return this.#saving.undo(group, about);
  }

  /** @param {string} record @param {string} register @param {any} value @param {{label?: string}} [about] @returns {Promise<Saved>} */
  resolve(record, register, value, about) {
    return this.#saving.resolve(record, register, value, about);
  }

  /** @param {string} change @param {Record<string, any>} set @param {{label?: string}} [about] @returns {Promise<Saved>} */
  mend(change, set, about) {
    return this.#saving.mend(change, set, about);
  }

  /** @param {string} change */
  setAside(change) {
    return this.#saving.setAside(change);
  }

  // -- this phone only

  /** @param {string} name @returns {Promise<any>} */
  draft(name) {
    return this.#keeping.draft(name);
  }

  /** @param {string} name @param {any} value */
  keepDraft(name, value) {
    return this.#keeping.keepDraft(name, value);
  }

  /** @param {string} name */
  dropDraft(name) {
    return this.#keeping.dropDraft(name);
  }

  /** @returns {Promise<string[]>} */
  drafts() {
    return this.#keeping.drafts();
  }

  /** @param {string} name @returns {Promise<any>} */
  setting(name) {
    return this.#keeping.setting(name);
  }

  /** @param {string} name @param {any} value */
  keepSetting(name, value) {
    return this.#keeping.keepSetting(name, value);
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

  /** Fetch bytes from the server and keep them. @param {string} sha256 @returns {Promise<Blob>} */
  fetchBlob(sha256) {
    return fetchBlob(this.#store, this.#server, sha256, this.#now());
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

  /** @returns {Promise<import('./types.d.ts').NotebookState>} */
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
   * @param {(told: import('./types.d.ts').Told) => void} listener
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
