/**
 * The phone's database: its stores and indexes, opened in one place.
 *
 * Rule of every transaction: never await anything else between its start and its end.
 * Not for: what the rows mean (`rows`), or what is done with them (`writing`, `intake`, `reading`).
 *
 * @typedef {import('./types.d.ts').JournalRow} JournalRow
 * @typedef {import('./types.d.ts').RecordRow} RecordRow
 * @typedef {import('./types.d.ts').BlobRow} BlobRow
 */

import { openDB } from '../doors/idb.js';

/**
 * @typedef {object} Shape
 * @property {{key: string, value: JournalRow, indexes: {record: string, group: string, unsent: number, parked: number}}} journal
 * @property {{key: string, value: RecordRow, indexes: {shown: [string, number, string], shown_at: [string, string, number, string], refs: string, hidden: string, conflicted: number, blob: string}}} record
 * @property {{key: string, value: BlobRow, indexes: {waiting: number, state: string}}} blob
 * @property {{key: string, value: ArrayBuffer}} bytes
 * @property {{key: string, value: any}} kv
 *
 * @typedef {Shape & import('idb').DBSchema} Stores
 * @typedef {import('idb').IDBPDatabase<Stores>} Database
 */

/**
 * Each step lifts a database by one version; a new database takes them all. A step that has been
 * released is never changed.
 * @type {((db: Database) => void)[]}
 */
const STEPS = [
  (db) => {
    const journal = db.createObjectStore('journal', { keyPath: 'id' });
    journal.createIndex('record', 'record');
    journal.createIndex('group', 'group');
    journal.createIndex('unsent', 'unsent');
    journal.createIndex('parked', 'parked.at');
    const record = db.createObjectStore('record', { keyPath: 'key' });
    record.createIndex('shown', 'shown');
    record.createIndex('shown_at', 'shown_at');
    record.createIndex('refs', 'refs', { multiEntry: true });
    record.createIndex('hidden', 'hidden');
    record.createIndex('conflicted', 'conflicted');
    record.createIndex('blob', 'blob');
    const blob = db.createObjectStore('blob', { keyPath: 'sha256' });
    blob.createIndex('waiting', 'waiting');
    blob.createIndex('state', 'state');
    db.createObjectStore('bytes'); // apart from what is known of them, so that lists stay light
    db.createObjectStore('kv');
  },
];

/**
 * The stores of a Save.
 * @type {('journal' | 'record' | 'kv')[]}
 */
export const SAVING = ['journal', 'record', 'kv'];

/** The database is of a newer program, or was closed for one: the page must be loaded again. */
export class StoreClosed extends Error {
  constructor() {
    super('The notebook is open in a newer version of this program; load this page again.');
    this.name = 'StoreClosed';
  }
}

/**
 * An open database that opens itself again when the browser has ended it.
 */
export class Store {
  /** @type {Promise<Database> | undefined} */
  #opening;
  #closed = false;

  /**
   * @param {string} name
   * @param {{onBlocked?: () => void, onClosed?: () => void}} [told]
   */
  constructor(name, { onBlocked, onClosed } = {}) {
    this.name = name;
    this.onBlocked = onBlocked;
    this.onClosed = onClosed;
  }

  /** @returns {Promise<Database>} */
  async db() {
    if (this.#closed) throw new StoreClosed();
    const opening = (this.#opening ??= this.#open());
    try {
      return await opening;
    } catch (trouble) {
      this.#opening = undefined;
      throw /** @type {Error} */ (trouble).name === 'VersionError' ? new StoreClosed() : trouble;
    }
  }

  /** @returns {Promise<Database>} */
  #open() {
    return /** @type {typeof openDB<Stores>} */ (openDB)(this.name, STEPS.length, {
      upgrade: (db, old) => {
        for (const step of STEPS.slice(old)) step(/** @type {any} */ (db));
      },
      // An older page is still open and holds the old version.
      blocked: () => this.onBlocked?.(),
      // We are the older page: let the newer one in, and take no more words here.
      blocking: () => {
        this.close();
        this.onClosed?.();
      },
      // The browser ended the connection (data cleared, disk trouble): the next act opens anew.
      terminated: () => {
        this.#opening = undefined;
      },
    });
  }

  /** Close it for good. */
  close() {
    this.#closed = true;
    void this.#opening?.then((db) => db.close(), () => {});
  }
}
