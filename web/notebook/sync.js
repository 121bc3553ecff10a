/**
 * When to sync, and what to say of it. Goes round on start, after a Save, when the network comes or goes, when
 * the page becomes visible, and on a tap; one page at a time; waits longer after each failure. Never throws
 * into the page: trouble is a word in `state`.
 * Not for: what a round does (`round`).
 *
 * @typedef {import('./types.d.ts').SyncState} SyncState
 * @typedef {import('./types.d.ts').SyncTrouble} SyncTrouble
 * @typedef {import('./round.js').Means} Means
 * @typedef {import('./tidings.js').Tidings} Tidings
 */

import { goRound } from './round.js';
import { ServerTrouble } from './server.js';
import { StoreClosed } from './store.js';

export const LONGEST_WAIT_MS = 300_000;
const FIRST_WAIT_MS = 2000;
const AFTER_SAVE_MS = 500;

/** @type {SyncState} */
const REST = { phase: 'idle', trouble: null, message: null, next_at: null, pushed: 0, pulled: 0, blob_bytes: 0 };

/**
 * Answer how long to wait after so many failures in a row [ms]: doubling, with jitter so that several
 * phones do not come back at once, and at most 5 min.
 * @param {number} failures 1 or more
 * @param {() => number} random
 * @param {number} [after_s] what the server asked for
 */
export function waitMs(failures, random, after_s = 0) {
  const most = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** Math.min(failures - 1, 20));
  return Math.min(LONGEST_WAIT_MS, Math.max(most / 2 + (most / 2) * random(), after_s * 1000));
}

export class Sync {
  /** @type {SyncState} */
  state = REST;
  #failures = 0;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #timer;
  /** @type {Promise<void> | undefined} */
  #running;
  #again = false;
  #started = false;
  #stopped = false;
  /** @type {Set<(state: SyncState) => void>} */
  #listeners = new Set();
  /** @type {(() => void)[]} */
  #unhook = [];

  /**
   * @param {Omit<Means, 'progress'>} means
   * @param {Tidings} tidings
   * @param {() => Promise<void>} after what to do when a round has ended, well or not
   * @param {() => number} [random]
   */
  constructor(means, tidings, after, random = Math.random) {
    this.means = means;
    this.tidings = tidings;
    this.after = after;
    this.random = random;
  }

  /** Say that the first round is about to begin: until it has ended nobody knows what there is. */
  due() {
    this.#say({ ...REST, phase: 'syncing' }, false);
  }

