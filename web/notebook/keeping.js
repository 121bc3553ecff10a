/**
 * What stays on this phone and is never sent: half-written forms, and how the person likes the screens.
 * Not for: records.
 *
 * @typedef {import('./store.js').Store} Store
 */

export class Keeping {
  #store;

  /** @param {Store} store */
  constructor(store) {
    this.#store = store;
  }

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
}
