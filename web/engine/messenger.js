/**
 * The engine's worker as a thing to be asked: requests numbered, each with its patience, and a worker that
 * hangs or dies ended and started anew.
 * Not for: which files it runs (`packs.js`), or what to do without it (`engine.js`).
 *
 * @typedef {'refused' | 'slow' | 'broken' | 'killed' | 'closed' | 'fault'} Reason
 *   refused: WebAssembly is not allowed here; slow: patience ran out; broken: it does not start;
 *   killed: it ended in the middle of a call; fault: the call itself failed, the engine is sound
 * @typedef {{runtime: string, packs: string[], cache: string}} Files addresses
 * @typedef {{resolve: (value: any) => void, reject: (trouble: EngineTrouble) => void, timer: ReturnType<typeof setTimeout>}} Pending
 */

export const BOOT_MS = 60_000;
export const CALL_MS = 30_000;
const MOST_DEATHS = 3; // with no answer between them: what kills it will kill it again

export class EngineTrouble extends Error {
  /** @param {Reason} reason @param {string} [says] */
  constructor(reason, says = '') {
    super(says === '' ? reason : says);
    this.name = 'EngineTrouble';
    this.reason = reason;
  }
}

export class Messenger {
  /** @type {Worker | undefined} */
  #worker;
  /** @type {Map<number, Pending>} */
  #pending = new Map();
  #last = 0;
  /** @type {Files | undefined} */
  #files;
  /** @type {Promise<void> | undefined} */
  #started;
  #is_ready = false;
  #deaths = 0;

  /** @param {{makeWorker?: () => Worker, boot_ms?: number, call_ms?: number}} [options] */
  constructor({ makeWorker = ownWorker, boot_ms = BOOT_MS, call_ms = CALL_MS } = {}) {
    this.makeWorker = makeWorker;
    this.boot_ms = boot_ms;
    this.call_ms = call_ms;
    this.restarts = 0;
    /** why it is not there and will not come back by itself; null while it runs or starts
     * @type {Reason | null} */
    this.down = null;
  }

  /** Start the engine, ending one that runs. Raises EngineTrouble. @param {Files} files */
  start(files) {
    this.#end(new EngineTrouble('closed'));
    this.#files = files;
    this.#deaths = 0;
    this.#started = this.#boot(files);
    this.#started.catch(() => {}); // whoever awaits it hears of it
    return this.#started;
  }

  /**
   * Answer one call. Raises EngineTrouble.
   * @param {string} name
   * @param {string} request
   * @param {number} [patience_ms]
   * @returns {Promise<string>}
   */
  async call(name, request, patience_ms = this.call_ms) {
    await (this.#started ?? Promise.reject(new EngineTrouble('closed')));
    return this.#post({ name, request }, patience_ms);
  }

  /** End what is being worked on and start anew; what waits is told `killed`. */
  restart() {
    const files = this.#files;
    if (files === undefined) return Promise.reject(new EngineTrouble('closed'));
    this.#end(new EngineTrouble('killed'));
    this.restarts += 1;
    this.#started = this.#boot(files);
    this.#started.catch(() => {});
    return this.#started;
  }

  /** End it for good. */
  close() {
    this.#end(new EngineTrouble('closed'));
    this.#files = undefined;
    this.#started = undefined;
  }

  /** @param {Files} files */
  async #boot(files) {
    this.down = null;
    /** @type {Worker | undefined} */
    let worker;
    try {
      worker = this.makeWorker();
      this.#worker = worker;
      this.#listen(worker);
      await this.#post({ boot: files }, this.boot_ms);
      if (worker === this.#worker) this.#is_ready = true;
    } catch (fault) {
      const trouble = fault instanceof EngineTrouble ? fault : new EngineTrouble('broken', String(fault));
      // Where another was started meanwhile, that one is left alone.
      if (worker === this.#worker) {
        this.#end(trouble);
        this.down = trouble.reason;
      }
      throw trouble;
    }
  }

  /** @param {Worker} worker */
  #listen(worker) {
    worker.addEventListener('message', ({ data }) => this.#heard(worker, data));
    worker.addEventListener('error', (event) => {
      event.preventDefault();
      if (worker !== this.#worker) return;
      const was_ready = this.#is_ready;
      const trouble = new EngineTrouble(was_ready ? 'killed' : 'broken', event.message);
      for (const pending of this.#cleared()) pending.reject(trouble);
      if (was_ready) this.#revive();
    });
  }

  /** @param {object} message @param {number} patience_ms @returns {Promise<any>} */
  #post(message, patience_ms) {
    const worker = this.#worker;
    if (worker === undefined) return Promise.reject(new EngineTrouble('killed'));
    const id = ++this.#last;
    return new Promise((resolve, reject) => {
      const timer = setTimeout(() => this.#late(id), patience_ms);
      this.#pending.set(id, { resolve, reject, timer });
      worker.postMessage({ id, ...message });
    });
  }

  /** @param {Worker} worker @param {any} said */
  #heard(worker, said) {
    const pending = this.#pending.get(said.id);
    if (pending === undefined || worker !== this.#worker) return;
    this.#pending.delete(said.id);
    clearTimeout(pending.timer);
    if ('answer' in said) {
      this.#deaths = 0;
      pending.resolve(said.answer);
    }
    else if (said.ready) pending.resolve(undefined);
    else if ('refused' in said) pending.reject(new EngineTrouble('refused', said.refused));
    else {
      pending.reject(new EngineTrouble(said.dead ? 'killed' : 'fault', said.fault));
      if (said.dead) this.#revive();
    }
  }

  /** A worker that was killed says nothing: only patience tells. @param {number} id */
  #late(id) {
    const pending = this.#pending.get(id);
    if (pending === undefined) return;
    this.#pending.delete(id);
    pending.reject(new EngineTrouble('slow'));
    this.#revive();
  }

  /** While it boots, the one who started it decides what happens next. */
  #revive() {
    if (!this.#is_ready) return;
    this.#deaths += 1;
    if (this.#deaths < MOST_DEATHS) {
      this.restart().catch(() => {});
      return;
    }
    const trouble = new EngineTrouble('killed');
    this.#end(trouble);
    this.down = trouble.reason;
    this.#started = Promise.reject(trouble);
    this.#started.catch(() => {});
  }

  /** @param {EngineTrouble} trouble */
  #end(trouble) {
    this.#worker?.terminate();
    this.#worker = undefined;
    this.#is_ready = false;
    for (const pending of this.#cleared()) pending.reject(trouble);
  }

  #cleared() {
    const all = [...this.#pending.values()];
    this.#pending.clear();
    for (const { timer } of all) clearTimeout(timer);
    return all;
  }
}

function ownWorker() {
  return new Worker(new URL('./worker.js', import.meta.url), { type: 'module', name: 'engine' });
}
