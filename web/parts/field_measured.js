/**
 * One measured number with how it was measured and its ±: a tilt, an elevation.
 * Not for: distances and bearings, which have rough ways of their own.
 */

import { html } from '../doors/htm.js';
import { plusMinus } from '../rough.js';
import { quantity, shownUnit } from '../units.js';
import { field as words } from '../words.js';
import { Chips } from './chips.js';
import { FieldFrame, describedBy } from './field.js';
import { NumberBox } from './field_number.js';

/** Answer the number of such a group: the part beside `how`. @param {import('../types.d.ts').Field} field */
export function measuredPart(field) {
  const parts = field.fields ?? [];
  const main = parts.find((part) => part.name === 'm' || part.name === 'deg');
  return parts.some((part) => part.name === 'how') ? main : undefined;
}

/** @param {import('../types.d.ts').FieldProps<Record<string, any>>} props */
export function MeasuredField({ field, id, value, onValue, troubles }) {
  const main = /** @type {import('../types.d.ts').Field} */ (measuredPart(field));
  const unit = main.unit ?? '';
  const how = field.fields?.find((part) => part.name === 'how');
  const trouble = troubles[id] ?? troubles[`${id}.${main.name}`];
  const type = (/** @type {any} */ typed) => {
    // What the phone held is not what is typed over it: a figure is a guess until somebody says how it was had.
    const way = value?.how === undefined || value.how === 'phone edge' ? 'guess' : value.how;
    onValue(typed === null ? null : { [main.name]: typed, how: way });
  };
  const measured = (/** @type {string | null} */ way) => {
    const { how: _, plus_minus_deg: __, plus_minus_m: ___, ...kept } = value ?? {};
    onValue({ ...kept, ...(way !== null && { how: way }) });
  };
  const stated = value?.plus_minus_deg ?? value?.plus_minus_m;
  const by_way = stated ?? plusMinus(value?.how, main.name === 'deg' ? 'tilt' : 'elevation');
  return html`<${FieldFrame} field=${field} id=${id} trouble=${trouble} group>
    <div class="exact">
      <${NumberBox} id=${id} value=${value?.[main.name]} unit=${unit} label=${field.label} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} onValue=${type} />
      <span class="unit">${shownUnit(unit)}</span>
      <output class="plus-minus" for=${id}>${by_way === undefined ? '' : `${words.plus_minus} ${quantity(by_way, unit, 1)}`}</output>
    </div>
    ${value ? html`<${Chips} choices=${(how?.choices ?? []).map((word) => ({ value: word, label: word }))} value=${value.how} label=${how?.label} onPick=${measured} />` : null}
  </${FieldFrame}>`;
}
