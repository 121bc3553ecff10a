/**
 * The engine's sentences as this phone is set: it writes metres and 24 hours, whoever asks.
 * Not for: what is kept or sent on, which stays as it was answered.
 */

import { phone } from '../phone.js';
import { distance } from '../units.js';

const METRES = /(\d+(?:\.\d+)?) m(?![\w/²])/g;
const CLOCK = /(?<![\dT:])([01]\d|2[0-3]):([0-5]\d)(?![\d:])/g;

/**
 * @template T
 * @param {T} answer
 * @returns {T}
 */
export function asSet(answer) {
  const { units, hours } = phone();
  if (units === 'metric' && hours === 24) return answer;
  const text = (/** @type {string} */ said) => {
    const measured = units === 'metric' ? said : said.replace(METRES, (_, m) => distance(Number(m)));
    return hours === 24 ? measured : measured.replace(CLOCK, (_, hour, minute) => `${hour % 12 || 12}:${minute} ${hour < 12 ? 'am' : 'pm'}`);
  };
  /** @type {(one: any) => any} */
  const all = (one) => {
    if (typeof one === 'string') return text(one);
    if (Array.isArray(one)) return one.map(all);
    return one && typeof one === 'object' ? Object.fromEntries(Object.entries(one).map(([name, value]) => [name, all(value)])) : one;
  };
  return all(answer);
}
