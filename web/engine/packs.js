/**
 * The engine's files on this phone, in a cache of their own beside the shell's: asked for, fetched with
 * progress, proved by hash, let go when a newer set works.
 * Not for: running them (`messenger.js`).
 *
 * @typedef {{name: string, bytes: number, integrity: string}} File
 * @typedef {{version: string, engine: string, runtime: string, packs: string[], files: File[]}} Listed
 * @typedef {(done_bytes: number, all_bytes: number) => void} Progress
 */

export const BASE = new URL('./', import.meta.url);
const PREFIX = 'engine-';
// A server that was just installed packs the engine first; nothing waits for this.
const PATIENCE_MS = 30_000;
const STALL_MS = 30_000;

/** Why the engine's files cannot be had. */
export class NoPacks extends Error {
  /** @param {'unreachable' | 'not_ours' | 'stalled' | 'spoilt' | 'full'} reason */
  constructor(reason) {
    super(`The engine’s files could not be fetched: ${reason}.`);
    this.name = 'NoPacks';
    this.reason = reason;
  }
}

/** @param {string} version */
export const cacheOf = (version) => `${PREFIX}${version}`;

/** @param {string} name */
export const addressOf = (name) => new URL(name, BASE).href;

// Written last, so that a cache which holds it is whole; not under its own address, which must stay live.
const LIST = addressOf('kept.json');
const store = () => /** @type {CacheStorage | undefined} */ (globalThis.caches);

/** Answer the sets that are whole on this phone, the one fetched last first. @returns {Promise<Listed[]>} */
export async function keptEngines() {
  const found = [];
  for (const key of (await store()?.keys()) ?? []) {
    if (!key.startsWith(PREFIX)) continue;
    const list = await (await caches.open(key)).match(LIST);
    if (list !== undefined) found.push(/** @type {Listed & {at: number}} */ (await list.json()));
  }
  return found.sort((one, other) => other.at - one.at);
}

/** Ask the server which set is in force. @param {typeof fetch} [fetcher] @returns {Promise<Listed>} */
export async function listedEngine(fetcher = (...args) => fetch(...args)) {
  let said;
  try {
    const answer = await fetcher(addressOf('packs.json'), { cache: 'no-cache', redirect: 'error', signal: AbortSignal.timeout(PATIENCE_MS) });
    said = answer.ok ? await answer.json() : null;
  } catch {
    throw new NoPacks('unreachable');
  }
  if (typeof said?.version !== 'string' || !Array.isArray(said.files)) throw new NoPacks('not_ours');
  return said;
}

/**
 * Fetch what is missing of a set, and keep it. What another set holds unchanged is not fetched again.
 * Raises NoPacks; half a set stays and is gone on with the next time.
 * @param {Listed} listed
 * @param {Progress} [onProgress]
 * @param {typeof fetch} [fetcher]
 */
export async function keepEngine(listed, onProgress = () => {}, fetcher = (...args) => fetch(...args)) {
  if (store() === undefined) return;
  const cache = await caches.open(cacheOf(listed.version));
  const all = listed.files.reduce((sum, file) => sum + file.bytes, 0);
  let done = 0;
  for (const file of listed.files) {
    const address = addressOf(file.name);
    if ((await cache.match(address)) === undefined) {
      const held = await caches.match(address);
      const answer = held ?? (await fetched(file, (bytes) => onProgress(done + bytes, all), fetcher));
      await cache.put(address, answer).catch(() => {
        throw new NoPacks('full');
      });
    }
    done += file.bytes;
    onProgress(done, all);
  }
  await cache.put(LIST, new Response(JSON.stringify({ ...listed, at: Date.now() }), { headers: { 'Content-Type': 'application/json' } }));
}

/** Let go of every set but one. @param {string} version the one that works */
export async function dropOthers(version) {
  for (const key of (await store()?.keys()) ?? []) {
    if (key.startsWith(PREFIX) && key !== cacheOf(version)) await caches.delete(key);
  }
}

/** Let go of one set, for it does not start. @param {string} version */
export async function dropEngine(version) {
  await store()?.delete(cacheOf(version));
}

/**
 * @param {File} file
 * @param {(bytes: number) => void} onBytes
 * @param {typeof fetch} fetcher
 */
async function fetched(file, onBytes, fetcher) {
  const abort = new AbortController();
  let stalled = setTimeout(() => abort.abort(), STALL_MS);
  const parts = [];
  let length = 0;
  let type = '';
  try {
    const answer = await fetcher(addressOf(file.name), { cache: 'no-store', redirect: 'error', signal: abort.signal });
    if (!answer.ok || answer.body === null) throw new NoPacks('not_ours');
    type = answer.headers.get('Content-Type') ?? '';
    const reader = answer.body.getReader();
    for (let part = await reader.read(); !part.done; part = await reader.read()) {
      clearTimeout(stalled);
      stalled = setTimeout(() => abort.abort(), STALL_MS);
      parts.push(part.value);
      length += part.value.byteLength;
      onBytes(Math.min(length, file.bytes));
    }
  } catch (trouble) {
    if (trouble instanceof NoPacks) throw trouble;
    throw new NoPacks(abort.signal.aborted ? 'stalled' : 'unreachable');
  } finally {
    clearTimeout(stalled);
  }
  const bytes = await new Blob(/** @type {BlobPart[]} */ (parts)).arrayBuffer();
  if ((await integrityOf(bytes)) !== file.integrity) throw new NoPacks('spoilt');
  return new Response(bytes, { headers: { 'Content-Type': type } });
}

/** @param {ArrayBuffer} bytes */
async function integrityOf(bytes) {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return `sha256-${btoa(String.fromCharCode(...digest))}`;
}
