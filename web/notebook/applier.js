/**
 * The page's side of the worker: acts asked for by name, answered one by one. Where a worker cannot run
 * the page does the work itself. Not for: the engine's worker.
 *
 * @typedef {import('./types.d.ts').RuleTexts} RuleTexts
 * @typedef {import('./intake.js').Tell} Tell
 * @typedef {{resolve: (answer: any) => void, reject: (trouble: Error) => void}} Waiting
 */

import { work } from './intake_calls.js';
import { Kinds } from './kinds.js';

const READY_WITHIN_MS = 5000;

export class Applier {
  /** @type {Promise<Worker | null> | undefined} */
  #worker;
  /** @type {Map<number, Waiting>} */
  #waiting = new Map();
  #number = 0;

  /**
   * @param {import('./store.js').Store} store
   * @param {RuleTexts} texts
   * @param {Tell} tell
   * @param {boolean} [in_worker]
   */
  constructor(store, texts, tell, in_worker = typeof Worker === 'function') {
    this.store = store;
    this.texts = texts;
    this.kinds = new Kinds(texts);
    this.tell = tell;
    this.in_worker = in_worker;
  }

  /**
   * Do an act of `intake_calls`.
   * @param {string} name
   * @param {unknown} args
   * @returns {Promise<void>}
   */
  async ask(name, args) {
    this.#worker ??= this.in_worker ? this.#start() : Promise.resolve(null);
    const worker = await this.#worker;
    if (worker !== null) return this.#send(worker, name, args);
    return work(name, await this.store.db(), this.kinds, args, this.tell);
  }

  /** End the worker. */
  close() {
    void this.#worker?.then((worker) => worker?.terminate());
    this.#worker = undefined;
    this.#fail(new Error('the notebook was closed'));
  }

  /** @returns {Promise<Worker | null>} */
  async #start() {
    const worker = new Worker(new URL('./applying.js', import.meta.url), { type: 'module' });
    const ready = await new Promise((resolve) => {
      const timer = setTimeout(() => resolve(false), READY_WITHIN_MS);
      worker.onerror = () => {
        clearTimeout(timer);
        resolve(false);
        this.#worker = Promise.resolve(null); // from here on the page does it
        this.#fail(new Error('the worker stopped'));
      };
      worker.onmessage = ({ data }) => {
        if (data.ready) {
          clearTimeout(timer);
          resolve(true);
        } else {
          this.#hear(data);
        }
      };
    });
    if (!ready) {
      worker.terminate();
      return null;
    }
    await this.#send(worker, 'open', { name: this.store.name, texts: this.texts });
    return worker;
  }

  /**
   * @param {Worker} worker
   * @param {string} name
   * @param {unknown} args
   * @returns {Promise<any>}
   */
  #send(worker, name, args) {
    this.#number += 1;
    const number = this.#number;
    return new Promise((resolve, reject) => {
      this.#waiting.set(number, { resolve, reject });
      worker.postMessage({ number, name, args });
    });
  }

  /** @param {any} data */
  #hear(data) {
    if (data.told) {
      this.tell(data.told.kinds, data.told.records);
      return;
    }
    const waiting = this.#waiting.get(data.number);
    this.#waiting.delete(data.number);
    if (data.trouble) waiting?.reject(Object.assign(new Error(data.trouble.message), { name: data.trouble.name }));
    else waiting?.resolve(data.answer);
  }

  /** @param {Error} trouble */
  #fail(trouble) {
    for (const waiting of this.#waiting.values()) waiting.reject(trouble);
    this.#waiting.clear();
  }
}
