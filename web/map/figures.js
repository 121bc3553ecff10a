/** The figures that stand on a sightline, as a person reads them. Not for: where they come from (`pins`). */

import { distance } from '../units.js';
import { WORDS } from './words.js';

/** Bearing, distance, gap. @param {import('./pins.js').Sight} sight @returns {string[]} */
export function figuresOf({ true_deg, plus_minus_deg, distance_m, gap_m, sky }) {
  const gap = sky ? WORDS.gapSky : gap_m === null ? WORDS.gapUnknown : WORDS.gap(distance(gap_m));
  const bearing = true_deg === null || plus_minus_deg >= 180 ? '?°' : `${Math.round(true_deg) % 360}°`;
  return [bearing, distance(distance_m), gap];
}
