/**
 * The points of a skyline while it is taken: kept in the order of the horizon, drawn small, and turned into the
 * edits of a Save. Not for: reckoning with them (the engine's).
 *
 * @typedef {{azimuth_deg: number, altitude_deg: number, what?: string | null, how: 'aimed' | 'typed', reference: 'true' | 'magnetic', azimuth_plus_minus_deg?: number, altitude_plus_minus_deg?: number}} Point
 *   azimuth: as read, from the north that `reference` says
 */

import { html } from '../doors/htm.js';
import { wrap_deg } from '../sensing/angles.js';
import { written } from '../times.js';
import { skyline as words } from '../words_write.js';

const WIDE = 340;
const HIGH = 150;
const EDGE = 22;

const tenth = (/** @type {number} */ deg) => Math.round(deg * 10) / 10 + 0;

/**
 * Put a point among the others; where one stood at the same bearing, the new one stands in its place.
 * @param {readonly Point[]} points
 * @param {Point} point
 */
export function withPoint(points, point) {
  const next = { ...point, azimuth_deg: wrap_deg(tenth(point.azimuth_deg)), altitude_deg: tenth(point.altitude_deg) };
  return [...points.filter((one) => one.azimuth_deg !== next.azimuth_deg || one.how !== next.how || one.reference !== next.reference), next];
}

/**
 * Sort points along the horizon, from the widest gap between two of them on, so that a skyline across north
 * stays in one piece.
 * @param {readonly Point[]} points
 */
export function alongHorizon(points) {
  const sorted = [...points].sort((one, other) => one.azimuth_deg - other.azimuth_deg);
  let [start, widest] = [0, -1];
  for (const [place, point] of sorted.entries()) {
    const before = sorted[(place + sorted.length - 1) % sorted.length];
    const gap = wrap_deg(point.azimuth_deg - (before?.azimuth_deg ?? 0));
    if (gap > widest) [start, widest] = [place, gap];
  }
  return [...sorted.slice(start), ...sorted.slice(0, start)];
}

/**
 * Answer the edits that keep them: one record for what was aimed from each north, one for what was typed, for a
 * record has one source and one reference.
 * @param {readonly Point[]} points
 * @param {{pin: string, at_ms: number, zone: string, newId: () => string}} about
 * @returns {import('../notebook/types.d.ts').Wanted[]}
 */
export function skylineEdits(points, { pin, at_ms, zone, newId }) {
  const groups = /** @type {const} */ ([['aimed', 'true'], ['aimed', 'magnetic'], ['typed', 'true'], ['typed', 'magnetic']]);
  return groups.flatMap(([how, reference]) => {
    const mine = points.filter((one) => one.how === how && one.reference === reference);
    if (mine.length === 0) return [];
    const nodes = [...mine]
      .sort((one, other) => one.azimuth_deg - other.azimuth_deg)
      .map(({ azimuth_deg, altitude_deg, what }) => ({ azimuth_deg, altitude_deg, ...(what && { what }) }));
    const most = (/** @type {'azimuth_plus_minus_deg' | 'altitude_plus_minus_deg'} */ name) => {
      const known = mine.flatMap((one) => one[name] ?? []);
      return known.length === 0 ? undefined : tenth(Math.max(...known));
    };
    const [heading, altitude] = [most('azimuth_plus_minus_deg'), most('altitude_plus_minus_deg')];
    const spread = { ...(heading !== undefined && { heading_plus_minus_deg: Math.min(90, heading) }), ...(altitude !== undefined && { altitude_plus_minus_deg: Math.min(30, altitude) }) };
    const at = { at: written(at_ms, zone), source: 'device', zone };
    return [{ kind: 'skyline', record: newId(), set: { pin, source: how, at, reference, nodes, ...spread } }];
  });
}

/** The points drawn over a level line. @param {{points: readonly Point[]}} props */
export function Drawing({ points }) {
  if (points.length === 0) return null;
  const sorted = alongHorizon(points);
  const first = sorted[0]?.azimuth_deg ?? 0;
  const along = sorted.map((one) => wrap_deg(one.azimuth_deg - first));
  const span = Math.max(20, along.at(-1) ?? 0);
  const [low, high] = [Math.min(0, ...sorted.map((one) => one.altitude_deg)), Math.max(10, ...sorted.map((one) => one.altitude_deg))];
  const x = (/** @type {number} */ deg) => EDGE + (deg / span) * (WIDE - 2 * EDGE);
  const y = (/** @type {number} */ deg) => HIGH - EDGE - ((deg - low) / (high - low)) * (HIGH - 2 * EDGE);
  const at = sorted.map((one, place) => [x(along[place] ?? 0), y(one.altitude_deg)]);
  return html`<svg class="points-drawn" viewBox=${`0 0 ${WIDE} ${HIGH}`} role="img" aria-label=${words.drawing(points.length)}>
    <path class="level" d=${`M${EDGE} ${y(0)}H${WIDE - EDGE}`} />
    <path class="line" d=${`M${at.map((one) => one.join(' ')).join('L')}`} />
    ${at.map(([cx, cy]) => html`<rect class="point" x=${(cx ?? 0) - 4} y=${(cy ?? 0) - 4} width="8" height="8" />`)}
  </svg>`;
}
