/**
 * One mark a visit in order of sun time, filled where it was seen, open where somebody watched and nothing came; and
 * the one curve there may be, with its band. Never mixed into the light.
 * Not for: counting.
 */

import { html } from '../doors/htm.js';
import { routine as words } from '../words_routine.js';

const STEP = 20;
const IN_ROW = 18;
const CURVE = { wide: 360, high: 120 };
const HALF_DAY_MIN = 720;

/** @param {{marks: {seen: boolean, at_min: number, date: string}[], session: string, anchor: string}} props */
export function Marks({ marks, session, anchor }) {
  if (marks.length === 0) return null;
  const seen = marks.filter((one) => one.seen).length;
  const after = marks.findIndex((one) => one.at_min >= 0);
  const rows = Math.ceil(marks.length / IN_ROW);
  const at = (/** @type {number} */ place) => ({ x: (place % IN_ROW) * STEP + STEP / 2, y: Math.floor(place / IN_ROW) * STEP + STEP / 2 });
  return html`<figure class="visit-marks">
    <svg viewBox=${`0 0 ${STEP * IN_ROW} ${rows * STEP}`} role="img" aria-label=${words.marks(session, seen, marks.length - seen)}>
      ${marks.map((one, place) => html`<circle key=${`${one.date}${place}`} cx=${at(place).x} cy=${at(place).y} r="6.5" class=${one.seen ? 'seen' : 'blank'}><title>${`${one.date}: ${one.seen ? words.seen : words.blank}`}</title></circle>`)}
      ${after > 0 ? html`<path class="anchor" d=${`M${at(after).x - STEP / 2} ${at(after).y - STEP / 2}v${STEP}`}><title>${anchor}</title></path>` : null}
    </svg>
    <figcaption>${words.legend}${after > 0 ? ` · | ${anchor}` : ''}</figcaption>
  </figure>`;
}

/** @param {{curve: {points: {at_min: number, per_hour: number, low: number, high: number}[]}, anchoring: {rise_min: number, set_min: number, kind: string}, said: string}} props */
export function CurveOf({ curve, anchoring, said }) {
  const most = Math.max(...curve.points.map((one) => one.high), 0.1);
  const x = (/** @type {number} */ minutes) => (((minutes + HALF_DAY_MIN) / (2 * HALF_DAY_MIN)) * CURVE.wide).toFixed(1);
  const y = (/** @type {number} */ rate) => ((1 - rate / most) * (CURVE.high - 8) + 4).toFixed(1);
  const along = (/** @type {'per_hour' | 'low' | 'high'} */ key) => curve.points.map((one) => `${x(one.at_min)} ${y(one[key])}`).join('L');
  const suns = anchoring.kind === 'solar noon' ? [] : [anchoring.rise_min, anchoring.set_min];
  return html`<figure class="curve">
    <svg viewBox=${`0 0 ${CURVE.wide} ${CURVE.high}`} role="img" aria-label=${words.curve_label(said)}>
      <path d=${`M0 ${CURVE.high - 1}H${CURVE.wide}`} class="base" />
      ${suns.map((minutes) => html`<path d=${`M${x(minutes)} 0V${CURVE.high}`} class="sun" />`)}
      <path d=${`M${along('low')}`} class="band" /><path d=${`M${along('high')}`} class="band" /><path d=${`M${along('per_hour')}`} class="middle" />
    </svg>
    <figcaption>${said}</figcaption>
  </figure>`;
}
