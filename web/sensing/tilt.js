/**
 * The phone as a level: laid by its edge along the line of sight, averaged over one second, held by a tap.
 * Not for: the compass (`heading`).
 *
 * @typedef {{deg: number, plus_minus_deg: number, count: number}} Tilt
 */

import { edgeTilt_deg } from './attitude.js';

/** What a phone laid by its edge is good for: 1 to 2°. Common practice, no source. */
export const PLUS_MINUS_DEG = 1.5;
const WINDOW_MS = 1000;

/**
 * Answer the mean of tilts with their ±: that of the phone, and how unsteadily it was held.
 * @param {readonly number[]} tilts_deg
 * @returns {Tilt | null}
 */
export function meanTilt(tilts_deg) {
  const count = tilts_deg.length;
  if (count === 0) return null;
  const deg = tilts_deg.reduce((total, one) => total + one, 0) / count;
  const spread = Math.sqrt(tilts_deg.reduce((total, one) => total + (one - deg) ** 2, 0) / count);
  return { deg, plus_minus_deg: Math.hypot(PLUS_MINUS_DEG, spread), count };
}

/**
 * Show the tilt until it is held.
 * @param {(tilt: Tilt) => void} onTilt
 * @param {{edge?: 'long' | 'short', target?: EventTarget, now?: () => number}} [from]
 */
export function watchTilt(onTilt, { edge = 'long', target = globalThis, now = () => performance.now() } = {}) {
  /** @type {{at_ms: number, deg: number}[]} */
  let kept = [];
  /** @type {Tilt | null} */
  let shown = null;
  const heard = (/** @type {Event} */ raw) => {
    const { beta, gamma } = /** @type {DeviceOrientationEvent} */ (raw);
    if (beta === null || gamma === null) return;
    const at_ms = now();
    kept = [...kept.filter((one) => at_ms - one.at_ms <= WINDOW_MS), { at_ms, deg: edgeTilt_deg(beta, gamma, edge) }];
    shown = meanTilt(kept.map((one) => one.deg));
    if (shown !== null) onTilt(shown);
  };
  target.addEventListener('deviceorientation', heard);
  const stop = () => target.removeEventListener('deviceorientation', heard);
  return {
    stop,
    hold() {
      stop();
      return shown;
    },
  };
}

/** Make the register of a tilt from a held one. @param {Tilt} tilt */
export function tiltOf({ deg, plus_minus_deg }) {
  const tenth = (/** @type {number} */ value) => Math.round(value * 10) / 10 + 0;
  return { deg: tenth(deg), how: 'phone edge', plus_minus_deg: tenth(plus_minus_deg) };
}
