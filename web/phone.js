/**
 * What this phone is set to: its look, the hand that holds it, units, clock. Kept beside the notebook and not
 * in it, for the look must be known before the first paint, and it is nobody else's business.
 * Not for: what all phones of a notebook share (the record kind `settings`).
 *
 * @typedef {object} Phone
 * @property {'phone' | 'day' | 'dark' | 'night'} look `phone`: as the phone itself is set
 * @property {'right' | 'left'} hand
 * @property {'metric' | 'imperial'} units
 * @property {24 | 12} hours
 * @property {number} dim share of the light taken away in the night look, 0 to 0.9
 */

import { useEffect, useState } from './doors/preact.js';

const KEY = 'phone';

/** @type {Phone} */
export const UNSET = { look: 'phone', hand: 'right', units: 'metric', hours: 24, dim: 0 };

/** @type {{[K in keyof Phone]: (value: unknown) => boolean}} */
const ALLOWED = {
  look: (value) => ['phone', 'day', 'dark', 'night'].includes(String(value)),
  hand: (value) => value === 'right' || value === 'left',
  units: (value) => value === 'metric' || value === 'imperial',
  hours: (value) => value === 24 || value === 12,
  dim: (value) => typeof value === 'number' && value >= 0 && value <= 0.9,
};

/** @type {Phone | undefined} */
let known;
/** @type {Set<(phone: Phone) => void>} */
const listeners = new Set();

/** Answer what is set; what was never set is as `UNSET`. @returns {Phone} */
export function phone() {
  known ??= { ...UNSET, ...kept() };
  return known;
}

/** Set some of it, here and in other pages. @param {Partial<Phone>} wanted */
export function setPhone(wanted) {
  known = { ...phone(), ...wanted };
  try {
    localStorage.setItem(KEY, JSON.stringify(known));
  } catch {
    // full or forbidden: it holds until the page is closed
  }
  tell();
}

/** Hear of every change. @param {(phone: Phone) => void} listener */
export function onPhone(listener) {
  listeners.add(listener);
  return () => void listeners.delete(listener);
}

/** The hook of the same. @returns {Phone} */
export function usePhone() {
  const [value, setValue] = useState(phone);
  useEffect(() => onPhone(setValue), []);
  return value;
}

/** @returns {Partial<Phone>} */
function kept() {
  try {
    const read = JSON.parse(localStorage.getItem(KEY) ?? '{}') ?? {};
    const names = /** @type {(keyof Phone)[]} */ (Object.keys(ALLOWED));
    return Object.fromEntries(names.filter((name) => ALLOWED[name](read[name])).map((name) => [name, read[name]]));
  } catch {
    return {};
  }
}

function tell() {
  for (const listener of listeners) listener(phone());
}

addEventListener('storage', (event) => {
  if (event.key !== KEY) return;
  known = undefined;
  tell();
});
