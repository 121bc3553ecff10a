/**
 * Which way of asking belongs to which field of the schema. Not for: the ways themselves.
 *
 * @typedef {import('../types.d.ts').Field} Field
 */

import { html } from '../doors/htm.js';
import { BearingField, DirectionField } from './field_bearing.js';
import { ChoiceField, ChoicesField, FlagField } from './field_choice.js';
import { DistanceField } from './field_distance.js';
import { GroupField, ListField } from './field_group.js';
import { LinkField, LinksField } from './field_link.js';
import { MeasuredField, measuredPart } from './field_measured.js';
import { NumberField } from './field_number.js';
import { PositionField } from './field_position.js';
import { SeasonDayField, TextField } from './field_text.js';
import { DateField, MomentField, TimeField } from './field_time.js';

/** @type {Record<string, (props: any) => any>} */
const PLAIN = {
  text: TextField,
  number: NumberField,
  whole: NumberField,
  choice: ChoiceField,
  flag: FlagField,
  date: DateField,
  season_day: SeasonDayField,
  time: TimeField,
  id: LinkField,
};

/** Answer the way to ask for a field, undefined where a form does not ask (a photo's bytes). @param {Field} field */
export function wayOf(field) {
  if (field.kind === 'group') return groupWay(field);
  if (field.kind === 'list') return listWay(field);
  if (field.kind === 'number' && field.unit === '° true') return DirectionField;
  return PLAIN[field.kind];
}

/** @param {import('../types.d.ts').FieldProps} props */
export function AnyField(props) {
  const Way = wayOf(props.field);
  return Way === undefined ? null : html`<${Way} ...${props} />`;
}

/** @param {Field} field */
function groupWay(field) {
  const has = (/** @type {string} */ name) => field.fields?.some((part) => part.name === name) ?? false;
  if (has('lat') && has('lon')) return PositionField;
  if (has('read_deg')) return BearingField;
  if (has('at') && has('source')) return MomentField;
  // Elevations are metres too, but nobody guesses them by chip.
  if (has('m') && field.short_form !== undefined) return DistanceField;
  const how = field.fields?.find((part) => part.name === 'how')?.choices ?? [];
  if (has('m') && how.includes('rangefinder')) return DistanceField;
  return measuredPart(field) === undefined ? GroupField : MeasuredField;
}

/** @param {Field} field */
function listWay(field) {
  if (field.item?.kind === 'choice') return ChoicesField;
  return field.item?.kind === 'id' ? LinksField : ListField;
}
