/**
 * Answers kept on this phone, each beside what was asked, by which engine and when: what is shown where there
 * is neither engine nor server. Computed, so never journalled; in a database of its own, so that the notebook
 * can be opened without it.
 * Not for: records.
 *
 * @typedef {object} Stored
 * @property {string} subject what the answer is about, the newest one a subject is kept
 * @property {string} name of the call
 * @property {string} asked hash of the request
 * @property {string} answer JSON
 * @property {string} engine the engine's version
 * @property {string} packs which of its files answered, empty where the server did
 * @property {'phone' | 'server'} from
 * @property {number} at phone's clock [ms since 1970]
 * @property {string | undefined} until the last day on which it matters, as 2026-05-12
 */

import { openDB } from '../doors/idb.js';

export class Answers {
  /** @type {Promise<import('idb').IDBPDatabase<any>> | undefined} */
  #opening;

  /** @param {string} [name] of the database */
  constructor(name = 'answers') {
    this.name = name;
  }

  #db() {
    this.#opening ??= openDB(this.name, 1, {
      upgrade(db) {
        db.createObjectStore('answer', { keyPath: 'subject' }).createIndex('until', 'until');
      },
      blocking: () => this.close(),
      terminated: () => {
        this.#opening = undefined;
      },
    });
    return this.#opening;
  }

  /** @param {string} subject @returns {Promise<Stored | undefined>} */
  async of(subject) {
    return (await this.#db()).get('answer', subject);
  }

  /** Answer those whose subject begins so. @param {string} begins @returns {Promise<Stored[]>} */
  async under(begins) {
    return (await this.#db()).getAll('answer', IDBKeyRange.bound(begins, `${begins}\uffff`));
  }

  /** @param {Stored} stored */
  async keep(stored) {
    const { until, ...rest } = stored;
    await (await this.#db()).put('answer', until === undefined ? rest : stored);
  }

  /** Let go of what mattered before a day. @param {string} day */
  async dropBefore(day) {
    const tx = (await this.#db()).transaction('answer', 'readwrite');
    for (const key of await tx.store.index('until').getAllKeys(IDBKeyRange.upperBound(day, true))) void tx.store.delete(key);
    await tx.done;
  }

  async count() {
    return (await this.#db()).count('answer');
  }

  close() {
    void this.#opening?.then((db) => db.close(), () => {});
    this.#opening = undefined;
  }
}

/**
 * Answer the hash by which a request is known again; empty where the browser cannot make one.
 * @param {string} name
 * @param {string} request
 */
export async function askedOf(name, request) {
  if (globalThis.crypto?.subtle === undefined) return '';
  const digest = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(`${name}\n${request}`));
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
}
