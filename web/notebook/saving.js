/**
 * What a person does to records: save, undo, resolve, mend. Each is one Save, in one transaction.
 * Not for: how a Save is written (`writing`).
 *
 * @typedef {import('./types.d.ts').Wanted} Wanted
 * @typedef {import('./types.d.ts').Saved} Saved
 * @typedef {import('./types.d.ts').Undone} Undone
 * @typedef {import('./store.js').Store} Store
 * @typedef {import('./reading.js').Reading} Reading
 * @typedef {import('./writing.js').Writer} Writer
 * @typedef {import('./writing.js').Decided} Decided
 * @typedef {import('./writing.js').Transaction} Transaction
 */

import { persistOnce } from './standing.js';
import { undoing } from './undoing.js';
import { upcast } from './upcast.js';
import { check, notSaved, write } from './writing.js';

export class Saving {
  #store;
  #writer;
  #reading;
  #wrote;

  /**
   * @param {Store} store
   * @param {Writer} writer
   * @param {Reading} reading
   * @param {(kinds: string[], records: string[]) => void} wrote is told of every Save
   */
  constructor(store, writer, reading, wrote) {
    this.#store = store;
    this.#writer = writer;
    this.#reading = reading;
    this.#wrote = wrote;
  }

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
      const asked = await undoing(tx, this.#writer.kinds, group);
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
    const rec = await this.#reading.get(record);
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
      const { kind, record, base } = upcast(row.change, this.#writer.kinds.upcasts);
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
    this.#wrote([], []);
  }

  /**
   * @param {(tx: Transaction) => Decided | Promise<Decided>} decide
   * @param {{label?: string, draft?: string}} about
   */
  async #write(decide, about) {
    const db = await this.#store.db().catch((trouble) => {
      throw notSaved(trouble);
    });
    const written = await write(db, this.#writer, decide, about);
    if (written !== null) this.#wrote(written.keys.map(({ kind }) => kind), written.ids);
    return written;
  }
}
