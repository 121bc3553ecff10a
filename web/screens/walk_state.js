/**
 * A walk that is being timed: kept on this phone with every tap, so that it goes on while the app is closed; and
 * the edits that it ends in. Not for: the screen (walk_in.js).
 *
 * @typedef {import('../notebook/types.d.ts').Wanted} Wanted
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {{bearing_deg: number, distance_m: number, note?: string}} Leg
 * @typedef {{lat: number, lon: number, accuracy_m: number}} Mark
 * @typedef {{start_ms: number | null, stop_ms: number | null, in_dark: boolean | null, vantage: string | null, start: string | null, legs: Leg[], last: Mark | null, minutes: number | string | null, cautions: string}} Walk
 *   last: where the last turn was, from which the next leg counts; minutes: as typed, else what was timed
 */

import { lineBetween } from '../map/geometry.js';

/** Kept among what is half-written, so that it is found again wherever that is listed. */
export const DRAFT = 'walk-in';
const MINUTE_MS = 60_000;
/** Shorter than what the two positions are good for, a leg says nothing. */
const LEAST_LEG_M = 5;

/** @type {Walk} */
export const NO_WALK = { start_ms: null, stop_ms: null, in_dark: null, vantage: null, start: null, legs: [], last: null, minutes: null, cautions: '' };

/** @param {Pick<import('../session.js').Notebook, 'draft'>} notebook @returns {Promise<Walk | null>} */
export async function walkIn(notebook) {
  const kept = await notebook.draft(DRAFT);
  return kept === undefined ? null : { ...NO_WALK, ...kept.values };
}

/** @param {Pick<import('../session.js').Notebook, 'keepDraft' | 'dropDraft'>} notebook @param {Walk | null} walk */
export async function keepWalk(notebook, walk) {
  if (walk === null) await notebook.dropDraft(DRAFT);
  else await notebook.keepDraft(DRAFT, { values: walk, at: Date.now() });
}

/** Answer how long it took so far [ms]. @param {Walk} walk @param {number} now_ms */
export function walked_ms({ start_ms, stop_ms }, now_ms) {
  return start_ms === null ? 0 : Math.max(0, (stop_ms ?? now_ms) - start_ms);
}

/** Answer the minutes that are to be kept. @param {Walk} walk @param {number} now_ms @returns {number | string | null} */
export function minutesOf(walk, now_ms) {
  if (walk.minutes !== null) return walk.minutes;
  return walk.start_ms === null ? null : Math.max(1, Math.round(walked_ms(walk, now_ms) / MINUTE_MS));
}

/** Write how long as `12:05`, with hours where there are some. @param {number} ms */
export function elapsed(ms) {
  const seconds = Math.floor(ms / 1000);
  const two = (/** @type {number} */ one) => String(one).padStart(2, '0');
  const [hours, minutes] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60];
  return hours > 0 ? `${hours}:${two(minutes)}:${two(seconds % 60)}` : `${minutes}:${two(seconds % 60)}`;
}

/**
 * Answer a walk with a turn marked: the leg from the last one, where it is long enough to say something.
 * @param {Walk} walk
 * @param {Mark} mark
 * @returns {Walk}
 */
export function turned(walk, mark) {
  if (walk.last === null) return { ...walk, last: mark };
  const { true_deg, distance_m } = lineBetween(walk.last, mark);
  if (true_deg === null || distance_m < LEAST_LEG_M) return walk;
  return { ...walk, last: mark, legs: [...walk.legs, { bearing_deg: Math.round(true_deg) % 360, distance_m: Math.round(distance_m) }] };
}

/**
 * Answer the edits that keep it: a way from the same place to the same vantage that is there already gets the
 * time by the other light, or the newer one, and what else is new.
 * @param {Walk} walk
 * @param {number} minutes
 * @param {readonly Rec[]} known the walk-ins of that vantage
 * @param {() => string} newId
 * @returns {Wanted[]}
 */
export function walkEdits({ in_dark, vantage, start, legs, cautions }, minutes, known, newId) {
  const set = {
    [in_dark ? 'dark_min' : 'day_min']: minutes,
    ...(legs.length > 0 && { legs }),
    ...(cautions.trim() !== '' && { cautions: cautions.trim() }),
  };
  const there = known.find((one) => (one.values.start ?? null) === start);
  if (there !== undefined) return [{ kind: 'walk_in', record: there.id, set, over: there }];
  return [{ kind: 'walk_in', record: newId(), set: { vantage, ...(start !== null && { start }), ...set } }];
}
