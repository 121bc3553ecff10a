/**
 * The server as the phone speaks to it: one function a call of `/api/v1`, and every way of failing named.
 * What does not prove to be our server is not believed: a captive portal answers 200 too.
 * Not for: deciding what is sent (`round`).
 *
 * @typedef {import('./types.d.ts').Answer} Answer
 * @typedef {import('./types.d.ts').Pulled} Pulled
 * @typedef {'unreachable' | 'not_ours' | 'unpaired' | 'not_allowed' | 'busy' | 'server_full' | 'refused' | 'cursor_invalid' | 'offset'} Kind
 * @typedef {{epoch: string, time_ms: number, schema: number, durable_seq: number}} Pinged
 * @typedef {{missing: string[], present: Record<string, number>, blobs: Record<string, string>, furthest: string | null}} Offered
 */

import { base64Of } from './rescue.js';

export const SERVICE = 'scout';
const PATIENCE_MS = 30_000;
const PING_PATIENCE_MS = 8_000;

/** A call that failed, by kind; nothing is lost by it. */
export class ServerTrouble extends Error {
  /**
   * @param {Kind} kind
   * @param {{status?: number, code?: string, says?: string | null, ours?: boolean, after_s?: number, offset?: number}} [about]
   */
  constructor(kind, { status = 0, code = '', says = null, ours = false, after_s = 0, offset = 0 } = {}) {
    super(says ?? kind);
    this.name = 'ServerTrouble';
    this.kind = kind;
    this.status = status;
    this.code = code;
    /** the server's own sentence */
    this.says = says;
    /** whether the answer had our server's form */
    this.ours = ours;
    this.after_s = after_s;
    this.offset = offset;
  }
}

export class Server {
  /**
   * @param {typeof fetch} [fetcher]
   * @param {string | URL} [base]
   * @param {string | null} [device] this phone, so that what it carries for others is marked so
   */
  constructor(fetcher = (...args) => fetch(...args), base = new URL('../api/v1/', import.meta.url), device = null) {
    this.fetch = fetcher;
    this.base = base;
    this.device = device;
  }

  /**
   * Ask whether this is our server; answers what it says of itself.
   * @returns {Promise<Pinged>}
   */
  async ping() {
    const said = await this.#json('ping', {}, PING_PATIENCE_MS);
    const { service, epoch, schema, durable_seq } = said;
    const time_ms = typeof said.time === 'number' ? said.time : Date.parse(said.time);
    if (service !== SERVICE || typeof epoch !== 'string' || Number.isNaN(time_ms)) {
      throw new ServerTrouble('not_ours');
    }
    return { epoch, time_ms, schema, durable_seq: durable_seq ?? 0 };
  }

  /**
   * Send changes in canonical form; answers by position. Without `furthest` a journal that was copied back
   * by hand could not show itself as another: its answers would take the place of what is held against it.
   * @param {string[]} bodies
   * @param {string | null} [furthest] the highest place that this phone was ever given
   * @returns {Promise<{answers: Answer[], furthest: string | null}>}
   */
  async push(bodies, furthest = null) {
    const said = await this.#json('push', { method: 'POST', body: pushBody(bodies, furthest, this.device) });
    if (!Array.isArray(said.answers) || said.answers.length !== bodies.length) throw new ServerTrouble('not_ours');
    return { answers: said.answers, furthest: said.furthest ?? null };
  }

  /**
   * @param {string | null} cursor
   * @param {string | null} furthest
   * @param {number} limit
   * @returns {Promise<{changes: Pulled[], cursor: string, more: boolean}>}
   */
  async pull(cursor, furthest, limit) {
    const asked = new URLSearchParams({ limit: String(limit) });
    if (cursor !== null) asked.set('cursor', cursor);
    if (furthest !== null) asked.set('furthest', furthest);
    const said = await this.#json(`pull?${asked}`);
    if (!Array.isArray(said.changes) || typeof said.cursor !== 'string') throw new ServerTrouble('not_ours');
    return { changes: said.changes, cursor: said.cursor, more: said.more === true };
  }

  /**
   * Say what the phone holds.
   * @param {string[]} changes at most 5,000 ids
   * @param {string[]} [blobs]
   * @returns {Promise<Offered>}
   */
  async offer(changes, blobs = []) {
    const said = await this.#json('offer', { method: 'POST', body: JSON.stringify({ changes, blobs }) });
    if (!Array.isArray(said.missing)) throw new ServerTrouble('not_ours');
    const { missing, present = {}, blobs: told = {}, furthest = null } = said;
    return { missing, present, blobs: told, furthest };
  }

