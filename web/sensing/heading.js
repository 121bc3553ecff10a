/**
 * The phone's compass: asked for by a tap, averaged over one second, held by a tap, with its ±.
 * It reads from magnetic north; so says every bearing made of it. Not for: making it true (the engine), or
 * any word on screen.
 *
 * @typedef {'flat' | 'upright' | 'edge'} Hold
 * @typedef {{read_deg: number, plus_minus_deg: number, hold: Hold, count: number}} Heading
 * @typedef {'none' | 'relative' | 'uncalibrated'} NoHeading why there is nothing to show (yet)
 * @typedef {DeviceOrientationEvent & {webkitCompassHeading?: number, webkitCompassAccuracy?: number}} Turned
 */

import { meanDirection, wrap_deg } from './angles.js';
import { edgeHeading_deg, flatHeading_deg, holdOf, uprightHeading_deg } from './attitude.js';

/** What a phone's compass is good for with care: 5 to 15°. Common practice, no source. */
export const PLUS_MINUS_DEG = 10;
const LEAST_DEG = 5; // however good a phone thinks its compass is
const WINDOW_MS = 1000;
const PATIENCE_MS = 2500;

/**
 * Ask to feel how the phone is turned. Must be called in the handler of a tap.
 * @returns {Promise<'granted' | 'denied' | 'absent'>}
 */
export async function askToFeel() {
  const asked = /** @type {{requestPermission?: (absolute?: boolean) => Promise<string>} | undefined} */ (
    /** @type {unknown} */ (globalThis.DeviceOrientationEvent)
  );
  if (asked === undefined) return 'absent';
  if (asked.requestPermission === undefined) return 'granted';
  try {
    return (await asked.requestPermission(true)) === 'granted' ? 'granted' : 'denied';
  } catch {
    return 'denied';
  }
}

/**
 * Read one event. Plain orientation events count from wherever the phone lay when the page was opened; such a
 * direction is silently wrong, and none at all is better.
 * @param {Turned} event
 * @param {number} screen_deg
 * @param {Hold} before as it was held; along the edge it stays
 * @returns {{deg: number, plus_minus_deg: number, hold: Hold} | NoHeading}
 */
export function readHeading(event, screen_deg, before) {
  const { alpha, beta, gamma, webkitCompassHeading: heading, webkitCompassAccuracy: accuracy } = event;
  const hold = before === 'edge' ? before : holdOf(beta ?? 0, gamma ?? 0, before);
  if (typeof heading === 'number') {
    if (!(heading >= 0) || (accuracy !== undefined && accuracy < 0)) return 'uncalibrated';
    const plus_minus_deg = Math.max(LEAST_DEG, accuracy ?? PLUS_MINUS_DEG);
    return { deg: wrap_deg(hold === 'flat' ? heading + screen_deg : heading), plus_minus_deg, hold };
  }
  if (alpha === null || beta === null || gamma === null) return 'none';
  if (!event.absolute) return 'relative';
  const deg = hold === 'edge' ? edgeHeading_deg(alpha, beta) : hold === 'flat' ? flatHeading_deg(alpha, screen_deg) : uprightHeading_deg(alpha, beta, gamma);
  return { deg, plus_minus_deg: PLUS_MINUS_DEG, hold };
}

/** The readings of the last second, and what they come to. */
export class Second {
  /** @type {{at_ms: number, deg: number, plus_minus_deg: number, hold: Hold}[]} */
  #kept = [];

  /** @param {number} at_ms @param {{deg: number, plus_minus_deg: number, hold: Hold}} reading */
  add(at_ms, reading) {
    // Where the phone is raised from flat to upright, what was read before is another direction.
    if (this.#kept.at(-1)?.hold !== reading.hold) this.#kept = [];
    this.#kept.push({ at_ms, ...reading });
    this.#kept = this.#kept.filter((one) => at_ms - one.at_ms <= WINDOW_MS);
  }

  /** @returns {Heading | null} */
  mean() {
    const mean = meanDirection(this.#kept.map((one) => one.deg));
    if (mean === null) return null;
    const instrument = Math.max(...this.#kept.map((one) => one.plus_minus_deg));
    const plus_minus_deg = Math.min(180, Math.hypot(instrument, mean.spread_deg));
    const { hold } = /** @type {{hold: Hold}} */ (this.#kept.at(-1));
    return { read_deg: mean.deg, plus_minus_deg, hold, count: mean.count };
  }
}

/**
 * Show the heading until it is held. `hold` stops listening and answers the last one; `stop` only stops.
 * @param {(heading: Heading | NoHeading) => void} onHeading
 * @param {{target?: EventTarget, now?: () => number, screen_deg?: () => number, hold?: Hold}} [from] hold: 'edge' where one sights along it
 */
export function watchHeading(onHeading, from = {}) {
  const { target = globalThis, now = () => performance.now() } = from;
  const screen_deg = from.screen_deg ?? (() => globalThis.screen?.orientation?.angle ?? 0);
  let second = new Second();
  /** @type {Heading | null} */
  let shown = null;
  const patience = setTimeout(() => shown === null && onHeading('none'), PATIENCE_MS);
  const heard = (/** @type {Event} */ raw) => {
    const read = readHeading(/** @type {Turned} */ (raw), screen_deg(), shown?.hold ?? from.hold ?? 'flat');
    if (typeof read === 'string') {
      // Both kinds of event come on some phones; the one that knows no north must not silence the other.
      if (shown === null || read === 'uncalibrated') onHeading(read);
      if (read === 'uncalibrated') [second, shown] = [new Second(), null];
      return;
    }
    second.add(now(), read);
    shown = second.mean();
    if (shown !== null) onHeading(shown);
  };
  const names = ['deviceorientationabsolute', 'deviceorientation'];
  for (const name of names) target.addEventListener(name, heard);
  const stop = () => {
    clearTimeout(patience);
    for (const name of names) target.removeEventListener(name, heard);
  };
  return {
    stop,
    hold() {
      stop();
      return shown;
    },
  };
}

/**
 * Make the register of a bearing from a held heading.
 * @param {Heading} heading
 * @param {{true_deg?: number, how?: 'phone compass' | 'sun shadow'}} [known]
 */
export function bearingOf({ read_deg, plus_minus_deg }, { true_deg, how = 'phone compass' } = {}) {
  return {
    read_deg: wrap_deg(Math.round(read_deg * 10) / 10),
    reference: 'magnetic',
    how,
    plus_minus_deg: Math.round(plus_minus_deg * 10) / 10,
    ...(true_deg === undefined ? {} : { true_deg: wrap_deg(Math.round(true_deg * 10) / 10) }),
  };
}
