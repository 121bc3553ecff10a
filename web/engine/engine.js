/**
 * Asking the engine: the one on this phone, else the server's, else the answer that was kept, and every answer
 * says which it was and how old it is. Nothing waits for it: it starts when the page is idle.
 * Not for: making requests (`asking.js`), or computing ahead (`ahead.js`).
 *
 * @typedef {'off' | 'fetching' | 'starting' | 'ready' | 'failed'} Phase
 * @typedef {{phase: Phase, done_bytes: number, all_bytes: number, reason: string, says: string, version: string}} EngineState
 * @typedef {'phone' | 'server' | 'stored'} From
 * @typedef {{answer: any, from: From, at: number, is_current: boolean}} Answered
 *   at: when it was computed [ms since 1970]; is_current: it answers what was asked, by this engine
 * @typedef {{subject?: string, until?: string, fresh?: boolean, behind?: boolean, patience_ms?: number}} How
 *   subject: keep the answer under this name; until: the last day on which it matters; fresh: compute it even
 *   where it is kept; behind: what a person waits for goes first
 */

import { Answers, askedOf } from './answers.js';
import { EngineTrouble, Messenger } from './messenger.js';
import { NoPacks, addressOf, cacheOf, dropEngine, dropOthers, keepEngine, keptEngines, listedEngine } from './packs.js';
import { askServer } from './server_engine.js';
import { Turns } from './turns.js';

/** The engine refused a request: sentences that say why. */
export class Refusal extends Error {
  /** @param {string[]} sentences */
  constructor(sentences) {
    super(sentences.join(' '));
    this.name = 'Refusal';
    this.sentences = sentences;
  }
}

/** There is no answer: neither engine, nor server, nor one that was kept. */
export class NoAnswer extends Error {
  constructor() {
    super('There is neither engine nor server, and no answer was kept.');
    this.name = 'NoAnswer';
  }
}

export class Engine {
  /** @type {Set<(state: EngineState) => void>} */
  #listeners = new Set();
  /** @type {Promise<void> | undefined} */
  #waking;
  #turns = new Turns();
  /** Whether the server was heard to have no newer engine than this phone. */
  #is_newest = false;

  /** @param {{messenger?: Messenger, answers?: Answers, fetch?: typeof fetch, now?: () => number, server?: boolean}} [options] */
  constructor({ messenger = new Messenger(), answers = new Answers(), fetch: fetcher = (...args) => fetch(...args), now = Date.now, server = true } = {}) {
    this.messenger = messenger;
    this.answers = answers;
    this.fetch = fetcher;
    this.now = now;
    this.has_server = server;
    /** @type {EngineState} */
    this.state = { phase: 'off', done_bytes: 0, all_bytes: 0, reason: '', says: '', version: '' };
    /** the engine's own version, once an answer has told it */
    this.version = '';
  }

  /** Hear of every change of state. @param {(state: EngineState) => void} listener */
  subscribe(listener) {
    this.#listeners.add(listener);
    return () => void this.#listeners.delete(listener);
  }