  /**
   * Ask how many bytes of a photo the server has.
   * @param {string} sha256
   * @returns {Promise<number>}
   */
  async blobOffset(sha256) {
    try {
      return proved(await this.#call(`blobs/${sha256}`, { method: 'HEAD' }));
    } catch (trouble) {
      if (trouble instanceof ServerTrouble && trouble.status === 404) return 0;
      throw trouble;
    }
  }

  /**
   * Send one piece of a photo; answers how many bytes the server has now.
   * @param {string} sha256
   * @param {ArrayBuffer} piece at most 1 MiB
   * @param {{offset: number, size: number, type: string}} about
   * @returns {Promise<number>}
   */
  async sendPiece(sha256, piece, { offset, size, type }) {
    const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', piece));
    const answer = await this.#call(`blobs/${sha256}`, {
      method: 'PATCH',
      body: piece,
      headers: {
        'Content-Type': 'application/offset+octet-stream',
        'Upload-Offset': String(offset),
        'Upload-Length': String(size),
        'Upload-Media-Type': type,
        'Content-Digest': `sha-256=:${base64Of(digest)}:`, // RFC 9530
      },
    });
    return proved(answer);
  }

  /**
   * Fetch the bytes of a photo.
   * @param {string} sha256
   * @returns {Promise<{bytes: ArrayBuffer, type: string}>}
   */
  async blob(sha256) {
    const answer = await this.#call(`blobs/${sha256}`);
    return { bytes: await answer.arrayBuffer(), type: answer.headers.get('Content-Type') ?? '' };
  }

  /**
   * @param {string} path
   * @param {RequestInit} [init]
   * @param {number} [patience_ms]
   * @returns {Promise<any>}
   */
  async #json(path, init = {}, patience_ms = PATIENCE_MS) {
    const headers = { Accept: 'application/json', ...(init.body ? { 'Content-Type': 'application/json' } : {}) };
    const answer = await this.#call(path, { ...init, headers }, patience_ms);
    const said = await jsonOf(answer);
    if (said === undefined) throw new ServerTrouble('not_ours', { status: answer.status });
    return said;
  }

  /**
   * @param {string} path
   * @param {RequestInit} [init]
   * @param {number} [patience_ms]
   */
  async #call(path, init = {}, patience_ms = PATIENCE_MS) {
    let answer;
    try {
      answer = await this.fetch(new URL(path, this.base), {
        cache: 'no-store',
        credentials: 'same-origin',
        redirect: 'error', // a portal's door is not ours
        ...init,
        headers: { ...init.headers, 'X-Scout': '1' },
        signal: AbortSignal.timeout(patience_ms),
      });
    } catch {
      throw new ServerTrouble('unreachable');
    }
    if (answer.ok) return answer;
    throw await troubleOf(answer);
  }
}

/**
 * Write the body of a push.
 * @param {string[]} bodies
 * @param {string | null} [furthest]
 * @param {string | null} [device] who sends it
 */
export function pushBody(bodies, furthest = null, device = null) {
  const beside = furthest === null ? '' : `,"furthest":${JSON.stringify(furthest)}`;
  const by = device === null ? '' : `,"device":${JSON.stringify(device)}`;
  return `{"changes":[${bodies.join(',')}]${beside}${by}}`;
}

/** @param {Response} answer */
async function troubleOf(answer) {
  const { status } = answer;
  const said = (await jsonOf(answer)) ?? {};
  const error = typeof said.error === 'object' && said.error !== null ? said.error : said;
  const text = error.message ?? error.error;
  const about = {
    status,
    code: typeof error.code === 'string' ? error.code : '',
    says: typeof text === 'string' ? text : null,
    ours: typeof error.code === 'string' || typeof text === 'string',
    after_s: Number(answer.headers.get('Retry-After')) || 0,
    offset: offsetOf(answer),
  };
  if (status === 409 && error.code === 'cursor_invalid') return new ServerTrouble('cursor_invalid', about);
  if (status === 409) return new ServerTrouble('offset', about);
  if (status === 401) return new ServerTrouble('unpaired', about);
  if (status === 403) return new ServerTrouble('not_allowed', about);
  if (status === 507) return new ServerTrouble('server_full', about);
  // Cut short on its way: what was sent is sound.
  if (about.code === 'cut_short') return new ServerTrouble('busy', about);
  if (status === 413 || (about.ours && [400, 415, 422].includes(status))) return new ServerTrouble('refused', about);
  return new ServerTrouble(status === 429 || status >= 500 ? 'busy' : 'not_ours', about);
}

/**
 * @param {Response} answer
 * @returns {Promise<any>}
 */
async function jsonOf(answer) {
  if (!/^application\/([\w.-]+\+)?json\b/.test(answer.headers.get('Content-Type') ?? '')) return undefined;
  try {
    const said = await answer.json();
    return typeof said === 'object' && said !== null ? said : undefined;
  } catch (trouble) {
    if (trouble instanceof SyntaxError) return undefined;
    throw new ServerTrouble('unreachable'); // the answer was torn on its way
  }
}

/** @param {Response} answer */
function offsetOf(answer) {
  return Number(answer.headers.get('Upload-Offset')) || 0;
}

/**
 * Answer the offset of an answer that must have one, or it is not our server's.
 * @param {Response} answer
 */
function proved(answer) {
  if (!/^[0-9]+$/.test(answer.headers.get('Upload-Offset') ?? '')) throw new ServerTrouble('not_ours');
  return offsetOf(answer);
}
