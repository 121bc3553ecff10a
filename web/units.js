/**
 * Quantities as a person reads and types them: metric or imperial, 12 or 24 hours. Inside, everything stays
 * in metres, degrees Celsius and UTC. Not for: rough values (rough.js), or zones (times.js).
 */

import { compassPoint } from './rough.js';
import { phone } from './phone.js';

const FEET_IN_METRE = 1 / 0.3048; // the international foot
const MILE_M = 1609.344;

/** Unit → what stands in its place in imperial, there and back. */
const IMPERIAL = /** @type {Record<string, {unit: string, to: (value: number) => number, from: (value: number) => number}>} */ ({
  m: { unit: 'ft', to: (m) => m * FEET_IN_METRE, from: (ft) => ft / FEET_IN_METRE },
  '°C': { unit: '°F', to: (c) => (c * 9) / 5 + 32, from: (f) => ((f - 32) * 5) / 9 },
});

/** Answer the unit that is shown in the place of one of ours. @param {string} unit @returns {string} */
export function shownUnit(unit) {
  return phone().units === 'imperial' ? (IMPERIAL[unit]?.unit ?? unit) : unit;
}

/** Answer a value as it is shown and typed. @param {number} value @param {string} unit ours */
export function toShown(value, unit) {
  const other = phone().units === 'imperial' ? IMPERIAL[unit] : undefined;
  return other === undefined ? value : rounded(other.to(value), 2);
}

/** Answer a typed value in our unit. @param {number} value @param {string} unit ours */
export function fromShown(value, unit) {
  const other = phone().units === 'imperial' ? IMPERIAL[unit] : undefined;
  return other === undefined ? value : rounded(other.from(value), 3);
}

/** Write a number with its unit, as `12 m` or `39 ft`. @param {number} value @param {string} [unit] @param {number} [digits] */
export function quantity(value, unit = '', digits = 2) {
  const shown = number(toShown(value, unit), digits);
  const named = shownUnit(unit);
  if (named === '') return shown;
  return named.startsWith('°') ? `${shown}${named}` : `${shown} ${named}`;
}

/** Write a distance with no more figures than it deserves. @param {number} m */
export function distance(m) {
  if (m === Infinity) return 'sky';
  if (phone().units === 'imperial') {
    if (m >= MILE_M) return `${number(m / MILE_M, 1)} miles`;
    return `${number(m * FEET_IN_METRE, m < 3 ? 1 : 0)} ft`;
  }
  if (m >= 1000) return `${number(m / 1000, 1)} km`;
  return `${number(m, m < 10 ? 1 : 0)} m`;
}

/** Write a bearing in degrees and in a word. @param {number} deg */
export function bearing(deg) {
  return `${Math.round(deg) % 360}° ${compassPoint(deg)[0]}`;
}

/** Write a number with a proper minus and no idle noughts. @param {number} value @param {number} [digits] */
export function number(value, digits = 2) {
  if (!Number.isFinite(value)) return value > 0 ? '∞' : '−∞';
  return String(rounded(value, digits)).replace('-', '−');
}

/** Write an amount of bytes. @param {number} bytes */
export function bytes(bytes) {
  if (bytes < 1000) return `${bytes} bytes`;
  if (bytes < 1e6) return `${Math.round(bytes / 1000)} kB`;
  if (bytes < 1e9) return `${number(bytes / 1e6, bytes < 1e7 ? 1 : 0)} MB`;
  return `${number(bytes / 1e9, 1)} GB`;
}

/**
 * Read a number as a person types it: a point or a comma before the decimals. Answers null for anything else,
 * and for `1,000`, which may mean either.
 * @param {string} typed
 * @returns {number | null}
 */
export function readNumber(typed) {
  const text = typed.trim().replace(/[−–]/g, '-').replace(/^\+/, '');
  if (!/^-?(\d+([.,]\d+)?|[.,]\d+)$/.test(text) || /^-?[1-9]\d{0,2},\d{3}$/.test(text)) return null;
  return Number(text.replace(',', '.'));
}

/** @param {number} value @param {number} digits */
function rounded(value, digits) {
  return Number(value.toFixed(digits)) + 0;
}