  /** Start it, if it does not run; never throws: `state` says what came of it. @returns {Promise<void>} */
  wake() {
    if (this.state.phase !== 'failed' && this.#waking !== undefined) return this.#waking;
    this.#tell({ phase: 'starting', reason: '', says: '' });
    this.#waking = this.#wake().catch((trouble) => {
      const reason = trouble instanceof EngineTrouble || trouble instanceof NoPacks ? trouble.reason : 'broken';
      this.#tell({ phase: 'failed', reason, says: String(trouble?.message ?? trouble) });
    });
    return this.#waking;
  }

  /** Whether the page's own engine can be asked now. */
  get is_ready() {
    return this.state.phase === 'ready';
  }

  /**
   * Answer a call. Raises Refusal where the engine refuses what is asked, NoAnswer where nobody can answer.
   * @param {string} name
   * @param {object} request
   * @param {How} [how]
   * @returns {Promise<Answered>}
   */
  async ask(name, request, how = {}) {
    const text = JSON.stringify(request);
    const asked = how.subject === undefined ? '' : await askedOf(name, text);
    const kept = how.subject === undefined ? undefined : await this.#kept(how.subject);
    const is_current = kept !== undefined && asked !== '' && kept.asked === asked && this.#isOfNow(kept);
    if (kept !== undefined && is_current && !how.fresh) return shown(kept, true);
    let said = await this.#computed(name, text, how);
    if (said === null) {
      if (kept === undefined) throw new NoAnswer();
      return shown(kept, is_current);
    }
    let answer = JSON.parse(said.text);
    if (answer.error !== undefined && said.from === 'phone' && !this.#is_newest) {
      // An engine older than the app may not know what it is asked.
      said = (await this.#there(name, text)) ?? said;
      answer = JSON.parse(said.text);
    }
    if (answer.error !== undefined) throw new Refusal(answer.error.sentences);
    this.version = answer.engine;
    const at = this.now();
    if (how.subject !== undefined) {
      const packs = said.from === 'phone' ? this.state.version : '';
      const stored = { subject: how.subject, name, asked, answer: said.text, engine: answer.engine, packs, from: said.from, at, until: how.until };
      await this.answers.keep(stored).catch(() => {}); // a full phone still has this one in hand
    }
    return { answer, from: said.from, at, is_current: true };
  }

  /**
   * Answer what is kept of a subject, null where nothing is. It is current only where it answers the call given.
   * @param {string} subject
   * @param {{name: string, request: object}} [call]
   * @returns {Promise<Answered | null>}
   */
  async stored(subject, call) {
    const kept = await this.#kept(subject);
    if (kept === undefined) return null;
    const asked = call === undefined ? '' : await askedOf(call.name, JSON.stringify(call.request));
    return shown(kept, asked !== '' && kept.asked === asked && this.#isOfNow(kept));
  }

  /** End what it works on and start anew. */
  async restart() {
    this.#tell({ phase: 'starting' });
    await this.messenger.restart().then(
      () => this.#tell({ phase: 'ready' }),
      (trouble) => this.#tell({ phase: 'failed', reason: trouble.reason, says: trouble.message }),
    );
  }

  close() {
    this.messenger.close();
    this.answers.close();
  }

  async #wake() {
    /** @type {EngineTrouble | undefined} */
    let trouble;
    for (const kept of await keptEngines()) {
      try {
        await this.#start(kept);
        void this.#renew(kept).catch(() => {});
        return;
      } catch (fault) {
        trouble = /** @type {EngineTrouble} */ (fault);
        // A policy stays as it is, and a slow phone is slow; half-cleared or spoilt, another set may start.
        if (trouble.reason === 'refused' || trouble.reason === 'slow') throw trouble;
      }
    }
    const listed = await listedEngine(this.fetch).catch((fault) => {
      throw trouble ?? fault;
    });
    if (trouble !== undefined) await dropEngine(listed.version);
    await this.#fetched(listed);
    await this.#start(listed);
    this.#is_newest = true;
    await dropOthers(listed.version);
  }

  /** Fetch a newer set beside the one that runs, and let the old one go when the new one works. @param {import('./packs.js').Listed} running */
  async #renew(running) {
    const listed = await listedEngine(this.fetch);
    if (listed.version === running.version || listed.version === unfit()) {
      this.#is_newest = listed.version === running.version;
      return dropOthers(running.version);
    }
    await keepEngine(listed, () => {}, this.fetch);
    try {
      await this.#start(listed);
      this.#is_newest = true;
      await dropOthers(listed.version);
    } catch {
      unfit(listed.version); // not fetched again at every start
      await dropEngine(listed.version);
      await this.#start(running);
    }
    return undefined;
  }

  /** @param {import('./packs.js').Listed} listed */
  async #fetched(listed) {
    this.#tell({ phase: 'fetching', reason: '' });
    await keepEngine(listed, (done_bytes, all_bytes) => this.#tell({ done_bytes, all_bytes }), this.fetch);
  }

  /** @param {import('./packs.js').Listed} listed */
  async #start({ runtime, packs, version }) {
    this.#tell({ phase: 'starting', reason: '' });
    await this.messenger.start({ runtime: addressOf(runtime), packs: packs.map(addressOf), cache: cacheOf(version) });
    this.#tell({ phase: 'ready', version });
  }

  /**
   * @param {string} name
   * @param {string} text
   * @param {How} how
   * @returns {Promise<{text: string, from: 'phone' | 'server'} | null>}
   */
  async #computed(name, text, how) {
    if (this.is_ready) return (await this.#here(name, text, how)) ?? this.#there(name, text);
    // While it still starts the server may be quicker; where there is none, it is worth waiting for.
    const there = await this.#there(name, text);
    if (there !== null || this.state.phase === 'failed' || this.state.phase === 'off') return there;
    await this.#waking;
    return this.is_ready ? this.#here(name, text, how) : null;
  }

  /**
   * @param {string} name
   * @param {string} text
   * @param {How} how
   * @returns {Promise<{text: string, from: 'phone'} | null>}
   */
  #here(name, text, { behind = false, patience_ms }) {
    return this.#turns.take(async () => {
      try {
        return { text: await this.messenger.call(name, text, patience_ms), from: /** @type {const} */ ('phone') };
      } catch (trouble) {
        // A fault of one call is not the engine's end; one that does not come back is.
        if (this.messenger.down !== null) this.#tell({ phase: 'failed', reason: this.messenger.down, says: String(trouble) });
        return null;
      }
    }, behind);
  }

  /** @param {string} name @param {string} text */
  #there(name, text) {
    return this.has_server ? askServer(name, text, this.fetch) : Promise.resolve(null);
  }

  /** @param {import('./answers.js').Stored} kept */
  #isOfNow({ engine, packs }) {
    const is_same = packs === '' || this.state.version === '' || packs === this.state.version;
    return is_same && (this.version === '' || engine === this.version);
  }

  /** @param {string} subject */
  #kept(subject) {
    return this.answers.of(subject).catch(() => undefined);
  }

  /** @param {Partial<EngineState>} more */
  #tell(more) {
    this.state = { ...this.state, ...more };
    for (const listener of this.#listeners) listener(this.state);
  }
}

/** @param {import('./answers.js').Stored} kept @param {boolean} is_current @returns {Answered} */
function shown(kept, is_current) {
  return { answer: JSON.parse(kept.answer), from: 'stored', at: kept.at, is_current };
}

/** Answer the set that was fetched and would not start, or note it. @param {string} [version] */
function unfit(version) {
  try {
    if (version !== undefined) localStorage.setItem('engine_unfit', version);
    return localStorage.getItem('engine_unfit');
  } catch {
    return null;
  }
}

/** @type {Engine | undefined} */
let one;

/** The engine of this page. */
export function engine() {
  one ??= new Engine();
  return one;
}
