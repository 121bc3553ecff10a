/** A field of words. Not for: words out of a few (field_choice.js). */

import { html } from '../doors/htm.js';
import { field as words } from '../words.js';
import { FieldFrame, describedBy } from './field.js';
import { Typed } from './typed.js';

const LINES_FROM = 300; // a text that may be longer than this gets several lines

/** @param {import('../types.d.ts').FieldProps<string>} props */
export function TextField({ field, id, value, onValue, troubles }) {
  const trouble = troubles[id];
  return html`<${FieldFrame} field=${field} id=${id} trouble=${trouble}>
    <${Typed} id=${id} value=${value ?? ''} kind=${(field.longest ?? 0) > LINES_FROM ? 'lines' : 'text'} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} onText=${(/** @type {string} */ text) => onValue(text === '' ? null : text)} />
  </${FieldFrame}>`;
}

/** A day of the year or a date, typed. @param {import('../types.d.ts').FieldProps<string>} props */
export function SeasonDayField({ field, id, value, onValue, troubles }) {
  const trouble = troubles[id];
  return html`<${FieldFrame} field=${field} id=${id} trouble=${trouble}>
    <${Typed} id=${id} value=${value ?? ''} kind="number" placeholder=${words.like_season_day} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} onText=${(/** @type {string} */ text) => onValue(text === '' ? null : text.trim())} />
  </${FieldFrame}>`;
}
