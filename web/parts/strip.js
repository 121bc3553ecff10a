/**
 * The light along one sightline through one session, in four states and no more: empty is too dark, stippled
 * is sky light, hatched is sun without the shutter, solid is good. A notch stands where the sun clears the
 * skyline, under the bracket of its ±; beneath may stand a row of marks for presence, never mixed in.
 * Not for: a year (a row a week), or the map.
 *
 * @typedef {{from: string | number, to: string | number, state: 'dark' | 'sky light' | 'sun' | 'good', words?: string}} Stretch
 * @typedef {{at: string | number, plus_minus_min: number}} Clears
 */

import { html } from '../doors/htm.js';
import { useId } from '../doors/preact.js';
import { clock } from '../times.js';
import { strip as words } from '../words.js';

const WIDE = 360;
const TOP = 14;
const HIGH = 28;

/** @param {string | number} at */
const ms = (at) => (typeof at === 'number' ? at : Date.parse(at));

/**
 * @param {{stretches: Stretch[], clears?: Clears | null, start: string | number, end: string | number, label: string, zone?: string, ticks?: boolean, presence?: boolean[]}} props
 *   ticks: clock times at the ends and the full hours; presence: a row of marks, one a morning, true seen
 */
export function Strip({ stretches, clears, start, end, label, zone, ticks = true, presence }) {
  const id = useId().replaceAll(':', '');
  const [from, to] = [ms(start), ms(end)];
  const x = (/** @type {string | number} */ at) => Number((((Math.min(to, Math.max(from, ms(at))) - from) / (to - from)) * WIDE).toFixed(2));
  const base = TOP + HIGH;
  const fills = { dark: 'none', 'sky light': `url(#stipple-${id})`, sun: `url(#hatch-${id})`, good: 'currentColor' };
  const told = `${label}. ${spoken(stretches, clears, zone)}`;
  const high = base + 6;
  return html`<figure class="strip">
    <svg viewBox=${`-1 0 ${WIDE + 2} ${high}`} role="img" aria-label=${told}>
      <defs>
        <pattern id=${`stipple-${id}`} width="5" height="5" patternUnits="userSpaceOnUse"><circle cx="1.2" cy="1.2" r=".85" class="ink-fill" /><circle cx="3.7" cy="3.7" r=".85" class="ink-fill" /></pattern>
        <pattern id=${`hatch-${id}`} width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M1 0v5" class="ink-line" /></pattern>
      </defs>
      <rect x="0" y=${TOP} width=${WIDE} height=${HIGH} class="strip-edge" />
      ${stretches.map((one) => html`<rect x=${x(one.from)} y=${TOP} width=${Math.max(0, x(one.to) - x(one.from))} height=${HIGH} fill=${fills[one.state]}><title>${`${clock(ms(one.from), zone)} to ${clock(ms(one.to), zone)}: ${one.words ?? words[one.state]}`}</title></rect>`)}
      ${clears ? notch(x, clears, zone) : null}
      ${ticks ? hoursIn(from, to).map((at) => html`<path d=${`M${x(at)} ${base}v6`} class="tick" />`) : null}
    </svg>
    ${ticks ? html`<div class="strip-hours" aria-hidden="true">${hoursIn(from, to).map((at) => html`<span style=${{ left: `${(100 * x(at)) / WIDE}%` }} class=${edgeOf(x(at))}>${clock(at, zone)}</span>`)}</div>` : null}
    ${presence ? html`<svg class="presence" viewBox=${`0 0 ${WIDE} 12`} aria-hidden="true">${presence.map((seen, place) => html`<circle cx=${6 + place * 11} cy="6" r="4" class=${seen ? 'seen' : 'blank'} />`)}</svg>` : null}
  </figure>`;
}

/** @param {(at: string | number) => number} x @param {Clears} clears @param {string} [zone] */
function notch(x, clears, zone) {
  const at = x(clears.at);
  const [left, right] = [-1, 1].map((side) => x(ms(clears.at) + side * clears.plus_minus_min * 60_000));
  return html`<g class="notch">
    <title>${words.clears(clock(ms(clears.at), zone), clears.plus_minus_min)}</title>
    <path d=${`M${at - 5} ${TOP - 7}h10l-5 9z`} class="ink-fill" /><path d=${`M${at} ${TOP}v${HIGH}`} class="notch-line" />
    ${clears.plus_minus_min > 0 ? html`<path d=${`M${left} ${TOP - 3}v-9H${right}v9`} class="bracket" />` : null}
  </g>`;
}

/** @param {number} from @param {number} to */
function hoursIn(from, to) {
  const hour_ms = 3_600_000;
  const first = Math.ceil(from / hour_ms);
  return Array.from({ length: Math.max(0, Math.floor(to / hour_ms) - first + 1) }, (_, place) => (first + place) * hour_ms);
}

/** Letters at an end of the strip do not stand out over it. @param {number} x */
function edgeOf(x) {
  return x < 20 ? 'at-start' : x > WIDE - 20 ? 'at-end' : '';
}

/** Say a strip in words. @param {Stretch[]} stretches @param {Clears | null | undefined} clears @param {string} [zone] */
export function spoken(stretches, clears, zone) {
  const said = stretches.map((one) => `${clock(ms(one.from), zone)} to ${clock(ms(one.to), zone)} ${one.words ?? words[one.state]}`);
  if (clears) said.push(words.clears(clock(ms(clears.at), zone), clears.plus_minus_min));
  return said.join('; ');
}
