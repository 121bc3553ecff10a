/**
 * When: a day and a time of day on the clocks of the place, by steps or typed; also plain dates.
 * Never the phone's own picker, which is bright and slow with cold hands. Not for: zones (times.js).
 *
 * @typedef {{at: string, source?: 'device' | 'person' | 'photo', zone?: string}} Moment
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { clock, dateOf, day, instantOf, knownZone, laterDate, minutesOf, readClock, written } from '../times.js';
import { field as words } from '../words.js';
import { FieldFrame, describedBy } from './field.js';
import { Typed } from './typed.js';

const STEPS_MIN = [-15, -1, 1, 15];

/** @param {import('../types.d.ts').FieldProps<Moment | string>} props */
export function MomentField({ field, id, value, onValue, troubles, zone }) {
  const held = value && typeof value === 'object' ? value : null;
  const spot = knownZone(held?.zone, zone);
  /** @param {string | null} at @param {'device' | 'person'} source */
  const put = (at, source) => onValue(at === null ? null : Number.isNaN(Date.parse(at)) ? at : { at, source, zone: spot });
  return html`<${TimeOf} field=${field} id=${id} at=${held?.at ?? (typeof value === 'string' ? value : null)} zone=${spot} trouble=${troubles[id] ?? troubles[`${id}.at`]} onAt=${put} />`;
}

/** An instant without anything beside it. @param {import('../types.d.ts').FieldProps<string>} props */
export function TimeField({ field, id, value, onValue, troubles, zone }) {
  return html`<${TimeOf} field=${field} id=${id} at=${value ?? null} zone=${zone} trouble=${troubles[id]} onAt=${(/** @type {string | null} */ at) => onValue(at)} />`;
}

/**
 * @param {{field: import('../types.d.ts').Field, id: string, at: string | null, zone: string, trouble: string | undefined, onAt: (at: string | null, source: 'device' | 'person') => void}} props
 */
function TimeOf({ field, id, at, zone, trouble, onAt }) {
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  const at_ms = at === null ? NaN : Date.parse(at);
  const known = !Number.isNaN(at_ms);
  /** @param {number} next_ms @param {'device' | 'person'} source */
  const put = (next_ms, source = 'person') => {
    setTyped(null);
    onAt(written(next_ms, zone), source);
  };
  const type = (/** @type {string} */ text) => {
    setTyped(text);
    const minutes = readClock(text);
    const date = dateOf(known ? at_ms : Date.now(), zone);
    if (text.trim() === '') onAt(null, 'person');
    else if (minutes === null) onAt(text, 'person');
    else onAt(written(instantOf(date, minutes, zone), zone), 'person');
  };
  const otherDay = (/** @type {number} */ days) =>
    put(instantOf(laterDate(dateOf(known ? at_ms : Date.now(), zone), days), minutesOf(known ? at_ms : Date.now(), zone), zone));
  const shown = typed ?? (known ? clock(at_ms, zone) : (at ?? ''));
  return html`<${FieldFrame} field=${field} id=${id} trouble=${trouble} group>
    <div class="moment">
      <${Typed} id=${id} kind="clock" value=${shown} label=${`${field.label}, ${words.time}`} placeholder=${words.like_time} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} onText=${type} onDone=${() => setTyped(null)} />
      <button type="button" class="act other" onClick=${() => put(Date.now(), 'device')}>${words.now}</button>
    </div>
    ${known
      ? html`<div class="steps">${STEPS_MIN.map((by) => html`<button type="button" key=${by} class="step" onClick=${() => put(at_ms + by * 60_000)}>${by > 0 ? `+${by}` : `−${-by}`}</button>`)}</div>
          <${DaySteps} label=${field.label} shown=${day(at_ms, zone)} onStep=${otherDay} />`
      : null}
  </${FieldFrame}>`;
}

/** @param {{label: string, shown: string, onStep: (days: number) => void}} props */
function DaySteps({ label, shown, onStep }) {
  return html`<div class="steps day">
    <button type="button" class="step" aria-label=${`${label}: ${words.day_before}`} onClick=${() => onStep(-1)}>‹</button>
    <output>${shown}</output>
    <button type="button" class="step" aria-label=${`${label}: ${words.day_after}`} onClick=${() => onStep(1)}>›</button>
  </div>`;
}

/** A date. @param {import('../types.d.ts').FieldProps<string>} props */
export function DateField({ field, id, value, onValue, troubles, zone }) {
  const trouble = troubles[id];
  const known = /^\d{4}-\d{2}-\d{2}$/.test(value ?? '');
  const today = dateOf(Date.now(), zone);
  return html`<${FieldFrame} field=${field} id=${id} trouble=${trouble} group>
    <div class="moment">
      <${Typed} id=${id} kind="number" value=${value ?? ''} label=${`${field.label}, ${words.day}`} placeholder=${`${words.like} ${today}`} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} onText=${(/** @type {string} */ text) => onValue(text === '' ? null : text.trim())} />
      <button type="button" class="act other" onClick=${() => onValue(today)}>${words.today}</button>
    </div>
    ${known ? html`<${DaySteps} label=${field.label} shown=${day(Date.parse(`${value}T12:00:00Z`), 'UTC')} onStep=${(/** @type {number} */ days) => onValue(laterDate(value ?? today, days))} />` : null}
  </${FieldFrame}>`;
}
