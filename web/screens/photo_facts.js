/**
 * What a photo's file says of itself: when, where, which way, how exposed. Read before the picture is made
 * smaller, which drops all of it. Read with caps, a few tags, each of the one kind it may be: files come from
 * strangers. The clock of a camera mostly has no zone, and phones take the position out: both are hints.
 * The same rules as the server's, so that a photo says one thing on either. Not for: pixels (photo_small.js).
 *
 * Tags: Exif 3.0 (CIPA DC-008-2023), sections 4.6.5 to 4.6.6.
 *
 * @typedef {{local: string, offset: string | null}} TakenAt
 * @typedef {{shutter_s: number, f_number: number, iso: number, compensation_ev?: number}} Exposed
 * @typedef {object} Facts
 * @property {TakenAt} [at]
 * @property {{lat: number, lon: number, accuracy_m?: number, source: 'photo'}} [position]
 * @property {{read_deg: number, reference: string, how: 'phone compass'}} [bearing]
 * @property {Exposed} [exposure]
 * @property {boolean} is_flash
 */

const EXIF_IFD = 0x8769;
const GPS_IFD = 0x8825;
const [TIME_TAKEN, ITS_OFFSET] = [0x9003, 0x9011];
const [EXPOSURE_S, F_NUMBER, ISO, BIAS_EV, FLASH] = [0x829a, 0x829d, 0x8827, 0x9204, 0x9209];
const [LAT_REF, LAT, LON_REF, LON, WAY_REF, WAY, ERROR_M] = [1, 2, 3, 4, 16, 17, 31];
const MOST_TAGS = 200;
const MOST_VALUES = 64;
/** Type of a tag → bytes of one value. @type {Record<number, number>} */
const SIZES = { 1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 9: 4, 10: 8 };

/** @param {ArrayBuffer} bytes @returns {Facts} */
export function factsOf(bytes) {
  try {
    const tiff = tiffOf(new DataView(bytes));
    if (tiff === null) return { is_flash: false };
    const order = tiff.getUint16(0);
    if (order !== 0x4949 && order !== 0x4d4d) return { is_flash: false };
    const little = order === 0x4949;
    const first = tagsAt(tiff, tiff.getUint32(4, little), little);
    const exif = tagsAt(tiff, one(first.get(EXIF_IFD)) ?? 0, little);
    const gps = tagsAt(tiff, one(first.get(GPS_IFD)) ?? 0, little);
    const found = { at: takenAt(exif), position: positionIn(gps), bearing: bearingIn(gps), exposure: exposureIn(exif) };
    const said = Object.fromEntries(Object.entries(found).filter(([, value]) => value !== undefined));
    return { ...said, is_flash: ((one(exif.get(FLASH)) ?? 0) & 1) === 1 };
  } catch {
    return { is_flash: false }; // a broken directory says nothing and spoils no picture
  }
}

/** Find the TIFF structure in a JPEG, PNG or WebP file. @param {DataView} file @returns {DataView | null} */
function tiffOf(file) {
  const at = (/** @type {number} */ start, /** @type {number} */ length) => new DataView(file.buffer, file.byteOffset + start, length);
  if (file.byteLength < 16) return null;
  if (file.getUint16(0) === 0xffd8) {
    for (let place = 2; place + 10 < file.byteLength && file.getUint8(place) === 0xff; ) {
      const marker = file.getUint8(place + 1);
      const length = file.getUint16(place + 2);
      if (marker === 0xe1 && file.getUint32(place + 4) === 0x45786966) return at(place + 10, length - 8);
      if (marker === 0xda || length < 2) return null;
      place += 2 + length;
    }
    return null;
  }
  const is_png = file.getUint32(0) === 0x89504e47;
  const is_webp = file.getUint32(0) === 0x52494646 && file.getUint32(8) === 0x57454250;
  for (let place = is_png ? 8 : 12; (is_png || is_webp) && place + 8 <= file.byteLength; ) {
    const length = file.getUint32(place + (is_png ? 0 : 4), is_webp);
    const name = file.getUint32(place + (is_png ? 4 : 0));
    if (is_png && name === 0x65584966) return at(place + 8, length);
    if (is_webp && name === 0x45584946) {
      const skip = file.getUint32(place + 8) === 0x45786966 ? 6 : 0;
      return at(place + 8 + skip, length - skip);
    }
    place += is_png ? 12 + length : 8 + length + (length % 2);
  }
  return null;
}

/** @param {DataView} tiff @param {number} start @param {boolean} little @returns {Map<number, any[] | string>} */
function tagsAt(tiff, start, little) {
  /** @type {Map<number, any[] | string>} */
  const tags = new Map();
  if (start < 8 || start + 2 > tiff.byteLength) return tags;
  const count = Math.min(tiff.getUint16(start, little), MOST_TAGS);
  for (let place = 0; place < count; place++) {
    const at = start + 2 + place * 12;
    if (at + 12 > tiff.byteLength) break;
    const type = tiff.getUint16(at + 2, little);
    const many = tiff.getUint32(at + 4, little);
    const size = (SIZES[type] ?? 0) * many;
    if (size === 0 || many > MOST_VALUES) continue;
    const from = size <= 4 ? at + 8 : tiff.getUint32(at + 8, little);
    if (from + size > tiff.byteLength) continue;
    tags.set(tiff.getUint16(at, little), valuesAt(tiff, from, type, many, little));
  }
  return tags;
}

