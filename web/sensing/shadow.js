/**
 * A compass set by a shadow: the phone lies along the shadow of an upright stick, from the stick to the tip,
 * and where the sun stands says by how much this compass is off on this spot. Nobody looks at the sun for it.
 * Not for: by how much (the engine's `compass` call with `along_shadow`).
 *
 * @typedef {{correction_deg: number, plus_minus_deg: number, at_ms: number}} Correction
 */

import { wrap_deg } from './angles.js';

/** A car passes, a tripod is set up, an hour on: what was true of the spot is no longer known to be. */
const GOOD_FOR_MS = 30 * 60_000;

/** Say whether a correction still counts. @param {Correction | undefined} correction @param {number} now_ms */
export function stillCounts(correction, now_ms) {
  return correction !== undefined && now_ms >= correction.at_ms && now_ms - correction.at_ms <= GOOD_FOR_MS;
}

/** @param {number} read_deg @param {Correction} correction */
export function corrected_deg(read_deg, correction) {
  return wrap_deg(read_deg + correction.correction_deg);
}
