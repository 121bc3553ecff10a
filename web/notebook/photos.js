/**
 * Bytes of photos on the phone, named by their SHA-256. Kept as ArrayBuffers, for WebKit loses Blobs.
 * Not for: photo records (they are records like others), or pictures' contents.
 *
 * @typedef {import('./types.d.ts').BlobRow} BlobRow
 * @typedef {import('./store.js').Store} Store
 */

import { sha256Of } from './canonical.js';
import { NotSaved, notSaved } from './writing.js';

/** Kept free so that words always fit [bytes]. */
export const RESERVE_BYTES = 50_000_000;

/**
 * Keep bytes; answers their hash once they are on the disk. Raises NotSaved ('full') where they would not
 * leave room for words.
 * @param {Store} store
 * @param {ArrayBuffer} bytes
 * @param {string} type media type
 * @param {number} at phone's clock [ms]
 * @param {Partial<BlobRow>} [about]
 * @returns {Promise<string>}
 */
export async function putBlob(store, bytes, type, at, about = { waiting: bytes.byteLength }) {
  const sha256 = await sha256Of(bytes);
  await checkRoom(bytes.byteLength);
  const db = await store.db();
  const tx = db.transaction(['blob', 'bytes'], 'readwrite', { durability: 'strict' });
  const done = tx.done;
  done.catch(() => {});
  try {
    const blobs = tx.objectStore('blob');
    const before = await blobs.get(sha256);
    const puts = [];
    if (before === undefined || !before.held) {
      /** @type {BlobRow} */
      const row = { sha256, type, size: bytes.byteLength, at, state: 'phone', held: true, ...about };
      puts.push(blobs.put(before === undefined ? row : { ...before, held: true }));
      puts.push(tx.objectStore('bytes').put(bytes, sha256));
    }
    await Promise.all([...puts, done]);
    return sha256;
  } catch (trouble) {
    const cause = await done.then(() => trouble, (/** @type {unknown} */ why) => why);
    throw notSaved(cause);
  }
}

/** @param {number} size_bytes */
async function checkRoom(size_bytes) {
  const { quota = Infinity, usage = 0 } = (await globalThis.navigator?.storage?.estimate?.()) ?? {};
  if (quota - usage - size_bytes < RESERVE_BYTES) throw new NotSaved('full', null);
}

/**
 * Answer bytes as a Blob, or undefined where they are not on this phone.
 * @param {Store} store
 * @param {string} sha256
 * @returns {Promise<Blob | undefined>}
 */
export async function blobOf(store, sha256) {
  const db = await store.db();
  const [row, bytes] = await Promise.all([db.get('blob', sha256), db.get('bytes', sha256)]);
  return bytes === undefined ? undefined : new Blob([bytes], { type: row?.type ?? '' });
}

/**
 * Fetch bytes from the server and keep them. Raises ServerTrouble; Error where they are not what the hash
 * says.
 * @param {Store} store
 * @param {import('./server.js').Server} server
 * @param {string} sha256
 * @param {number} at phone's clock [ms]
 */
export async function fetchBlob(store, server, sha256, at) {
  const { bytes, type } = await server.blob(sha256);
  const held = await putBlob(store, bytes, type, at, { state: 'server' });
  if (held === sha256) return new Blob([bytes], { type });
  await dropBlob(store, held);
  throw new Error('the server sent other bytes than those asked for');
}

/**
 * Let go of bytes that a verified backup holds; answers whether they were. Others stay.
 * @param {Store} store
 * @param {string} sha256
 */
export async function freeBlob(store, sha256) {
  const tx = (await store.db()).transaction(['blob', 'bytes'], 'readwrite');
  const row = await tx.objectStore('blob').get(sha256);
  const may = row !== undefined && row.held && row.state === 'backed up';
  if (may) {
    await tx.objectStore('blob').put({ ...row, held: false });
    await tx.objectStore('bytes').delete(sha256);
  }
  await tx.done;
  return may;
}

/**
 * Drop bytes that no record names: a photo taken and then not kept. Answers whether it did.
 * @param {Store} store
 * @param {string} sha256
 */
export async function dropBlob(store, sha256) {
  const tx = (await store.db()).transaction(['blob', 'bytes', 'record'], 'readwrite');
  const named = await tx.objectStore('record').index('blob').getKey(sha256);
  if (named === undefined) {
    await tx.objectStore('blob').delete(sha256);
    await tx.objectStore('bytes').delete(sha256);
  }
  await tx.done;
  return named === undefined;
}

/**
 * Change what is known of bytes.
 * @param {Store} store
 * @param {string} sha256
 * @param {(row: BlobRow) => BlobRow} changed
 */
export async function changeBlob(store, sha256, changed) {
  const tx = (await store.db()).transaction('blob', 'readwrite');
  const row = await tx.store.get(sha256);
  if (row !== undefined) await tx.store.put(changed(row));
  await tx.done;
}

/**
 * Answer the photos that wait to be sent: those that a record names.
 * @param {Store} store
 * @returns {Promise<BlobRow[]>}
 */
export async function waitingBlobs(store) {
  const db = await store.db();
  const rows = await db.getAllFromIndex('blob', 'waiting');
  const named = await Promise.all(rows.map((row) => db.getKeyFromIndex('record', 'blob', row.sha256)));
  return rows.filter((_, place) => named[place] !== undefined);
}

/**
 * Say what the server told of bytes: missing there, there, or in a backup.
 * @param {BlobRow} row
 * @param {string} told
 * @returns {BlobRow}
 */
export function toldOf({ waiting: _, trouble: __, ...row }, told) {
  if (told === 'backed_up') return { ...row, state: 'backed up' };
  if (told === 'here') return { ...row, state: 'server' };
  if (row.held) return { ...row, state: 'phone', waiting: row.size };
  return { ...row, state: 'phone', trouble: { code: 'bytes_lost' } };
}
