/** A field of one word out of a few, of yes or no, or of several words. Not for: records (field_link.js). */

import { html } from '../doors/htm.js';
import { field as words } from '../words.js';
import { Chips } from './chips.js';
import { FieldFrame, describedBy } from './field.js';

/** @param {import('../types.d.ts').FieldProps<string>} props */
export function ChoiceField({ field, id, value, onValue, troubles }) {
  const choices = (field.choices ?? []).map((word) => ({ value: word, label: word }));
  return html`<${FieldFrame} field=${field} id=${id} trouble=${troubles[id]} group>
    <${Chips} id=${id} choices=${choices} value=${value} labelled=${`${id}-name`} describedBy=${describedBy(field, id, troubles[id])} needed=${field.needed ?? false} onPick=${onValue} />
  </${FieldFrame}>`;
}

/** @param {import('../types.d.ts').FieldProps<boolean>} props */
export function FlagField({ field, id, value, onValue, troubles }) {
  const choices = [
    { value: true, label: words.yes },
    { value: false, label: words.no },
  ];
  return html`<${FieldFrame} field=${field} id=${id} trouble=${troubles[id]} group>
    <${Chips} id=${id} choices=${choices} value=${value} labelled=${`${id}-name`} describedBy=${describedBy(field, id, troubles[id])} onPick=${onValue} />
  </${FieldFrame}>`;
}

/** Several words of one list. @param {import('../types.d.ts').FieldProps<string[]>} props */
export function ChoicesField({ field, id, value, onValue, troubles }) {
  const choices = (field.item?.choices ?? []).map((word) => ({ value: word, label: word }));
  return html`<${FieldFrame} field=${field} id=${id} trouble=${troubles[id]} group>
    <${Chips} id=${id} choices=${choices} value=${value ?? []} many labelled=${`${id}-name`} onPick=${onValue} />
  </${FieldFrame}>`;
}
