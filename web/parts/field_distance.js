/**
 * A distance or a gap: a rough one by chip, or a figure with how it was measured and its ±.
 * Not for: heights and other plain lengths (field_number.js).
 *
 * @typedef {{m?: number | string, sky?: boolean, how?: string, plus_minus_m?: number, ranged_from?: string}} Distance
 */

import { html } from '../doors/htm.js';
import { CHIPS, HOW, plusMinus } from '../rough.js';
import { distance, number, shownUnit } from '../units.js';
import { field as words } from '../words.js';
import { Chips } from './chips.js';
import { FieldFrame, describedBy } from './field.js';
import { NumberBox } from './field_number.js';

/** @param {import('../types.d.ts').FieldProps<Distance>} props */
export function DistanceField({ field, id, value, onValue, troubles }) {
  const parts = new Map((field.fields ?? []).map((part) => [part.name, part]));
  const takes_sky = parts.has('sky');
  const trouble = troubles[id] ?? troubles[`${id}.m`] ?? troubles[`${id}.plus_minus_m`];
  const chips = CHIPS.filter((chip) => chip.value_m > (parts.get('m')?.low ?? 0) || takes_sky).filter((chip) => takes_sky || chip.key !== 'sky');
  const choices = chips.map((chip) => ({ value: chip.key, label: chipWords(chip) }));
  const picked = chips.find((chip) => (chip.key === 'sky' ? value?.sky === true : value?.m === chip.value_m && value?.how === 'guess'));
  /** @param {string | null} key */
  const tap = (key) => {
    const chip = CHIPS.find((one) => one.key === key);
    const from = value?.ranged_from === undefined ? {} : { ranged_from: value.ranged_from };
    if (chip === undefined) onValue(null);
    else if (chip.key === 'sky') onValue({ sky: true });
    else onValue({ ...from, m: chip.value_m, how: 'guess', plus_minus_m: chip.plus_minus_m });
  };
  /** @param {number | string | null} m */
  const type = (m) => {
    if (m === null) return onValue(null);
    // A figure of one's own is no longer the chip's guess, and its ± is none of it.
    const how = picked === undefined ? value?.how : undefined;
    const { sky: _, plus_minus_m: __, how: ___, ...kept } = value ?? {};
    onValue({ ...kept, m, ...(how !== undefined && { how }) });
  };
  /** @param {string | null} how */
  const measured = (how) => {
    const { plus_minus_m: _, how: __, ...kept } = value ?? {};
    onValue({ ...kept, ...(how !== null && { how }) });
  };
  const m = value?.m;
  const by_way = typeof m === 'number' ? (value?.plus_minus_m ?? plusMinus(value?.how, 'distance', m)) : undefined;
  const least = typeof m === 'number' && value?.how !== undefined ? HOW[value.how]?.least_distance_m : undefined;
  return html`<${FieldFrame} field=${field} id=${id} trouble=${trouble} group>
    <${Chips} choices=${choices} value=${picked?.key} label=${`${field.label}, ${words.rough}`} onPick=${tap} />
    <div class="exact">
      <${NumberBox} id=${id} value=${value?.sky ? null : m} unit="m" label=${`${field.label}, ${words.exact}`} placeholder=${words.exact} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} onValue=${type} />
      <span class="unit">${shownUnit('m')}</span>
      <output class="plus-minus" for=${id}>${by_way === undefined ? '' : `${words.plus_minus} ${distance(by_way)}`}</output>
    </div>
    ${m === undefined || m === null || value?.sky || picked ? null : html`<${Chips} choices=${(parts.get('how')?.choices ?? []).map((word) => ({ value: word, label: word }))} value=${value?.how} label=${parts.get('how')?.label} onPick=${measured} />`}
    ${least !== undefined && typeof m === 'number' && m < least ? html`<p class="help">${`A ${value?.how} is useless under ${number(least)} m: use a tape or pace it.`}</p>` : null}
    ${parts.has('ranged_from') && m !== undefined && !value?.sky ? html`<${Chips} choices=${(parts.get('ranged_from')?.choices ?? []).map((word) => ({ value: word, label: `from the ${word}` }))} value=${value?.ranged_from} label=${parts.get('ranged_from')?.label} onPick=${(/** @type {string | null} */ from) => onValue({ ...value, ranged_from: from ?? undefined })} />` : null}
  </${FieldFrame}>`;
}

/** Word a chip in the units that are set. @param {import('../rough.js').Chip} chip */
export function chipWords(chip) {
  return chip.label.endsWith('+') ? `${distance(chip.value_m)} +` : /\d/.test(chip.label) ? distance(chip.value_m) : chip.label;
}
