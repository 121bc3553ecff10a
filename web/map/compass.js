/**
 * Magnetic readings made true: by the engine where it answers, else by the declination last known of this
 * area, with its date. Not for: reading the compass (`sensing/heading`).
 *
 * @typedef {{declination_deg: number, lat: number, lon: number, at_ms: number}} Kept
 * @typedef {(name: string, request: object) => Promise<any>} Engine raises, or answers {error}, where it cannot
 * @typedef {{get: () => Promise<Kept | undefined>, keep: (kept: Kept) => Promise<void>}} Memory
 * @typedef {{true_deg: number, declination_deg: number, from: 'engine' | 'kept', at_ms: number}} MadeTrue
 */

import { wrap_deg } from '../sensing/angles.js';
import { lineBetween } from './geometry.js';

/** Within this the declination changes by less than half of what a phone's compass is good for; and a year
 * changes it by some 0.1 to 0.3° (from memory). */
const AREA_M = 100_000;

/** The memory of a notebook. @param {{setting: (name: string) => Promise<any>, keepSetting: (name: string, value: any) => Promise<void>}} notebook */
export function declinationIn(notebook) {
  return {
    get: () => notebook.setting('declination'),
    keep: (/** @type {Kept} */ kept) => notebook.keepSetting('declination', kept),
  };
}

/**
 * Make a magnetic reading true. Answers null where neither the engine nor memory knows; the reading is then
 * kept as read, and made true later.
 * @param {number} read_deg
 * @param {{lat: number, lon: number}} here
 * @param {number} at_ms
 * @param {{engine?: Engine | undefined, memory: Memory}} known
 * @returns {Promise<MadeTrue | null>}
 */
export async function madeTrue(read_deg, here, at_ms, { engine, memory }) {
  const declination_deg = engine === undefined ? null : await asked(engine, here, at_ms, read_deg);
  if (declination_deg !== null) {
    await memory.keep({ declination_deg, lat: here.lat, lon: here.lon, at_ms });
    return { true_deg: wrap_deg(read_deg + declination_deg), declination_deg, from: 'engine', at_ms };
  }
  const kept = await memory.get();
  if (kept === undefined || lineBetween(here, kept).distance_m > AREA_M) return null;
  return {
    true_deg: wrap_deg(read_deg + kept.declination_deg),
    declination_deg: kept.declination_deg,
    from: 'kept',
    at_ms: kept.at_ms,
  };
}

/**
 * @param {Engine} engine
 * @param {{lat: number, lon: number}} here
 * @param {number} at_ms
 * @param {number} read_deg
 */
async function asked(engine, here, at_ms, read_deg) {
  const position = { lat: here.lat, lon: here.lon };
  const bearing = { read_deg, reference: 'magnetic', how: 'phone compass' };
  try {
    const answer = await engine('compass', { position, at: new Date(at_ms).toISOString(), bearing });
    return typeof answer?.declination_deg === 'number' ? answer.declination_deg : null;
  } catch {
    return null;
  }
}