  /** Watch for the moments to sync, and go round now. */
  start() {
    this.#started = true;
    this.#on(globalThis, 'online', () => this.#fresh());
    // The server may be on this very machine: whether it is still reached is found out, and then said.
    this.#on(globalThis, 'offline', () => this.#fresh());
    if (typeof document !== 'undefined') {
      this.#on(document, 'visibilitychange', () => {
        if (document.visibilityState === 'visible') void this.#fresh();
      });
    }
    void this.#fresh();
  }

  /**
   * @param {EventTarget} target
   * @param {string} name
   * @param {() => void} listener
   */
  #on(target, name, listener) {
    target.addEventListener(name, listener);
    this.#unhook.push(() => target.removeEventListener(name, listener));
  }

  /** Stop watching; a round under way ends by itself. */
  stop() {
    this.#stopped = true;
    clearTimeout(this.#timer);
    for (const unhook of this.#unhook) unhook();
  }

  /**
   * Hear of every new state; the answer stops that.
   * @param {(state: SyncState) => void} listener
   */
  subscribe(listener) {
    this.#listeners.add(listener);
    return () => {
      this.#listeners.delete(listener);
    };
  }

  /**
   * Sync now, on a person's tap. Resolves when the round has ended, well or not: look at `state`.
   * @returns {Promise<void>}
   */
  now() {
    return this.#fresh();
  }

  /** Sync soon, after a Save, if it was started. A wait for the server's sake is kept. */
  soon() {
    if (!this.#started || this.#stopped || this.state.phase === 'waiting' || this.state.phase === 'paused') return;
    this.#later(AFTER_SAVE_MS);
  }

  /**
   * Take over the state of the page that is syncing.
   * @param {SyncState} state
   */
  hear(state) {
    if (this.#running === undefined) this.#say(state, false);
  }

  /** Another page asks for a round. */
  asked() {
    if (this.#running !== undefined) this.#again = true;
  }

  #fresh() {
    this.#failures = 0;
    return this.#go();
  }

  /** @param {number} wait_ms */
  #later(wait_ms) {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.#go(), wait_ms);
  }

  /** @returns {Promise<void>} */
  #go() {
    if (this.#stopped) return Promise.resolve();
    if (this.#running !== undefined) {
      this.#again = true;
      return this.#running;
    }
    clearTimeout(this.#timer);
    this.#running = this.#alone(async () => {
      do {
        this.#again = false;
        await this.#round();
      } while (this.#again && this.state.trouble === null && !this.#stopped);
    }).finally(() => {
      this.#running = undefined;
    });
    return this.#running;
  }

  /**
   * One page at a time: where another one is at it, ask it to go round once more.
   * @param {() => Promise<void>} work
   */
  async #alone(work) {
    const { locks } = globalThis.navigator ?? {};
    if (locks === undefined) return work();
    await locks.request(`${this.means.store.name}/sync`, { ifAvailable: true }, async (lock) => {
      if (lock !== null) return work();
      this.tidings.ask();
      this.#say(REST, false); // the page that is at it tells how it stands
      return undefined;
    });
  }

  async #round() {
    this.#say({ ...REST, phase: 'syncing' });
    try {
      const { server_older } = await goRound({ ...this.means, progress: (more) => this.#progress(more) });
      this.#failures = 0;
      const { pushed, pulled, blob_bytes } = this.state;
      this.#say({ ...REST, pushed, pulled, blob_bytes, trouble: server_older ? 'server_older' : null });
    } catch (trouble) {
      this.#failed(trouble);
    }
    await this.after().catch(() => {});
  }

  /** @param {unknown} trouble */
  #failed(trouble) {
    const { word, after_s, message } = inWords(trouble);
    const { pushed, pulled, blob_bytes } = this.state;
    const told = { ...REST, pushed, pulled, blob_bytes, trouble: word, message };
    // Not paired, not allowed, or closed for a newer program: waiting mends none of these; a tap may.
    if (word === 'unpaired' || word === 'not_allowed' || trouble instanceof StoreClosed) {
      this.#say({ ...told, phase: 'paused' });
      return;
    }
    this.#failures += 1;
    const wait_ms = waitMs(this.#failures, this.random, after_s);
    // Without any network there is nothing to try: `online` will come.
    const deaf = globalThis.navigator?.onLine === false;
    if (!deaf && !this.#stopped) this.#later(wait_ms);
    this.#say({ ...told, phase: 'waiting', next_at: deaf ? null : this.means.now() + wait_ms });
  }

  /** @param {{pushed?: number, pulled?: number, blob_bytes?: number}} more */
  #progress({ pushed = 0, pulled = 0, blob_bytes = 0 }) {
    const before = this.state;
    this.#say({
      ...before,
      pushed: before.pushed + pushed,
      pulled: before.pulled + pulled,
      blob_bytes: before.blob_bytes + blob_bytes,
    });
  }

  /**
   * @param {SyncState} state
   * @param {boolean} [aloud]
   */
  #say(state, aloud = true) {
    this.state = state;
    if (aloud) this.tidings.tellState(state);
    for (const listener of this.#listeners) {
      try {
        listener(state);
      } catch (trouble) {
        console.error(trouble);
      }
    }
  }
}

/**
 * @param {unknown} trouble
 * @returns {{word: SyncTrouble, after_s: number, message: string | null}}
 */
function inWords(trouble) {
  if (trouble instanceof ServerTrouble) {
    const known = trouble.kind === 'cursor_invalid' || trouble.kind === 'offset' ? 'busy' : trouble.kind;
    return { word: known, after_s: trouble.after_s, message: trouble.says };
  }
  const { name, message } = /** @type {Error} */ (trouble);
  if (name === 'QuotaExceededError') return { word: 'phone_full', after_s: 0, message: null };
  console.error(trouble);
  return { word: 'fault', after_s: 0, message };
}
