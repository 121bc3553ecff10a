/**
 * What is on this phone alone and why: changes and photos that wait, photos that found no way, bytes that
 * may leave. Not for: sending them (`round`), or how many there are (`standing`).
 *
 * @typedef {import('./types.d.ts').BlobRow} BlobRow
 * @typedef {import('./notebook.js').Notebook} Notebook
 * @typedef {{record: string, kind: string, changes: number}} WaitingRecord
 */

import { changeBlob, freeBlob } from './photos.js';

/** @param {Notebook} notebook */
const storeOf = (notebook) => notebook.sync.means.store;

/**
 * Answer the records with changes that wait, oldest first, and how many more there are.
 * @param {Notebook} notebook
 * @param {number} [most] so many changes are looked at
 * @returns {Promise<{records: WaitingRecord[], more: number}>}
 */
export async function waitingRecords(notebook, most = 200) {
  const db = await storeOf(notebook).db();
  const [rows, all] = await Promise.all([
    db.getAllFromIndex('journal', 'unsent', null, most),
    db.countFromIndex('journal', 'unsent'),
  ]);
  /** @type {Map<string, WaitingRecord>} */
  const found = new Map();
  for (const { record, change } of rows) {
    const one = found.get(record) ?? { record, kind: change.kind, changes: 0 };
    found.set(record, { ...one, changes: one.changes + 1 });
  }
  return { records: [...found.values()], more: all - rows.length };
}

/**
 * Answer the photos that are on this phone alone, those in trouble first, with the record that names each.
 * @param {Notebook} notebook
 * @returns {Promise<{blob: BlobRow, record: string | undefined}[]>}
 */
export async function waitingPhotos(notebook) {
  const db = await storeOf(notebook).db();
  const rows = await db.getAllFromIndex('blob', 'state', 'phone');
  const keys = await Promise.all(rows.map((row) => db.getFromIndex('record', 'blob', row.sha256)));
  const found = rows.map((blob, place) => ({ blob, record: keys[place]?.id }));
  const named = found.filter(({ record }) => record !== undefined);
  return named.sort((one, other) => Number(other.blob.trouble !== undefined) - Number(one.blob.trouble !== undefined));
}

/**
 * Have a photo sent again that the server would not take.
 * @param {Notebook} notebook
 * @param {string} sha256
 */
export async function retryPhoto(notebook, sha256) {
  await changeBlob(storeOf(notebook), sha256, (row) => {
    const { trouble: _, ...rest } = row;
    return row.held ? { ...rest, waiting: row.size } : row;
  });
}

/**
 * Answer whether a photo's bytes are here, and what is known of them; undefined for bytes never heard of.
 * @param {Notebook} notebook
 * @param {string} sha256
 * @returns {Promise<BlobRow | undefined>}
 */
export async function bytesHere(notebook, sha256) {
  return (await storeOf(notebook).db()).get('blob', sha256);
}

/**
 * Answer the bytes that are in a backup and still here.
 * @param {Notebook} notebook
 */
export async function mayLeave(notebook) {
  const rows = await (await storeOf(notebook).db()).getAllFromIndex('blob', 'state', 'backed up');
  const held = rows.filter((row) => row.held);
  return { hashes: held.map((row) => row.sha256), bytes: held.reduce((sum, row) => sum + row.size, 0) };
}

/**
 * Let go of bytes that are in a backup; answers of how many.
 * @param {Notebook} notebook
 * @param {string[]} hashes
 */
export async function letGo(notebook, hashes) {
  let gone = 0;
  for (const sha256 of hashes) gone += Number(await freeBlob(storeOf(notebook), sha256));
  return gone;
}
