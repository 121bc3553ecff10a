/**
 * A compass set by a shadow: the phone lies along the shadow of an upright stick, from the stick to the tip,
 * and where the sun stands says by how much this compass is off on this spot. Nobody looks at the sun for it.
 * Not for: where the sun stands (the engine's `compass` call with `along_shadow`).
 *
 * @typedef {{correction_deg: number, plus_minus_deg: number, at_ms: number}} Correction
 */

import { turn_deg, wrap_deg } from './angles.js';

/** A car passes, a tripod is set up, an hour on: what was true of the spot is no longer known to be. */
const GOOD_FOR_MS = 30 * 60_000;

/**
 * Answer what to add to the compass, as read, to read true. A shadow points away from the sun.
 * @param {number} read_deg from the stick to the tip of its shadow
 * @param {number} sun_azimuth_deg
 */
export function correctionByShadow_deg(read_deg, sun_azimuth_deg) {
  return turn_deg(read_deg, wrap_deg(sun_azimuth_deg + 180));
}

/** Say whether a correction still counts. @param {Correction | undefined} correction @param {number} now_ms */
export function stillCounts(correction, now_ms) {
  return correction !== undefined && now_ms >= correction.at_ms && now_ms - correction.at_ms <= GOOD_FOR_MS;
}

/** @param {number} read_deg @param {Correction} correction */
export function corrected_deg(read_deg, correction) {
  return wrap_deg(read_deg + correction.correction_deg);
}
