/**
 * A sightline's year: a row a week, time counted from the minute at which the sun clears this skyline, the same
 * four states as everywhere, k of n beside each row. A tap picks the week it falls on.
 * Not for: one session (parts/strip.js), or what a week means (season.js).
 *
 * @typedef {[number, number, 'dark' | 'sky light' | 'sun' | 'good']} Piece minutes
 * @typedef {{week: string, date: string, states: Record<string, Piece[]>, presence: {k: number, n: number, season: boolean} | null, clears: object | null}} Row
 */

import { html } from '../doors/htm.js';
import { useId } from '../doors/preact.js';

const WIDE = 360;
const MONTH = 36;
const BESIDE = 70;
const ROW = 18;
const TOP = 20;
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** @param {{rows: Row[], sky: string, picked: number, onPick: (place: number) => void, label: string}} props sky: the case of light that is drawn */
export function YearStrip({ rows, sky, picked, onPick, label }) {
  const id = useId().replaceAll(':', '');
  const pieces = rows.flatMap((row) => row.states[sky] ?? []);
  if (pieces.length === 0) return null;
  const low = Math.min(...pieces.map(([from]) => from));
  const high = Math.max(...pieces.map(([, to]) => to));
  const x = (/** @type {number} */ minutes) => MONTH + ((minutes - low) / (high - low)) * (WIDE - MONTH - BESIDE);
  const fills = { dark: 'none', 'sky light': `url(#stipple-${id})`, sun: `url(#hatch-${id})`, good: 'currentColor' };
  const bottom = TOP + rows.length * ROW;
  const hours = Array.from({ length: Math.floor(high / 60) - Math.ceil(low / 60) + 1 }, (_, place) => (Math.ceil(low / 60) + place) * 60);
  /** @param {MouseEvent & {currentTarget: SVGSVGElement}} event */
  const tap = (event) => {
    const box = event.currentTarget.getBoundingClientRect();
    const y = ((event.clientY - box.top) / box.height) * (bottom + 2);
    onPick(Math.min(rows.length - 1, Math.max(0, Math.floor((y - TOP) / ROW))));
  };
  return html`<svg class="year-strip" viewBox=${`0 0 ${WIDE} ${bottom + 2}`} role="img" aria-label=${label} onClick=${tap}>
    <defs>
      <pattern id=${`stipple-${id}`} width="5" height="5" patternUnits="userSpaceOnUse"><circle cx="1.2" cy="1.2" r=".85" class="ink-fill" /><circle cx="3.7" cy="3.7" r=".85" class="ink-fill" /></pattern>
      <pattern id=${`hatch-${id}`} width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M1 0v5" class="ink-line" /></pattern>
    </defs>
    ${hours.map((minutes) => html`<text x=${x(minutes)} y="14" class="hour">${minutes === 0 ? '0' : `${minutes > 0 ? '+' : '−'}${Math.abs(minutes) / 60} h`}</text>`)}
    ${rows.map((row, place) => {
      const y = TOP + place * ROW;
      const begins = place === 0 || row.week.slice(5, 7) !== rows[place - 1]?.week.slice(5, 7);
      return html`<g key=${row.week}>
        ${begins ? html`<text x="0" y=${y + 14} class="month">${MONTHS[Number(row.week.slice(5, 7)) - 1]}</text>` : null}
        ${(row.states[sky] ?? []).map(([from, to, state]) => (state === 'dark' ? null : html`<rect x=${x(from).toFixed(1)} y=${y + 1} width=${(x(to) - x(from)).toFixed(1)} height=${ROW - 2} fill=${fills[state]} />`))}
        ${row.presence ? html`<text x=${WIDE} y=${y + 14} class="tally">${besideOf(row.presence)}</text>` : null}
      </g>`;
    })}
    <path d=${`M${x(0).toFixed(1)} ${TOP}V${bottom}`} class="clears" />
    <rect x="1" y=${TOP + picked * ROW} width=${WIDE - 2} height=${ROW} class="picked" />
  </svg>`;
}

/** In brackets where too little was watched in that season, and the whole year speaks. @param {{k: number, n: number, season: boolean}} known */
function besideOf({ k, n, season }) {
  return season ? `${k} of ${n}` : `(${k} of ${n})`;
}
