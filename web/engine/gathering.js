/**
 * The records that requests are made of, read by site and kept until the notebook changes.
 * Not for: what a request looks like (`asking.js`).
 *
 * @typedef {import('./asking.js').Records} Records
 * @typedef {Pick<import('../notebook/notebook.js').Notebook, 'all' | 'setting' | 'subscribe'>} Notebook
 */

import { onePer } from '../session.js';
import { LISTS, isWhole, plain } from './asking.js';

const EVERYWHERE = /** @type {const} */ (['site', 'species', 'kit', 'settings']);

export class Gathering {
  /** @type {Map<string, Promise<Records>>} */
  #kept = new Map();
  #turn = 0;

  /** @param {Notebook} notebook */
  constructor(notebook) {
    this.notebook = notebook;
    notebook.subscribe(({ kinds }) => {
      // Empty sets: only where things stand has changed.
      if (kinds.size === 0) return;
      this.#kept.clear();
      this.#turn += 1;
    });
  }

  /** Counts up with every change of a record: what was gathered before is old. */
  get turn() {
    return this.#turn;
  }

  /** Answer sites, species, kits and settings. @returns {Promise<Records>} */
  everywhere() {
    return this.#once('', () => this.#read(EVERYWHERE));
  }

  /** Answer those and all that belongs to a site. @param {string} site @returns {Promise<Records>} */
  at(site) {
    return this.#once(site, async () => {
      const [everywhere, here] = await Promise.all([this.everywhere(), this.#read([...new Set(Object.values(LISTS))], site)]);
      return { ...everywhere, ...here };
    });
  }

  /** @param {string} key @param {() => Promise<Records>} read */
  #once(key, read) {
    const held = this.#kept.get(key);
    if (held !== undefined) return held;
    const reading = read();
    this.#kept.set(key, reading);
    reading.catch(() => this.#kept.delete(key));
    return reading;
  }

  /** @param {readonly string[]} kinds @param {string} [site] @returns {Promise<Records>} */
  async #read(kinds, site) {
    const schema = /** @type {import('../types.d.ts').Schema | undefined} */ (await this.notebook.setting('schema'));
    const read = kinds.map(async (kind) => {
      const recs = await this.notebook.all(kind, site === undefined ? {} : { site });
      const records = recs.map(plain).filter((record) => isWhole(record, schema?.kinds[kind]));
      return /** @type {const} */ ([kind, records.sort((one, other) => (one.id < other.id ? -1 : 1))]);
    });
    return Object.fromEntries(await Promise.all(read));
  }
}

/** The gathering of a notebook. */
export const gatheringOf = onePer((/** @type {Notebook} */ notebook) => new Gathering(notebook));
