/**
 * What is wrong with a value before it is saved, as a sentence at its field. A courtesy: the server judges.
 * Not for: meaning across records.
 *
 * @typedef {import('../types.d.ts').Field} Field
 */

import { number, shownUnit, toShown } from '../units.js';
import { trouble as words } from '../words.js';

/**
 * Answer sentences by path for the values of a form.
 * @param {readonly Field[]} fields
 * @param {Record<string, any>} values
 * @param {string} [prefix]
 * @returns {Record<string, string>}
 */
export function troublesOf(fields, values, prefix = '') {
  /** @type {Record<string, string>} */
  const found = {};
  for (const field of fields) Object.assign(found, one(field, values[field.name], `${prefix}${field.name}`));
  if (fields.some((field) => field.name === 'keepers') && !isBlank(values.frames) && values.keepers > values.frames) found.keepers ??= words.too_many_kept(values.keepers, values.frames);
  return found;
}

/** Say in words what a number field takes. @param {Field} field */
export function remedy(field) {
  const unit = field.unit ? ` ${shownUnit(field.unit)}` : '';
  const said = (/** @type {number} */ value) => number(toShown(value, field.unit ?? ''), 2);
  const { low, high, above } = field;
  if (low !== undefined && high !== undefined) return `a number from ${said(low)} to ${said(high)}${unit}`;
  if (above !== undefined && high !== undefined) return `a number above ${said(above)} and up to ${said(high)}${unit}`;
  if (low !== undefined) return `a number of ${said(low)}${unit} or more`;
  if (high !== undefined) return `a number up to ${said(high)}${unit}`;
  return field.kind === 'whole' ? 'a whole number such as 4' : 'a number such as 4.5';
}

/** @param {any} value */
export const isBlank = (value) =>
  value === undefined || value === null || (typeof value === 'string' && value.trim() === '') || (Array.isArray(value) && value.length === 0);

/**
 * @param {Field} field
 * @param {any} value
 * @param {string} path
 * @returns {Record<string, string>}
 */
function one(field, value, path) {
  if (isBlank(value)) return field.needed ? { [path]: words.needed } : {};
  switch (field.kind) {
    case 'number':
    case 'whole': {
      const said = ofNumber(field, value);
      return said === null ? {} : { [path]: said };
    }
    case 'text':
      return value.length > (field.longest ?? Infinity) ? { [path]: words.too_long(value.length, field.longest ?? 0) } : {};
    case 'date':
      return isDate(value) ? {} : { [path]: words.not_date(value) };
    case 'season_day':
      return /^\d{2}-\d{2}$/.test(value) && isDate(`2024-${value}`) ? {} : { [path]: words.not_season_day(value) };
    case 'time':
      return Number.isNaN(Date.parse(value)) ? { [path]: words.not_time(value) } : {};
    case 'group':
      // A group that holds what was typed and not understood says so as a whole.
      return typeof value === 'string' ? { [path]: groupTrouble(field, value) } : troublesOf(field.fields ?? [], value, `${path}.`);
    case 'list': {
      if (value.length > (field.most ?? Infinity)) return { [path]: words.too_many(value.length, field.most ?? 0) };
      const item = /** @type {Field} */ ({ ...field.item, needed: true });
      return Object.assign({}, ...value.map((/** @type {any} */ entry, /** @type {number} */ place) => one(item, entry, `${path}.${place}`)));
    }
    default:
      return {};
  }
}

/** @param {Field} field @param {string} typed */
function groupTrouble(field, typed) {
  const has = (/** @type {string} */ name) => field.fields?.some((part) => part.name === name);
  if (has('lat')) return words.not_position(typed);
  if (has('at')) return words.not_time(typed);
  return words.not_number(typed, 'a number such as 4.5');
}

/** @param {Field} field @param {number | string} value */
function ofNumber(field, value) {
  if (typeof value !== 'number' || !Number.isFinite(value)) return words.not_number(String(value), remedy(field));
  const shown = number(toShown(value, field.unit ?? ''), 4);
  const { low = -Infinity, high = Infinity, above = -Infinity } = field;
  if (value < low || value > high || value <= above) return words.out_of_range(shown, remedy(field));
  return field.kind === 'whole' && !Number.isInteger(value) ? words.not_whole(shown) : null;
}

/** @param {string} text */
function isDate(text) {
  const at_ms = Date.parse(`${text}T00:00:00Z`);
  return /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(at_ms) && new Date(at_ms).toISOString().startsWith(text);
}

