/**
 * The fields that several screens of writing ask for in the same way, built from the schema.
 * Not for: whole forms (parts/form.js), directions (bearing_ask.js).
 *
 * @typedef {import('../types.d.ts').Field} Field
 * @typedef {{values: Record<string, any>, put: (more: Record<string, any>) => void, troubles: Record<string, string>}} Asked
 */

import { html } from '../doors/htm.js';
import { troublesOf } from '../parts/check.js';
import { AnyField } from '../parts/fields.js';
import { Chips } from '../parts/chips.js';
import { FieldFrame, describedBy } from '../parts/field.js';
import { NumberBox } from '../parts/field_number.js';
import { MeasuredField } from '../parts/field_measured.js';
import { said } from '../parts/said.js';
import { tiltOf } from '../sensing/tilt.js';
import { fieldsOf, useSession } from '../session.js';
import { ownZone } from '../times.js';
import { distance, number, shownUnit } from '../units.js';
import { line as words, pin } from '../words_write.js';
import { behindOf } from './pin_edits.js';

/** Answer a field of the schema, under another name where two of a screen would be called alike. @param {import('../types.d.ts').Schema} schema @param {string} kind @param {string} name @param {Partial<Field>} [more] @returns {Field} */
export function fieldIn(schema, kind, name, more = {}) {
  const field = fieldsOf(schema, kind).find((one) => one.name === name);
  if (field === undefined) throw new RangeError(`the schema has no ${kind}.${name}`);
  return { ...field, ...more };
}

/** Answer what is wrong with what was said, as sentences by field. @param {import('../types.d.ts').Schema} schema @param {[string, string][]} names kind and field @param {Record<string, any>} values */
export function saidTroubles(schema, names, values) {
  return troublesOf(
    names.map(([kind, name]) => fieldIn(schema, kind, name, { needed: false })),
    values,
  );
}

/** Put the focus on the first field that is wrong. */
export function toFirstTrouble() {
  requestAnimationFrame(() => {
    const bad = document.querySelector('main .field.bad');
    for (let fold = bad?.closest('details'); fold; fold = fold.parentElement?.closest('details')) fold.open = true;
    const control = /** @type {HTMLElement | null} */ (bad?.querySelector('input, textarea, button') ?? null);
    control?.focus();
    bad?.scrollIntoView({ block: 'center' });
  });
}

/** Fields of one kind as the schema has them. @param {Asked & {kind: string, names: string[], labels?: Record<string, string>}} props */
export function Asks({ kind, names, labels = {}, values, put, troubles }) {
  const { schema } = useSession();
  return names.map((name) => {
    const field = fieldIn(schema, kind, name, { needed: false, ...(labels[name] && { label: labels[name] }) });
    return html`<${AnyField} key=${name} field=${field} id=${name} value=${values[name]} troubles=${troubles} zone=${ownZone()} onValue=${(/** @type {any} */ value) => put({ [name]: value })} />`;
  });
}

/** A height: rough by a tap, or typed. @param {Asked & {kind: string, name: string, rough_m: readonly number[]}} props */
export function HeightAsk({ kind, name, rough_m, values, put, troubles }) {
  const { schema } = useSession();
  const field = fieldIn(schema, kind, name, { needed: false });
  const trouble = troubles[name];
  const value = values[name];
  return html`<${FieldFrame} field=${field} id=${name} trouble=${trouble} group>
    <${Chips} label=${field.label} choices=${rough_m.map((m) => ({ value: m, label: m === 0 ? pin.on_ground : distance(m) }))} value=${value} onPick=${(/** @type {number | null} */ m) => put({ [name]: m })} />
    <div class="exact"><${NumberBox} id=${name} unit="m" value=${value} label=${`${field.label}, ${pin.typed}`} placeholder=${pin.typed} invalid=${trouble !== undefined} describedBy=${describedBy(field, name, trouble)} onValue=${(/** @type {any} */ m) => put({ [name]: m })} /><span class="unit">${shownUnit('m')}</span></div>
  </${FieldFrame}>`;
}

/**
 * The tilt of a line: the phone's edge held by a tap, or typed.
 * @param {Asked & {aim: ReturnType<typeof import('./aiming.js').useAim>}} props
 */
export function TiltAsk({ values, put, troubles, aim }) {
  const { schema } = useSession();
  const field = fieldIn(schema, 'measurement', 'tilt', { label: words.tilt, help: words.tilt_help });
  const { tilt } = aim;
  const hold = () => {
    const held = aim.hold().tilt;
    if (held !== null) put({ tilt: tiltOf(held) });
  };
  const edge = tilt
    ? html`<button type="button" class="act large held" onClick=${hold}><span class="value">${number(tilt.deg, 1)}°</span> ± ${number(tilt.plus_minus_deg, 1)}°<span class="word">${words.hold_tilt}</span></button>`
    : html`<button type="button" class="act other" onClick=${() => void aim.start()}>${words.use_edge}</button>`;
  return html`<div class="tilt-ask"><${MeasuredField} field=${field} id="tilt" value=${values.tilt} troubles=${troubles} zone="" onValue=${(/** @type {any} */ tilt) => put({ tilt })} />${edge}</div>`;
}

/** The setting that keeps what was said at a perch of the background and the light, for its first sightline. @param {string} perch */
export const toldAt = (perch) => `behind/${perch}`;

/** Write what is said of the background and the light as a text, where no sightline can carry it. @param {Record<string, any>} values @param {import('../types.d.ts').Schema} schema */
export function behindNote(values, schema) {
  const told = Object.entries(behindOf(values)).map(([name, value]) => {
    const field = fieldIn(schema, 'sightline', name);
    return `${field.label}: ${said(field, value)}`;
  });
  return told.join('. ');
}
