/**
 * A bearing: a compass word, degrees typed, or the phone's compass held by a tap. What was read stays as read,
 * with the north that it counts from. Not for: turning magnetic into true (map/compass.js).
 *
 * @typedef {{read_deg: number | string, reference: 'true' | 'magnetic', how?: string, plus_minus_deg?: number, true_deg?: number}} Bearing
 */

import { html } from '../doors/htm.js';
import { compassPoint, plusMinus } from '../rough.js';
import { number } from '../units.js';
import { field as words } from '../words.js';
import { Chips } from './chips.js';
import { CompassWords } from './compass_words.js';
import { FieldFrame, describedBy } from './field.js';
import { NumberBox } from './field_number.js';
import { HeldHeading } from './held_heading.js';

/** @param {import('../types.d.ts').FieldProps<Bearing>} props */
export function BearingField({ field, id, value, onValue, troubles }) {
  const parts = new Map((field.fields ?? []).map((part) => [part.name, part]));
  const trouble = troubles[id] ?? troubles[`${id}.read_deg`] ?? troubles[`${id}.reference`];
  const by_word = value?.how === 'compass word' ? value.read_deg : undefined;
  /** @param {number | string | null} read_deg */
  const type = (read_deg) => {
    if (read_deg === null) return onValue(null);
    const kept = value?.how === 'compass word' ? {} : { how: value?.how };
    onValue(tidy({ read_deg, reference: value?.reference ?? 'magnetic', ...kept }));
  };
  /** @param {string | null} how */
  const measured = (how) => onValue(tidy({ read_deg: value?.read_deg ?? 0, reference: value?.reference ?? 'magnetic', how: how ?? undefined }));
  const by_way = value ? (value.plus_minus_deg ?? plusMinus(value.how, 'bearing')) : undefined;
  const ways = (parts.get('how')?.choices ?? []).filter((word) => word !== 'compass word' && word !== 'phone compass');
  return html`<${FieldFrame} field=${field} id=${id} trouble=${trouble} group>
    <${CompassWords} label=${field.label} deg=${typeof by_word === 'number' ? by_word : undefined} onPick=${(/** @type {{deg: number, plus_minus_deg: number} | null} */ picked) =>
      onValue(picked === null ? null : { read_deg: picked.deg, reference: 'true', how: 'compass word', plus_minus_deg: picked.plus_minus_deg })} />
    <div class="exact">
      <${NumberBox} id=${id} value=${value?.read_deg} label=${`${field.label}, ${words.exact}`} placeholder=${words.exact} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} onValue=${type} />
      <span class="unit">°</span>
      <output class="plus-minus" for=${id}>${typeof value?.read_deg === 'number' ? `${compassPoint(value.read_deg)[0]}${by_way === undefined ? '' : ` ${words.plus_minus} ${number(by_way, 0)}°`}` : ''}</output>
    </div>
    <${HeldHeading} label=${field.label} onHold=${(/** @type {{read_deg: number, plus_minus_deg: number}} */ held) =>
      onValue({ read_deg: held.read_deg, reference: 'magnetic', how: 'phone compass', plus_minus_deg: held.plus_minus_deg })} />
    ${value && by_word === undefined
      ? html`<${Chips} choices=${(parts.get('reference')?.choices ?? []).map((word) => ({ value: word, label: words.reference[/** @type {'true'} */ (word)] ?? word }))} value=${value.reference} needed label=${parts.get('reference')?.label} onPick=${(/** @type {'true'} */ reference) => onValue(tidy({ ...value, reference, true_deg: undefined }))} />
          ${value.how === 'phone compass' ? null : html`<${Chips} choices=${ways.map((word) => ({ value: word, label: word }))} value=${value.how} label=${parts.get('how')?.label} onPick=${measured} />`}`
      : null}
  </${FieldFrame}>`;
}

/** A plain direction in degrees true, by word or typed. @param {import('../types.d.ts').FieldProps<number | string>} props */
export function DirectionField({ field, id, value, onValue, troubles }) {
  const trouble = troubles[id];
  return html`<${FieldFrame} field=${field} id=${id} trouble=${trouble} group>
    <${CompassWords} label=${field.label} deg=${typeof value === 'number' ? value : undefined} onPick=${(/** @type {{deg: number} | null} */ picked) => onValue(picked?.deg ?? null)} />
    <div class="exact">
      <${NumberBox} id=${id} value=${value} label=${`${field.label}, ${words.exact}`} placeholder=${words.exact} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} onValue=${onValue} />
      <span class="unit">${field.unit}</span>
    </div>
  </${FieldFrame}>`;
}

/** @param {Record<string, any>} value */
function tidy(value) {
  return Object.fromEntries(Object.entries(value).filter(([, part]) => part !== undefined));
}
