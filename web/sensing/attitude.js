/**
 * How a phone is held, from the three angles of the orientation events: where its top edge points, where its
 * back looks, how steep its edges lie. Plain sums, the same in every browser.
 * The angles turn about z, then x, then y (W3C DeviceOrientation Event Specification, section 3.1); east,
 * north, up are x, y, z. Not for: magnetic or true, or listening to the events (`heading`, `tilt`).
 */

import { RAD, wrap_deg } from './angles.js';

/** Below this much of "up" in the screen's normal, the phone is held upright; above the other, flat. */
const UPRIGHT_BELOW = 0.64; // screen leaning more than 50° from flat
const FLAT_ABOVE = 0.77; // less than 40°

/**
 * Answer the direction of the top of the page, of a phone held flat. `screen_deg` is
 * `screen.orientation.angle`.
 * @param {number} alpha_deg @param {number} screen_deg
 */
export function flatHeading_deg(alpha_deg, screen_deg = 0) {
  return wrap_deg(360 - alpha_deg + screen_deg);
}

/**
 * Answer the direction in which the back of the screen looks, of a phone held upright, as one aims a lens;
 * how the page is turned plays no part. Source: W3C DeviceOrientation Event Specification, appendix A.1.
 * @param {number} alpha_deg @param {number} beta_deg @param {number} gamma_deg
 */
export function uprightHeading_deg(alpha_deg, beta_deg, gamma_deg) {
  const [sinB, sinG, sinA] = [Math.sin(beta_deg * RAD), Math.sin(gamma_deg * RAD), Math.sin(alpha_deg * RAD)];
  const [cosG, cosA] = [Math.cos(gamma_deg * RAD), Math.cos(alpha_deg * RAD)];
  const east = -cosA * sinG - sinA * sinB * cosG;
  const north = -sinA * sinG + cosA * sinB * cosG;
  return wrap_deg(Math.atan2(east, north) / RAD);
}

/**
 * Answer where the phone's long edge points, bottom to top, however the phone is rolled about it.
 * @param {number} alpha_deg @param {number} beta_deg
 */
export function edgeHeading_deg(alpha_deg, beta_deg) {
  return wrap_deg((Math.cos(beta_deg * RAD) < 0 ? 180 : 360) - alpha_deg);
}

/**
 * Say whether a phone is held flat or upright; between the two it stays what it was, so that a reading does
 * not jump. @param {number} beta_deg @param {number} gamma_deg @param {'flat' | 'upright'} before
 * @returns {'flat' | 'upright'}
 */
export function holdOf(beta_deg, gamma_deg, before = 'flat') {
  const up = Math.abs(Math.cos(beta_deg * RAD) * Math.cos(gamma_deg * RAD));
  if (up < UPRIGHT_BELOW) return 'upright';
  if (up > FLAT_ABOVE) return 'flat';
  return before;
}

/**
 * Answer how steeply an edge of the phone lies, up positive. The long edge counts from the bottom of the phone
 * to its top, the short edge from its left to its right.
 * @param {number} beta_deg @param {number} gamma_deg @param {'long' | 'short'} edge
 */
export function edgeTilt_deg(beta_deg, gamma_deg, edge = 'long') {
  const up = edge === 'long' ? Math.sin(beta_deg * RAD) : -Math.cos(beta_deg * RAD) * Math.sin(gamma_deg * RAD);
  return Math.asin(Math.max(-1, Math.min(1, up))) / RAD;
}
