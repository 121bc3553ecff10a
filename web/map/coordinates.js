/**
 * Coordinates as a person types and reads them. Not for: map references of one country or another.
 */

/** Write a position. @param {{lat: number, lon: number}} position @param {number} digits */
export function written({ lat, lon }, digits = 5) {
  const one = (/** @type {number} */ value, /** @type {string} */ letters) =>
    `${Math.abs(value).toFixed(digits)} ${value < 0 ? letters[1] : letters[0]}`;
  return `${one(lat, 'NS')}, ${one(lon, 'EW')}`;
}

/**
 * Read a typed position: latitude, then longitude, as degrees with decimals or as degrees, minutes, seconds,
 * with signs or with N, S, E, W. Answers null for anything else: a wrong place is worse than none.
 * @param {string} typed
 * @returns {{lat: number, lon: number} | null}
 */
export function typed(typed) {
  const text = typed.trim().toUpperCase().replace(/[−–]/g, '-');
  // A comma may be a decimal mark only where a semicolon or letters part the two.
  const halves = parted(text);
  if (halves === null) return null;
  const [lat, lon] = [angle(halves[0], 'NS', 90), angle(halves[1], 'EW', 180)];
  return lat === null || lon === null ? null : { lat, lon };
}

/** @param {string} text @returns {[string, string] | null} */
function parted(text) {
  const lettered = /^(.*?[NS])[\s,;]*(.*[EW])$/.exec(text) ?? /^([NS].*?)[\s,;]*([EW].*)$/.exec(text);
  if (lettered) return [/** @type {string} */ (lettered[1]), /** @type {string} */ (lettered[2])];
  const halves = text.split(text.includes(';') ? ';' : text.includes(',') ? ',' : /\s+/);
  return halves.length === 2 ? /** @type {[string, string]} */ (halves) : null;
}

/**
 * @param {string} half
 * @param {string} letters
 * @param {number} most
 */
function angle(half, letters, most) {
  const letter = new RegExp(`[${letters}]`).exec(half)?.[0];
  const bare = half.replace(letter ?? '', '').trim();
  if (!/^[+-]?[0-9.,\s°'′"″]+$/.test(bare)) return null;
  const parts = bare.replace(/^[+-]/, '').replaceAll(',', '.').split(/[\s°'′"″]+/).filter(Boolean);
  if (parts.length < 1 || parts.length > 3 || parts.some((part) => !/^\d+(\.\d*)?$/.test(part))) return null;
  const [degrees, minutes, seconds] = parts.map(Number);
  if ((minutes ?? 0) >= 60 || (seconds ?? 0) >= 60) return null;
  if (parts.slice(0, -1).some((part) => part.includes('.'))) return null;
  if (letter !== undefined && /^[+-]/.test(bare)) return null;
  const value = /** @type {number} */ (degrees) + (minutes ?? 0) / 60 + (seconds ?? 0) / 3600;
  if (value > most) return null;
  return (bare.startsWith('-') || letter === letters[1] ? -1 : 1) * value + 0;
}