/** @param {DataView} tiff @param {number} from @param {number} type @param {number} many @param {boolean} little */
function valuesAt(tiff, from, type, many, little) {
  if (type === 2) return String.fromCharCode(...new Uint8Array(tiff.buffer, tiff.byteOffset + from, many)).replace(/\0[^]*$/, '').trim();
  return Array.from({ length: many }, (_, place) => {
    const at = from + place * (SIZES[type] ?? 1);
    if (type === 3) return tiff.getUint16(at, little);
    if (type === 4) return tiff.getUint32(at, little);
    if (type === 9) return tiff.getInt32(at, little);
    if (type === 5) return tiff.getUint32(at, little) / tiff.getUint32(at + 4, little);
    if (type === 10) return tiff.getInt32(at, little) / tiff.getInt32(at + 4, little);
    return tiff.getUint8(at);
  });
}

/** The first number of a tag. @param {any[] | string | undefined} value @returns {number | undefined} */
function one(value) {
  const found = Array.isArray(value) ? value[0] : undefined;
  return Number.isFinite(found) ? found : undefined;
}

/** @param {Map<number, any[] | string>} tags @returns {TakenAt | undefined} */
function takenAt(tags) {
  const typed = tags.get(TIME_TAKEN);
  const found = typeof typed === 'string' ? /^(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)$/.exec(typed) : null;
  if (found === null) return undefined;
  const local = `${found[1]}-${found[2]}-${found[3]}T${found[4]}`;
  // A day that no calendar has, such as 31 April, is taken for another one by the parser.
  if (Number.isNaN(Date.parse(`${local}Z`)) || new Date(`${local}Z`).toISOString().slice(0, 19) !== local) return undefined;
  const said = tags.get(ITS_OFFSET);
  const offset = typeof said === 'string' ? /^[+-](\d\d):(\d\d)$/.exec(said) : null;
  const is_known = offset !== null && Number(offset[1]) <= 14 && Number(offset[2]) <= 59;
  return { local, offset: is_known ? String(said) : null };
}

/** @param {Map<number, any[] | string>} tags @returns {Facts['position']} */
function positionIn(tags) {
  const [lat, lon] = [degrees(tags.get(LAT)), degrees(tags.get(LON))];
  const [north, east] = [tags.get(LAT_REF), tags.get(LON_REF)];
  if (lat === undefined || lon === undefined || (north !== 'N' && north !== 'S') || (east !== 'E' && east !== 'W')) return undefined;
  if (lat > 90 || lon > 180 || (lat === 0 && lon === 0)) return undefined;
  const error_m = one(tags.get(ERROR_M));
  const known = error_m !== undefined && error_m > 0 && error_m <= 100_000;
  return { lat: rounded(north === 'N' ? lat : -lat, 7), lon: rounded(east === 'E' ? lon : -lon, 7), source: 'photo', ...(known && { accuracy_m: rounded(error_m, 1) }) };
}

/** @param {Map<number, any[] | string>} tags @returns {Facts['bearing']} */
function bearingIn(tags) {
  const way = one(tags.get(WAY));
  const reference = { T: 'true', M: 'magnetic' }[String(tags.get(WAY_REF))];
  if (way === undefined || way < 0 || way > 360 || reference === undefined) return undefined;
  return { read_deg: rounded(way, 2), reference, how: 'phone compass' };
}

/** @param {Map<number, any[] | string>} tags @returns {Exposed | undefined} */
function exposureIn(tags) {
  const [shutter_s, f_number, iso, bias] = [EXPOSURE_S, F_NUMBER, ISO, BIAS_EV].map((tag) => one(tags.get(tag)));
  if (shutter_s === undefined || f_number === undefined || iso === undefined) return undefined;
  if (shutter_s < 1e-5 || shutter_s > 3600 || f_number <= 0.5 || f_number > 128 || iso < 1 || iso > 10_000_000) return undefined;
  const known = bias !== undefined && Math.abs(bias) <= 10;
  return { shutter_s, f_number: rounded(f_number, 2), iso, ...(known && { compensation_ev: rounded(bias, 2) }) };
}

/** Degrees of degrees, minutes and seconds. @param {any[] | string | undefined} value */
function degrees(value) {
  if (!Array.isArray(value) || value.length !== 3) return undefined;
  const [deg, minutes, seconds] = value;
  if (!value.every((part) => Number.isFinite(part) && part >= 0) || minutes >= 61 || seconds >= 61) return undefined;
  return deg + minutes / 60 + seconds / 3600;
}

/** @param {number} value @param {number} digits */
function rounded(value, digits) {
  return Number(value.toFixed(digits)) + 0;
}
