/**
 * Records as the map draws them: pins with their marks, sightlines with what is known of them, areas.
 * Not for: drawing, words (`figures`), or the light (the engine's).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('./marks.js').Mark} Mark
 * @typedef {Mark & {id: string, name: string, lat: number, lon: number, accuracy_m: number | null}} Pin
 * @typedef {{id: string, vantage: Pin, perch: Pin, true_deg: number | null, plus_minus_deg: number, distance_m: number, isMeasured: boolean, gap_m: number | null, sky: boolean}} Sight
 * @typedef {{id: string, name: string, kind: string, outline: {lat: number, lon: number}[]}} Outline
 * @typedef {Partial<Record<'perch' | 'vantage' | 'landmark' | 'sightline' | 'measurement' | 'area', Rec[]>>} Records
 */

import { lineBetween } from './geometry.js';

const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ';

/**
 * Make the pins of records; one without a position, or with one that is none, is left out.
 * @param {Records} records
 * @returns {Pin[]}
 */
export function pinsOf({ perch = [], vantage = [], landmark = [] }) {
  const plain = landmark.filter((rec) => rec.values.kind !== 'hazard').sort(byId);
  const letters = new Map(plain.map((rec, place) => [rec.id, letterOf(place)]));
  return [
    ...vantage.flatMap((rec) => pin(rec, { kind: 'vantage', hide: rec.values.cover === 'hide', ...usable(rec) })),
    ...perch.flatMap((rec) => pin(rec, { kind: 'perch' })),
    ...landmark.flatMap((rec) =>
      pin(rec, rec.values.kind === 'hazard' ? { kind: 'hazard' } : { kind: 'landmark', letter: letters.get(rec.id) ?? '' }),
    ),
  ];
}

/** @param {Rec} rec @param {Mark} mark @returns {Pin[]} */
function pin(rec, mark) {
  const { lat, lon, accuracy_m = null } = rec.values.position ?? {};
  if (!Number.isFinite(lat) || !Number.isFinite(lon) || Math.abs(lat) > 90) return [];
  return [{ ...mark, id: rec.id, name: String(rec.values.name ?? ''), lat, lon, accuracy_m }];
}

/** @param {Rec} rec @returns {Pick<Mark, 'usable'>} */
function usable(rec) {
  const range = rec.values.usable;
  return range === undefined || range === null ? {} : { usable: range };
}

/** A to Z, then AA, AB and so on. @param {number} place @returns {string} */
export function letterOf(place) {
  const last = LETTERS[place % LETTERS.length];
  return (place < LETTERS.length ? '' : letterOf(Math.floor(place / LETTERS.length) - 1)) + last;
}

/**
 * Make the sightlines. What was measured on the spot wins over what two pins imply; of several measurements
 * the one with the least ±, then the latest.
 * @param {Records} records
 * @param {readonly Pin[]} pins
 * @returns {Sight[]}
 */
export function sightsOf({ sightline = [], measurement = [] }, pins) {
  const byName = new Map(pins.map((one) => [one.id, one]));
  /** @type {Map<string, Rec[]>} */
  const measured = new Map();
  for (const rec of measurement) {
    const line = String(rec.values.sightline);
    measured.set(line, [...(measured.get(line) ?? []), rec]);
  }
  return sightline.flatMap((rec) => {
    const [vantage, perch] = [byName.get(rec.values.vantage), byName.get(rec.values.perch)];
    if (vantage === undefined || perch === undefined) return [];
    return [sight(rec, vantage, perch, measured.get(rec.id) ?? [])];
  });
}

/** @param {Rec} rec @param {Pin} vantage @param {Pin} perch @param {Rec[]} measurements @returns {Sight} */
function sight(rec, vantage, perch, measurements) {
  const pins = lineBetween(vantage, perch);
  const bearing = best(measurements.map((one) => one.values.bearing).filter((one) => trueOf(one) !== null), 'plus_minus_deg');
  const length = best(measurements.map((one) => one.values.distance).filter((one) => one?.m > 0), 'plus_minus_m');
  const true_deg = bearing === undefined ? pins.true_deg : trueOf(bearing);
  const distance_m = length === undefined ? pins.distance_m : length.m;
  const [gap_m, sky] = gapBehind(rec.values.gap, distance_m);
  return {
    id: rec.id,
    vantage,
    perch,
    true_deg,
    plus_minus_deg: bearing === undefined ? pins.plus_minus_deg : (bearing.plus_minus_deg ?? 0),
    distance_m,
    isMeasured: bearing !== undefined && length !== undefined,
    gap_m,
    sky,
  };
}

/** @param {any} bearing @returns {number | null} */
function trueOf(bearing) {
  if (typeof bearing?.true_deg === 'number') return bearing.true_deg;
  return bearing?.reference === 'true' && typeof bearing.read_deg === 'number' ? bearing.read_deg : null;
}

/** @param {any[]} values newest first @param {string} plus_minus */
function best(values, plus_minus) {
  return values.reduce((one, other) => (one === undefined || (other[plus_minus] ?? 1e9) < (one[plus_minus] ?? 1e9) ? other : one), undefined);
}

/** @param {any} gap @param {number} distance_m @returns {[number | null, boolean]} */
function gapBehind(gap, distance_m) {
  if (gap?.sky === true) return [null, true];
  if (typeof gap?.m !== 'number') return [null, false];
  return [gap.ranged_from === 'vantage' ? Math.max(0, gap.m - distance_m) : gap.m, false];
}

/** @param {Records} records @returns {Outline[]} */
export function outlinesOf({ area = [] }) {
  return area.flatMap((rec) => {
    const outline = (rec.values.outline ?? []).filter((/** @type {any} */ one) => Number.isFinite(one?.lat) && Number.isFinite(one?.lon));
    return outline.length < 3 ? [] : [{ id: rec.id, name: String(rec.values.name ?? ''), kind: String(rec.values.kind), outline }];
  });
}

/** @param {Rec} one @param {Rec} other */
function byId(one, other) {
  return one.id < other.id ? -1 : 1;
}
