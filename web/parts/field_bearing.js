/**
 * A bearing: a compass word, degrees typed, or the phone's compass held by a tap. What was read stays as read,
 * with the north that it counts from. Not for: turning magnetic into true (map/compass.js).
 *
 * @typedef {{read_deg: number | string, reference: 'true' | 'magnetic', how?: string, plus_minus_deg?: number, true_deg?: number}} Bearing
 */

import { html } from '../doors/htm.js';
import { POINT16_PLUS_MINUS_DEG, compassPoint, plusMinus } from '../rough.js';
import { number } from '../units.js';
import { field as words } from '../words.js';
import { Chips } from './chips.js';
import { CompassWords } from './compass_words.js';
import { FieldFrame, describedBy } from './field.js';
import { NumberBox } from './field_number.js';
import { HeldHeading } from './held_heading.js';

/** Read by another way than these: the word itself, or the phone. */
const BY_ITSELF = ['compass word', 'phone compass', 'sun shadow'];

/** Answer the ways of reading that a typed figure may have come by. @param {readonly string[] | undefined} ways of the schema */
export const typedWays = (ways = []) => ways.filter((way) => !BY_ITSELF.includes(way));

/**
 * Make the register of a typed direction: true, and a guess as fine as one word of sixteen, until somebody says
 * how it was read. @param {number | string} read_deg @param {any} [value] what stood there
 */
export function typedBearing(read_deg, value) {
  const is_said = value?.how !== undefined && !BY_ITSELF.includes(value.how);
  return readBy({ read_deg, reference: is_said ? value.reference : 'true' }, is_said ? value.how : 'guess');
}

/** Answer a typed direction with how it was read: by a compass magnetic, else true. @param {any} value @param {string} how */
export const readTyped = (value, how) => readBy({ ...value, reference: how === 'sighting compass' ? 'magnetic' : 'true' }, how);

/** @param {any} value @param {string} how */
function readBy({ read_deg, reference }, how) {
  if (how === 'guess') return { read_deg, reference, how, plus_minus_deg: POINT16_PLUS_MINUS_DEG };
  return { read_deg, reference, how };
}

/** @param {import('../types.d.ts').FieldProps<Bearing>} props */
export function BearingField({ field, id, value, onValue, troubles }) {
  const parts = new Map((field.fields ?? []).map((part) => [part.name, part]));
  const trouble = troubles[id] ?? troubles[`${id}.read_deg`] ?? troubles[`${id}.reference`];
  const by_word = value?.how === 'compass word' ? value.read_deg : undefined;
  /** @param {number | string | null} read_deg */
  const type = (read_deg) => {
    onValue(read_deg === null ? null : typedBearing(read_deg, value));
  };
  const by_way = value ? (value.plus_minus_deg ?? plusMinus(value.how, 'bearing')) : undefined;
  const ways = typedWays(parts.get('how')?.choices);
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
          ${value.how === 'phone compass' ? null : html`<${Chips} choices=${ways.map((word) => ({ value: word, label: word }))} value=${value.how} needed label=${parts.get('how')?.label} onPick=${(/** @type {string} */ how) => onValue(readTyped(value, how))} />`}`
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
