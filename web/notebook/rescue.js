/**
 * The rescue file: everything that this phone could not send, in one file that needs no network. One JSON
 * object a line; the last line says that the file is whole. `scout` brings it in.
 *
 *     {"rescue": 1, "device": "<id>", "made_at": "2026-05-12T04:35:00.000Z"}
 *     {"change": {...}}
 *     {"blob": "<sha256>", "media_type": "image/jpeg", "part": 1, "parts": 3, "base64": "..."}
 *     {"end": true}
 *
 * Not for: backups, or the usual way to the server (`sync`).
 *
 * @typedef {import('./store.js').Store} Store
 */

export const PART_BYTES = 1_048_576;

/**
 * Write the file. Photos are read one at a time.
 * @param {Store} store
 * @param {string} device
 * @param {number} now_ms
 * @returns {Promise<Blob>}
 */
export async function rescueFile(store, device, now_ms) {
  const db = await store.db();
  /** @type {BlobPart[]} */
  const parts = [line({ rescue: 1, device, made_at: new Date(now_ms).toISOString() })];
  const [unsent, parked] = await Promise.all([
    db.getAllFromIndex('journal', 'unsent'),
    db.getAllFromIndex('journal', 'parked'),
  ]);
  for (const row of [...unsent, ...parked]) parts.push(line({ change: row.change }));
  for (const sha256 of await db.getAllKeysFromIndex('blob', 'state', 'phone')) {
    const [row, bytes] = await Promise.all([db.get('blob', sha256), db.get('bytes', sha256)]);
    // Each photo becomes a Blob of its own at once: the browser may then put it on the disk.
    if (row !== undefined && bytes !== undefined) parts.push(new Blob(blobLines(sha256, row.type, bytes)));
  }
  parts.push(line({ end: true }));
  return new Blob(parts, { type: 'application/x-ndjson' });
}

/**
 * Write a photo's bytes as lines of at most 1 MiB each.
 * @param {string} sha256
 * @param {string} media_type
 * @param {ArrayBuffer} bytes
 * @returns {string[]}
 */
export function blobLines(sha256, media_type, bytes) {
  const parts = Math.max(1, Math.ceil(bytes.byteLength / PART_BYTES));
  return Array.from({ length: parts }, (_, part) => {
    const piece = new Uint8Array(bytes.slice(part * PART_BYTES, (part + 1) * PART_BYTES));
    return line({ blob: sha256, media_type, part: part + 1, parts, base64: base64Of(piece) });
  });
}

/**
 * Write bytes as base64 (RFC 4648, 4).
 * @param {Uint8Array} bytes
 * @returns {string}
 */
export function base64Of(bytes) {
  const texts = [];
  // In pieces, for String.fromCharCode takes only so many at once.
  for (let start = 0; start < bytes.length; start += 0x8000) {
    texts.push(String.fromCharCode(...bytes.subarray(start, start + 0x8000)));
  }
  return btoa(texts.join(''));
}

/** @param {unknown} value */
function line(value) {
  return `${JSON.stringify(value)}\n`;
}
