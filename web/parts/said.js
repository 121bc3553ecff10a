/**
 * A value as a person reads it, by its field in the schema. Anything may come over the wire, so nothing is
 * taken for granted: what does not fit its field is shown as it is. Always text, never markup.
 * Not for: asking for values (fields.js).
 *
 * @typedef {import('../types.d.ts').Field} Field
 * @typedef {{name: (id: string) => string | undefined}} Named
 */

import { compassPoint } from '../rough.js';
import { day, moment, ownZone } from '../times.js';
import { distance, number, quantity } from '../units.js';
import { field as words } from '../words.js';
import { record } from '../words_book.js';

/** Shutter times are spoken of as fractions up to here. */
const LONGEST_FRACTION_S = 0.5;
/** @type {Named} */
const NOBODY = { name: () => undefined };

/**
 * Write a value in words.
 * @param {Field | undefined} field undefined: a register that this version does not know
 * @param {any} value
 * @param {{names?: Named, zone?: string | undefined}} [about]
 * @returns {string}
 */
export function said(field, value, about = {}) {
  if (value === null || value === undefined) return '';
  try {
    return (field && ofKind(field, value, about)) ?? plain(value);
  } catch {
    return plain(value); // a zone or a date that no clock knows
  }
}

/** @param {any} value */
function plain(value) {
  return typeof value === 'string' ? value : JSON.stringify(value);
}

/**
 * @param {Field} field
 * @param {any} value
 * @param {{names?: Named, zone?: string | undefined}} about
 * @returns {string | undefined} undefined where it does not fit
 */
function ofKind(field, value, about) {
  switch (field.kind) {
    case 'number':
    case 'whole':
      return typeof value === 'number' ? ofNumber(field, value) : undefined;
    case 'flag':
      return typeof value === 'boolean' ? (value ? words.yes : words.no) : undefined;
    case 'date':
      return Number.isNaN(Date.parse(value)) ? undefined : day(Date.parse(`${value}T12:00:00Z`), 'UTC');
    case 'season_day':
      return day(Date.parse(`2024-${value}T12:00:00Z`), 'UTC', Date.parse('2024-01-01')).split(' ').slice(1).join(' ');
    case 'time':
      return moment(Date.parse(value), about.zone ?? ownZone());
    case 'id':
      return (about.names ?? NOBODY).name(value) ?? record.not_here;
    case 'digest':
      return typeof value === 'string' ? value.slice(0, 12) : undefined;
    case 'list':
      return Array.isArray(value) && field.item ? value.map((one) => said(field.item, one, about)).join(' · ') : undefined;
    case 'group':
      return typeof value === 'object' && !Array.isArray(value) ? ofGroup(field, value, about) : short(field, value, about);
    default:
      return undefined;
  }
}

/**
 * A group in its short form: an instant is read, the rest is words already.
 * @param {Field} field
 * @param {any} value
 * @param {{zone?: string | undefined}} about
 */
function short(field, value, { zone = ownZone() }) {
  const instant = field.fields?.some((part) => part.name === 'at' && part.kind === 'time');
  return instant && typeof value === 'string' ? moment(Date.parse(value), zone) : undefined;
}

/** @param {Field} field @param {number} value */
function ofNumber(field, value) {
  const unit = field.unit ?? '';
  if (unit === '° true') return `${number(value, 1)}° ${compassPoint(value)[0]}`;
  if (unit === 's' && value > 0 && value <= LONGEST_FRACTION_S) return `1/${number(1 / value, 0)} s`;
  if (unit === 'm' && value >= 1000) return distance(value);
  return quantity(value, unit, field.kind === 'whole' ? 0 : 3);
}

/**
 * @param {Field} field
 * @param {Record<string, any>} value
 * @param {{names?: Named, zone?: string | undefined}} about
 */
function ofGroup(field, value, about) {
  if (typeof value.lat === 'number' && typeof value.lon === 'number') return place(value);
  if (typeof value.read_deg === 'number') return bearing(value);
  if (typeof value.at === 'string') {
    const zone = value.zone ?? about.zone ?? ownZone();
    return moment(Date.parse(value.at), zone);
  }
  if (value.sky === true) return record.sky;
  return (field.fields ?? []).flatMap((part) => ofPart(part, value[part.name], about)).join(', ');
}

/**
 * @param {Field} part
 * @param {any} value
 * @param {{names?: Named, zone?: string | undefined}} about
 * @returns {string[]}
 */
function ofPart(part, value, about) {
  if (value === undefined || value === null) return [];
  if (value === true) return [part.label.toLowerCase()];
  if (value === false) return [];
  const text = said(part, value, about);
  if (part.name.startsWith('plus_minus')) return [`± ${text}`];
  if (['m', 'deg', 'how', 'what', 'note', 'why'].includes(part.name)) return [text];
  return [`${part.label.toLowerCase()} ${text}`];
}

/** @param {Record<string, any>} value */
function place({ lat, lon, accuracy_m, source }) {
  const half = (/** @type {number} */ deg, /** @type {string} */ up, /** @type {string} */ down) => `${Math.abs(deg).toFixed(5)}° ${deg < 0 ? down : up}`;
  const parts = [`${half(lat, 'N', 'S')}, ${half(lon, 'E', 'W')}`];
  if (typeof accuracy_m === 'number') parts.push(`± ${distance(accuracy_m)}`);
  if (source !== undefined) parts.push(plain(source));
  return parts.join(', ');
}

/** @param {Record<string, any>} value */
function bearing({ read_deg, reference, how, plus_minus_deg }) {
  const parts = [`${number(read_deg, 1)}° ${compassPoint(read_deg)[0]} ${words.reference[/** @type {'true' | 'magnetic'} */ (reference)] ?? ''}`.trim()];
  if (how !== undefined) parts.push(plain(how));
  if (typeof plus_minus_deg === 'number') parts.push(`± ${number(plus_minus_deg, 1)}°`);
  return parts.join(', ');
}
