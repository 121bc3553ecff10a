/**
 * What each tap of a running visit writes. Pure: a visit as read and a moment in, edits out; one tap is one Save.
 * A clock that was set back in between never makes anything end before it began.
 * Not for: reading the visit (visiting_state.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('../notebook/types.d.ts').Wanted} Wanted
 * @typedef {import('./visiting_state.js').Running} Running
 * @typedef {'device' | 'person' | 'photo'} Source
 */

import { newId } from '../notebook/ids.js';
import { written } from '../times.js';
import { msOf } from './visiting_state.js';

/** So long an arrival is felt, unless a person says that it is quiet again; as the engine counts it [ms]. */
export const SETTLING_MS = 20 * 60_000;

/** @param {number} at_ms @param {string} zone @param {Source} [source] */
export function momentOf(at_ms, zone, source = 'device') {
  return { at: written(at_ms, zone), source, zone };
}

/** @param {Rec} rec @param {Record<string, any>} set @returns {Wanted} */
const change = (rec, set) => ({ kind: rec.kind, record: rec.id, set, over: rec });

/** @param {number} at_ms @param {...any} before moments */
const after = (at_ms, ...before) => Math.max(at_ms, ...before.map(msOf).filter((one) => !Number.isNaN(one)));

/** A visit and its first watch. @param {{site: string, zone: string, vantage?: string | null, at_ms: number, more?: Record<string, any>}} begun */
export function startEdits({ site, zone, vantage, at_ms, more = {} }) {
  const id = newId(Date.now());
  const start = momentOf(at_ms, zone);
  return { id, edits: /** @type {Wanted[]} */ ([{ kind: 'visit', record: id, set: { site, start, ...more } }, watchEdit(id, start, vantage).edit]) };
}

/** @param {string} visit @param {any} start @param {string | null | undefined} vantage @param {Record<string, any>} [more] */
function watchEdit(visit, start, vantage, more = {}) {
  const record = newId(Date.now());
  return { id: record, edit: /** @type {Wanted} */ ({ kind: 'watch', record, set: { visit, start, ...(vantage && { vantage }), ...more } }) };
}

/** The open watch, or a new one where there is none. @param {Running} running @param {number} at_ms @returns {{watch: string, edits: Wanted[]}} */
function openWatch({ visit, watch, zone }, at_ms) {
  if (watch !== undefined) return { watch: watch.id, edits: [] };
  const made = watchEdit(visit.id, momentOf(at_ms, zone), null);
  return { watch: made.id, edits: [made.edit] };
}

/**
 * An animal is here. Heard and sign have no stay: they happened.
 * @param {Running} running
 * @param {{species: string, how: 'seen' | 'heard' | 'sign', count?: number | null | undefined, perch?: string | null | undefined}} seen
 * @param {number} at_ms
 */
export function hereEdits(running, { species, how, count, perch }, at_ms) {
  const { watch, edits } = openWatch(running, at_ms);
  const set = { watch, species, how, time_in: momentOf(at_ms, running.zone), ...(count && { count }), ...(perch && { perch }) };
  return [...edits, /** @type {Wanted} */ ({ kind: 'sighting', record: newId(Date.now()), set })];
}

/** It is gone. @param {Running} running @param {Rec} sighting @param {number} at_ms */
export function goneEdits({ zone }, sighting, at_ms) {
  return [change(sighting, { time_out: momentOf(after(at_ms, sighting.values.time_in), zone) })];
}

/**
 * It noticed something. One that left is gone as well.
 * @param {Running} running
 * @param {{what: string, sighting?: Rec | undefined, species?: string | undefined, distance_m?: number | null, cause?: string | null}} noticed
 * @param {number} at_ms
 */
export function reactionEdits(running, { what, sighting, species, distance_m, cause }, at_ms) {
  const { watch, edits } = openWatch(running, at_ms);
  const animal = sighting?.values.species ?? species;
  const known = typeof distance_m === 'number';
  const set = { watch, what, at: momentOf(at_ms, running.zone), ...(animal && { species: animal }), ...(known && { distance_m }), ...(cause && { cause }) };
  const gone = what === 'left' && sighting ? goneEdits(running, sighting, at_ms) : [];
  return [...edits, /** @type {Wanted} */ ({ kind: 'reaction', record: newId(Date.now()), set }), ...gone];
}

/** On to another vantage: one watch ends, the next begins. @param {Running} running @param {string | null} vantage @param {number} at_ms */
export function movedEdits({ visit, watch, zone }, vantage, at_ms) {
  const at = momentOf(after(at_ms, watch?.values.start), zone);
  return [...(watch ? [change(watch, { end: at })] : []), watchEdit(visit.id, at, vantage).edit];
}

/** Answer from when a watch counts as quiet [ms]. @param {Rec} watch */
export function quietFrom({ values: v }) {
  const said = msOf(v.quiet_from);
  return Number.isNaN(said) ? msOf(v.start) + SETTLING_MS : Math.max(said, msOf(v.start));
}

/** Answer the last disturbance in a watch since it was quiet. @param {Running} running @returns {Rec | undefined} */
export function disturbedBy({ watch, reactions }) {
  if (watch === undefined) return undefined;
  return reactions.filter((one) => one.values.watch === watch.id && one.values.what !== 'looked up' && msOf(one.values.at) >= quietFrom(watch)).at(-1);
}

/**
 * It is quiet again: the first time, so much of the watch counts; after a disturbance the watch ends where that
 * was and another one begins, which is quiet from now, so that what was watched before still counts.
 * Null where it was quiet already.
 * @param {Running} running
 * @param {number} at_ms
 * @returns {Wanted[] | null}
 */
export function quietEdits(running, at_ms) {
  const { visit, watch, zone } = running;
  const now = momentOf(after(at_ms, watch?.values.start), zone);
  if (watch === undefined) return [watchEdit(visit.id, now, null, { quiet_from: now }).edit];
  const by = disturbedBy(running);
  if (by !== undefined) {
    const { vantage, perches, in_the_dark } = watch.values;
    const more = { quiet_from: momentOf(after(at_ms, by.values.at), zone), ...(perches && { perches }), ...(in_the_dark && { in_the_dark }) };
    return [change(watch, { end: by.values.at }), watchEdit(visit.id, by.values.at, vantage, more).edit];
  }
  if (quietFrom(watch) <= at_ms) return null;
  return [change(watch, { quiet_from: now })];
}

/**
 * The visit ends, and with it what is still watched. An animal that is still there stays so: nobody saw it go.
 * @param {Running} running
 * @param {number} at_ms
 * @param {{source?: Source, is_unsure?: boolean, more?: Record<string, any>}} [how]
 */
export function endEdits({ visit, watches, zone, last_ms }, at_ms, { source = 'device', is_unsure = false, more = {} } = {}) {
  const end = momentOf(Math.max(at_ms, last_ms), zone, source);
  const unsure = is_unsure ? { end_unsure: true } : {};
  const open = watches.filter((one) => one.values.end === undefined && one.values.trail_camera !== true);
  return [change(visit, { end, ...unsure, ...more }), ...open.map((one) => change(one, { end, ...unsure }))];
}
