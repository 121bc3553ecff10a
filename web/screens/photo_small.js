/**
 * A photo made small enough for a phone that keeps it: a thumbnail first, then the picture itself. Its pixels
 * are made anew, so nothing else that hid in the file comes along. Not for: what the file says (photo_facts.js).
 */

/** The longer side of what is kept [px]: fills a large screen, and a branch can still be told from a reed; ours. */
export const LONGEST_PX = 2048;
const THUMBNAIL_PX = 320;
const LEAST_BYTES = 1_500_000; // smaller than this nothing is gained
const QUALITY = 0.85;
const MOST_BYTES = 200_000_000; // more the server does not take

/** The kinds of picture that are kept as they are; any other is made into the first. @param {ArrayBuffer} bytes */
export function typeOf(bytes) {
  if (bytes.byteLength < 12) return null;
  const file = new DataView(bytes);
  if (file.getUint16(0) === 0xffd8) return 'image/jpeg';
  if (file.getUint32(0) === 0x89504e47) return 'image/png';
  return file.getUint32(0) === 0x52494646 && file.getUint32(8) === 0x57454250 ? 'image/webp' : null;
}

/** Make a small picture to look at while the rest is done; null where the browser cannot read it. @param {Blob} file */
export async function thumbnailOf(file) {
  try {
    const bitmap = await createImageBitmap(file, { resizeWidth: THUMBNAIL_PX, resizeQuality: 'low' });
    return await encoded(bitmap, bitmap.width, bitmap.height);
  } catch {
    return null;
  }
}

/**
 * Answer what is to be kept of a picture; null where the browser cannot read it.
 * @param {ArrayBuffer} bytes
 * @param {{is_whole: boolean}} how is_whole: as it is, where the server takes its kind
 * @returns {Promise<{bytes: ArrayBuffer, type: string} | null>}
 */
export async function keptOf(bytes, { is_whole }) {
  const type = typeOf(bytes);
  if (is_whole && type !== null && bytes.byteLength <= MOST_BYTES) return { bytes, type };
  let bitmap;
  try {
    bitmap = await createImageBitmap(new Blob([bytes], { type: type ?? '' }));
  } catch {
    return null;
  }
  const share = Math.min(1, LONGEST_PX / Math.max(bitmap.width, bitmap.height));
  if (share === 1 && type !== null && bytes.byteLength <= LEAST_BYTES) {
    bitmap.close();
    return { bytes, type };
  }
  const small = await encoded(bitmap, Math.max(1, Math.round(bitmap.width * share)), Math.max(1, Math.round(bitmap.height * share)));
  return small === null ? null : { bytes: await small.arrayBuffer(), type: small.type };
}

/** @param {ImageBitmap} bitmap @param {number} width @param {number} height @returns {Promise<Blob | null>} */
function encoded(bitmap, width, height) {
  const canvas = document.createElement('canvas');
  canvas.width = width;
  canvas.height = height;
  const pen = canvas.getContext('2d');
  if (pen !== null) {
    pen.imageSmoothingQuality = 'high';
    pen.fillStyle = '#fff'; // what is transparent stands on paper
    pen.fillRect(0, 0, width, height);
    pen.drawImage(bitmap, 0, 0, width, height);
  }
  bitmap.close();
  return new Promise((resolve) => canvas.toBlob(resolve, 'image/jpeg', QUALITY));
}
