/**
 * Pins and the lines between them, with what they are good for, on the phone alone.
 * WGS 84 by the mid-latitude formulas of Gauss on the local radii of curvature: within a millimetre of the
 * geodesic up to a few kilometres, away from the poles. Not for: magnetic north (`compass`), the terrain, or
 * what the engine answers better (skylines, light).
 *
 * @typedef {{lat: number, lon: number, accuracy_m?: number | null}} Position
 * @typedef {{distance_m: number, true_deg: number | null, distance_plus_minus_m: number, plus_minus_deg: number}} Line
 */

import { RAD, wrap_deg } from '../sensing/angles.js';

const A_M = 6_378_137; // WGS 84
const E2 = 0.0066943799901413165; // WGS 84: f (2 − f), f = 1/298.257223563
const MEAN_RADIUS_M = 6_371_008.8; // IUGG
const UNKNOWN_PIN_M = 10; // a phone's fix under trees: 5 to 15 m; common practice, no source
const UNKNOWN_TILT_DEG = 5; // taken as level because nobody measured it
const REFRACTION_K = 0.13; // Gauss

/** The radii of curvature at a latitude, along the meridian and across it [m]. @param {number} lat */
export function radii_m(lat) {
  const w2 = 1 - E2 * Math.sin(lat * RAD) ** 2;
  const across = A_M / Math.sqrt(w2);
  return { along: (across * (1 - E2)) / w2, across };
}

/**
 * Answer distance and true bearing from one pin to another.
 * @param {Position} from
 * @param {Position} to
 * @returns {Line} a bearing known to ±180 is not known at all
 */
export function lineBetween(from, to) {
  const middle = (from.lat + to.lat) / 2;
  const { along, across } = radii_m(middle);
  const dLon = Math.abs(to.lon - from.lon) > 180 ? to.lon - from.lon - Math.sign(to.lon - from.lon) * 360 : to.lon - from.lon;
  const north = (to.lat - from.lat) * RAD * along;
  const east = dLon * RAD * across * Math.cos(middle * RAD);
  const distance_m = Math.hypot(north, east);
  const converge = dLon * Math.sin(middle * RAD);
  const shift = Math.hypot(from.accuracy_m ?? UNKNOWN_PIN_M, to.accuracy_m ?? UNKNOWN_PIN_M);
  return {
    distance_m,
    true_deg: distance_m > 0 ? wrap_deg(Math.atan2(east, north) / RAD - converge / 2) : null,
    distance_plus_minus_m: shift,
    plus_minus_deg: shift < distance_m ? Math.atan2(shift, distance_m) / RAD : 180,
  };
}

/**
 * Answer the point that far along that true bearing [m on the ground].
 * @param {Position} from
 * @param {number} true_deg
 * @param {number} along_m
 */
export function destination(from, true_deg, along_m) {
  let middle = from.lat;
  let direction = true_deg;
  let [lat, lon] = [from.lat, from.lon];
  // Each round puts in the middle latitude and the turn of the meridians found by the one before.
  for (let round = 0; round < 4; round++) {
    const { along, across } = radii_m(middle);
    const dLon = (along_m * Math.sin(direction * RAD)) / (across * Math.cos(middle * RAD)) / RAD;
    lat = from.lat + (along_m * Math.cos(direction * RAD)) / along / RAD;
    lon = from.lon + dLon;
    middle = (from.lat + lat) / 2;
    direction = true_deg + (dLon * Math.sin(middle * RAD)) / 2;
  }
  return { lat, lon: lon > 180 ? lon - 360 : lon <= -180 ? lon + 360 : lon };
}

/**
 * Place a perch from a vantage. The radius joins the vantage's own, that of the distance, and the chord that
 * the bearing's ± sweeps.
 * @param {Position} vantage
 * @param {{true_deg: number, plus_minus_deg: number, slant_m: number, slant_plus_minus_m: number, tilt_deg?: number, tilt_plus_minus_deg?: number}} line
 *   `slant_m` from eye to perch; without a tilt it is taken as level
 * @returns {{lat: number, lon: number, accuracy_m: number, ground_m: number, rise_m: number, rise_plus_minus_m: number}}
 */
export function placeFrom(vantage, line) {
  const { true_deg, slant_m, tilt_deg = 0 } = line;
  if (!(slant_m > 0)) throw new RangeError('slant_m must be above 0');
  if (!(Math.abs(tilt_deg) < 90)) throw new RangeError('tilt_deg must lie between −90 and 90');
  const tilt_error = line.tilt_plus_minus_deg ?? UNKNOWN_TILT_DEG;
  const [along, up] = [Math.cos(tilt_deg * RAD), Math.sin(tilt_deg * RAD)];
  const ground_m = slant_m * along;
  const ground_error = Math.hypot(line.slant_plus_minus_m * along, slant_m * up * tilt_error * RAD);
  const sweep = 2 * ground_m * Math.sin((Math.min(line.plus_minus_deg, 180) * RAD) / 2);
  const slope = up / along;
  const lean = ground_m * (1 + slope ** 2) * tilt_error * RAD;
  return {
    ...destination(vantage, true_deg, ground_m),
    accuracy_m: Math.hypot(vantage.accuracy_m ?? UNKNOWN_PIN_M, ground_error, sweep),
    ground_m,
    rise_m: ground_m * slope + (ground_m ** 2 * (1 - REFRACTION_K)) / (2 * MEAN_RADIUS_M),
    rise_plus_minus_m: Math.hypot(lean, slope * ground_error),
  };
}

/**
 * Move a position by metres east and north; for nudging a pin.
 * @template {Position} P
 * @param {P} position
 * @param {number} east_m
 * @param {number} north_m
 * @returns {P}
 */
export function nudged(position, east_m, north_m) {
  const moved = destination(position, Math.atan2(east_m, north_m) / RAD, Math.hypot(east_m, north_m));
  return { ...position, lat: Math.round(moved.lat * 1e7) / 1e7, lon: Math.round(moved.lon * 1e7) / 1e7 };
}
