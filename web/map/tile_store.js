/**
 * Tiles of the base maps that the user supplied: from what this phone keeps, else from the laptop; and an area
 * of them kept for later. Kept apart from the shell and from each other, so that no update throws them away.
 * Not for: drawing them (`base`).
 *
 * @typedef {{south_deg: number, west_deg: number, north_deg: number, east_deg: number}} Bounds
 * @typedef {{name: string, title: string, kind: string, bounds: Bounds | null, least_zoom: number, most_zoom: number, attribution: string, trouble: string | null}} Sheet
 * @typedef {{done: number, all: number, bytes: number}} Progress
 * @typedef {Progress & {ended: 'kept' | 'stopped' | 'unreachable' | 'full'}} Kept
 */

import { RAD } from '../sensing/angles.js';

const FOLDER = '/api/v1/maps';
const CACHE = 'map-';
const AT_ONCE = 4;
/** More at once than a field has: the area is too large, or looked at from too far. */
export const MOST_TILES = 12_000;

/** @param {string} name @param {number} z @param {number} x @param {number} y */
export function tileAddress(name, z, x, y) {
  return `${FOLDER}/${encodeURIComponent(name)}/${z}/${x}/${y}`;
}

/** Ask the laptop which base maps it has. Raises where it is not reached. @param {typeof fetch} [fetcher] @returns {Promise<Sheet[]>} */
export async function askSheets(fetcher = fetch) {
  const answer = await fetcher(FOLDER, { headers: { 'X-Scout': '1' }, cache: 'no-store' });
  const said = answer.ok ? await answer.json() : null;
  if (!Array.isArray(said?.maps)) throw new Error('no list of maps was answered');
  return said.maps;
}

/** Answer the tiles at one zoom that cover bounds. @param {Bounds} bounds @param {number} z */
export function covering({ south_deg, west_deg, north_deg, east_deg }, z) {
  const count = 2 ** z;
  const column = (/** @type {number} */ lon) => Math.min(count - 1, Math.max(0, Math.floor(((lon + 180) / 360) * count)));
  const row = (/** @type {number} */ lat) => {
    const up = Math.asinh(Math.tan(Math.max(-85.0511, Math.min(85.0511, lat)) * RAD)) / Math.PI;
    return Math.min(count - 1, Math.max(0, Math.floor(((1 - up) / 2) * count)));
  };
  return { west: column(west_deg), east: column(east_deg), north: row(north_deg), south: row(south_deg) };
}

/** Answer the part that two bounds share, or null. @param {Bounds} one @param {Bounds} other @returns {Bounds | null} */
export function shared(one, other) {
  const both = {
    south_deg: Math.max(one.south_deg, other.south_deg),
    west_deg: Math.max(one.west_deg, other.west_deg),
    north_deg: Math.min(one.north_deg, other.north_deg),
    east_deg: Math.min(one.east_deg, other.east_deg),
  };
  return both.south_deg < both.north_deg && both.west_deg < both.east_deg ? both : null;
}

/** Count the tiles of an area. @param {Bounds} bounds @param {number} least @param {number} most */
export function countTiles(bounds, least, most) {
  let count = 0;
  for (let z = least; z <= most; z++) {
    const { west, east, north, south } = covering(bounds, z);
    count += (east - west + 1) * (south - north + 1);
  }
  return count;
}

/** @param {Bounds} bounds @param {number} least @param {number} most */
export function* tilesOf(bounds, least, most) {
  for (let z = least; z <= most; z++) {
    const { west, east, north, south } = covering(bounds, z);
    for (let x = west; x <= east; x++) for (let y = north; y <= south; y++) yield { z, x, y };
  }
}

/**
 * Give a tile's bytes: kept ones first. Answers null where the map has none there; raises where neither knows.
 * @param {string} name @param {number} z @param {number} x @param {number} y
 * @param {{fetcher?: typeof fetch, caches?: CacheStorage | undefined, signal?: AbortSignal}} [from]
 * @returns {Promise<Blob | null>}
 */
export async function tileOf(name, z, x, y, { fetcher = fetch, caches = globalThis.caches, signal } = {}) {
  const address = tileAddress(name, z, x, y);
  const held = await caches?.match(address, { cacheName: CACHE + name });
  const answer = held ?? (await fetcher(address, signal === undefined ? {} : { signal }));
  if (answer.status === 204) return null;
  if (!isTile(answer)) throw new Error('no tile was answered');
  return answer.blob();
}

/** A portal's page, or any other answer with 200, is no tile. @param {Response} answer */
function isTile(answer) {
  return answer.status === 204 || (answer.status === 200 && /^image\/(png|jpeg|webp)$/.test(answer.headers.get('Content-Type') ?? ''));
}

/**
 * Keep an area; what is kept already is not fetched again.
 * @param {string} name
 * @param {Bounds} bounds
 * @param {number} least
 * @param {number} most
 * @param {{onProgress?: (progress: Progress) => void, signal?: AbortSignal, fetcher?: typeof fetch, caches?: CacheStorage}} [how]
 * @returns {Promise<Kept>}
 */
export async function keepArea(name, bounds, least, most, how = {}) {
  const { onProgress = () => {}, signal, fetcher = fetch, caches = globalThis.caches } = how;
  const progress = { done: 0, all: countTiles(bounds, least, most), bytes: 0 };
  const cache = await caches.open(CACHE + name);
  const tiles = tilesOf(bounds, least, most);
  /** @type {Kept['ended']} */
  let ended = 'kept';
  const worker = async () => {
    for (const { z, x, y } of tiles) {
      if (ended !== 'kept') return;
      if (signal?.aborted) {
        ended = 'stopped';
        return;
      }
      try {
        progress.bytes += await keepTile(cache, fetcher, tileAddress(name, z, x, y), signal);
      } catch (trouble) {
        if (ended === 'kept') ended = signal?.aborted ? 'stopped' : isFull(trouble) ? 'full' : 'unreachable';
        return;
      }
      progress.done += 1;
      onProgress({ ...progress });
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, worker));
  return { ...progress, ended };
}

/** @param {Cache} cache @param {typeof fetch} fetcher @param {string} address @param {AbortSignal | undefined} signal */
async function keepTile(cache, fetcher, address, signal) {
  const held = await cache.match(address);
  if (held !== undefined) return (await held.blob()).size;
  const answer = await fetcher(address, signal === undefined ? {} : { signal });
  if (!isTile(answer)) throw new Error('no tile was answered');
  const size = (await answer.clone().blob()).size;
  await cache.put(address, answer);
  return size;
}

/** @param {unknown} trouble */
function isFull(trouble) {
  return trouble instanceof DOMException && trouble.name === 'QuotaExceededError';
}

/** Answer how much of a map is kept here. @param {string} name @param {CacheStorage} [caches] */
export async function keptOf(name, caches = globalThis.caches) {
  if (caches === undefined || !(await caches.has(CACHE + name))) return { tiles: 0, bytes: 0 };
  const cache = await caches.open(CACHE + name);
  const keys = await cache.keys();
  let bytes = 0;
  for (const key of keys) bytes += (await (await cache.match(key))?.blob())?.size ?? 0;
  return { tiles: keys.length, bytes };
}

/** Remove what is kept of a map. @param {string} name @param {CacheStorage} [caches] */
export function dropKept(name, caches = globalThis.caches) {
  return caches.delete(CACHE + name);
}
