/**
 * What is said of a perch or a vantage on the spot, as the edits of one Save: the pin, its site where it is the
 * first of a new one, and where it was placed from a vantage the sightline and the measurement. Pure.
 * Not for: asking (perch_here.js, vantage_here.js), or a position that comes after the Save (late_pin.js).
 *
 * @typedef {import('../notebook/types.d.ts').Wanted} Wanted
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {{lat: number, lon: number, accuracy_m?: number, source: string}} Position
 * @typedef {{read_deg: number, reference: 'true' | 'magnetic', how?: string, plus_minus_deg?: number, true_deg?: number}} Bearing
 * @typedef {{m: number, how?: string, plus_minus_m?: number}} Distance
 * @typedef {{deg: number, how?: string, plus_minus_deg?: number}} Tilt
 * @typedef {{bearing?: Bearing | null, distance?: Distance | null, tilt?: Tilt | null}} Measured
 * @typedef {{sites: readonly Rec[], names: readonly string[], zone: string, at_ms: number, newId: () => string}} Known
 */

import { placeFrom } from '../map/geometry.js';
import { nextName, siteAt } from '../map/placing.js';
import { WORDS as MAP } from '../map/words.js';
import { plusMinus } from '../rough.js';
import { written } from '../times.js';

/** How far magnetic north may lie off where nobody knows it: enough for nearly all inhabited land. Common
 * practice, no source. */
const UNKNOWN_DECLINATION_DEG = 20;
export const BEHIND = /** @type {const} */ (['light_wanted', 'gap', 'background', 'tone', 'background_in_shade']);

/** Answer a bearing in degrees true with its ±, as well as it is known. @param {Bearing} bearing */
export function trueFigure({ read_deg, reference, how, plus_minus_deg, true_deg }) {
  const spread = plus_minus_deg ?? plusMinus(how ?? 'guess', 'bearing') ?? 0;
  if (true_deg !== undefined) return { true_deg, plus_minus_deg: spread, is_known: true };
  if (reference === 'true') return { true_deg: read_deg, plus_minus_deg: spread, is_known: true };
  return { true_deg: read_deg, plus_minus_deg: Math.hypot(spread, UNKNOWN_DECLINATION_DEG), is_known: false };
}

/**
 * Answer where a measured line from a vantage ends; null while bearing or distance is missing.
 * @param {Position | undefined} vantage
 * @param {Measured} line
 * @returns {Position & {accuracy_m: number} | null}
 */
export function placedFrom(vantage, { bearing, distance, tilt }) {
  if (!vantage || !Number.isFinite(bearing?.read_deg) || !(Number(distance?.m) > 0)) return null;
  if (tilt && !(Math.abs(tilt.deg) < 90)) return null;
  const figure = trueFigure(/** @type {Bearing} */ (bearing));
  const { m, how, plus_minus_m } = /** @type {Distance} */ (distance);
  const placed = placeFrom(vantage, {
    ...figure,
    slant_m: m,
    slant_plus_minus_m: plus_minus_m ?? plusMinus(how ?? 'guess', 'distance', m) ?? 0,
    ...(tilt && { tilt_deg: tilt.deg, tilt_plus_minus_deg: tilt.plus_minus_deg ?? plusMinus(tilt.how ?? 'guess', 'tilt') ?? 5 }),
  });
  return {
    lat: Math.round(placed.lat * 1e7) / 1e7,
    lon: Math.round(placed.lon * 1e7) / 1e7,
    accuracy_m: Math.min(100_000, Math.round(placed.accuracy_m * 10) / 10),
    source: 'from a vantage',
  };
}

/**
 * Answer the site of a pin and the edits that make it: the one chosen, else the one that reaches the position,
 * else a new one; none where neither is known.
 * @param {Position | null} position
 * @param {string | null | undefined} chosen id, `new`, or nothing
 * @param {string | null | undefined} new_name
 * @param {Pick<Known, 'sites' | 'zone' | 'newId'>} known
 * @returns {{site: string | null, edits: Wanted[]}}
 */
export function siteFor(position, chosen, new_name, { sites, zone, newId }) {
  if (chosen && chosen !== 'new') return { site: chosen, edits: [] };
  if (position === null) return { site: null, edits: [] };
  const near = chosen === 'new' ? null : siteAt(sites, position);
  if (near !== null) return { site: near.id, edits: [] };
  const site = newId();
  const name = new_name?.trim() || nextName(MAP.newSite, sites.map((one) => String(one.values.name ?? '')));
  const centre = { lat: position.lat, lon: position.lon, source: position.source };
  return { site, edits: [{ kind: 'site', record: site, set: { name, centre, zone } }] };
}

/**
 * Answer the edits of a new pin.
 * @param {'perch' | 'vantage'} kind
 * @param {{position: Position | null, site?: string | null, site_name?: string | null, name?: string | null, set: Record<string, any>, note?: string | null}} said
 *   set: the pin's other registers; what is empty in it is left out
 * @param {Known} known
 * @returns {{id: string, site: string | null, edits: Wanted[]}}
 */
export function pinEdits(kind, said, known) {
  const { position } = said;
  const made = siteFor(position, said.site, said.site_name, known);
  const id = known.newId();
  const name = said.name?.trim() || nextName(MAP.kinds[kind], known.names);
  const set = filled({ site: made.site, name, position, ...said.set });
  return { id, site: made.site, edits: [...made.edits, { kind, record: id, set }, ...noteEdits(said.note, id, made.site, known)] };
}

/**
 * Answer the edits of a sightline: the one that is there gets what is new, else it is made; and a measurement
 * where anything was measured.
 * @param {{vantage: string, perch: string, line: Rec | undefined, behind: Record<string, any>, measured: Measured}} said
 * @param {Pick<Known, 'zone' | 'at_ms' | 'newId'>} known
 * @returns {{id: string, edits: Wanted[]}}
 */
export function lineEdits({ vantage, perch, line, behind, measured }, { zone, at_ms, newId }) {
  const id = line?.id ?? newId();
  const about = behindOf(behind);
  /** @type {Wanted[]} */
  const edits = [];
  if (line === undefined) edits.push({ kind: 'sightline', record: id, set: { vantage, perch, ...about } });
  else if (Object.keys(about).length > 0) edits.push({ kind: 'sightline', record: id, set: about, over: line });
  const read = filled({ bearing: measured.bearing, distance: measured.distance, tilt: measured.tilt });
  if (Object.keys(read).length > 0) {
    const at = { at: written(at_ms, zone), source: 'device', zone };
    edits.push({ kind: 'measurement', record: newId(), set: { sightline: id, at, ...read } });
  }
  return { id, edits };
}

/** Answer what is said of the background and the light, without what is empty. @param {Record<string, any>} said */
export function behindOf(said) {
  return filled(Object.fromEntries(BEHIND.map((name) => [name, said[name]])));
}

/**
 * @param {string | null | undefined} text
 * @param {string} pin
 * @param {string | null} site
 * @param {Pick<Known, 'zone' | 'at_ms' | 'newId'>} known
 * @returns {Wanted[]}
 */
export function noteEdits(text, pin, site, { zone, at_ms, newId }) {
  if (!text?.trim()) return [];
  const at = { at: written(at_ms, zone), source: 'device', zone };
  return [{ kind: 'note', record: newId(), set: filled({ site, pin, at, text: text.trim() }) }];
}

/** @param {Record<string, any>} values */
function filled(values) {
  return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined && value !== null && value !== ''));
}
