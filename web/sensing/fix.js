/**
 * One position fix: asked for, shown while it gets better, ended by a tap, by being good enough, or by time.
 * It never runs on: what is left running empties the battery. Not for: where a record is kept (`late_fix`).
 *
 * @typedef {{lat: number, lon: number, accuracy_m: number, altitude_m: number | null, at_ms: number}} Fix
 * @typedef {'denied' | 'unavailable' | 'no time' | 'absent' | 'stopped'} NoFix
 */

const FOR_S = 30;
const GOOD_M = 4; // better than this a phone hardly gets, under an open sky
const USABLE_M = 50; // a pin within this is found again, and mended on the spot
const STALE_MS = 5000;

/** Say whether a fix is to stand in the place of the one so far. @param {Fix | null} best @param {Fix} next */
export function isBetter(best, next) {
  return best === null || next.accuracy_m <= best.accuracy_m;
}

/**
 * Take one fix. `onBetter` hears of every one that is better than the last; `done` answers the best, or why
 * there is none; `stop` ends it now with what there is; `hurry` at the first that is usable, since whoever stood
 * there walks on, and what comes later is of another place.
 * @param {{for_s?: number, good_m?: number, onBetter?: (fix: Fix) => void, geolocation?: Geolocation, now?: () => number}} [how]
 * @returns {{done: Promise<Fix | NoFix>, stop: () => void, hurry: () => void}}
 */
export function takeFix(how = {}) {
  const { for_s = FOR_S, onBetter, now = Date.now } = how;
  let { good_m = GOOD_M } = how;
  const geolocation = how.geolocation ?? globalThis.navigator?.geolocation;
  if (geolocation === undefined) return { done: Promise.resolve('absent'), stop: () => {}, hurry: () => {} };
  const asked_ms = now();
  /** @type {Fix | null} */
  let best = null;
  /** @type {NoFix} */
  let why = 'no time';
  /** @type {(answer: Fix | NoFix) => void} */
  let settle;
  /** @type {Promise<Fix | NoFix>} */
  const done = new Promise((resolve) => (settle = resolve));
  /** @type {number | undefined} */
  let watch;
  let ended = false;
  /** @param {NoFix} why */
  const end = (why) => {
    if (ended) return;
    ended = true;
    clearTimeout(limit);
    if (watch !== undefined) geolocation.clearWatch(watch);
    globalThis.document?.removeEventListener('visibilitychange', hidden);
    settle(best ?? why);
  };
  const hidden = () => globalThis.document.visibilityState === 'hidden' && end('stopped');
  const limit = setTimeout(() => end(why), for_s * 1000);
  globalThis.document?.addEventListener('visibilitychange', hidden);
  watch = geolocation.watchPosition(
    ({ coords, timestamp }) => {
      // Some phones hand over the last known place first, from another hour and another wood.
      if (ended || asked_ms - timestamp > STALE_MS) return;
      const { latitude: lat, longitude: lon, accuracy: accuracy_m, altitude: altitude_m } = coords;
      const next = { lat, lon, accuracy_m, altitude_m, at_ms: timestamp };
      if (!isBetter(best, next)) return;
      best = next;
      onBetter?.(next);
      if (accuracy_m <= good_m) end('stopped');
    },
    (trouble) => {
      if (trouble.code === 1) end('denied');
      else if (trouble.code === 2) why = 'unavailable'; // phones say so while they wake the receiver, and then have a fix
    },
    { enableHighAccuracy: true, maximumAge: 0, timeout: for_s * 1000 },
  );
  if (ended) geolocation.clearWatch(watch);
  const hurry = () => {
    good_m = Math.max(good_m, USABLE_M);
    if (best !== null) end('stopped');
  };
  return { done, stop: () => end('stopped'), hurry };
}

/** Make the register of a position from a fix. @param {Pick<Fix, 'lat' | 'lon' | 'accuracy_m'>} fix */
export function positionOf({ lat, lon, accuracy_m }) {
  return {
    lat: Math.round(lat * 1e7) / 1e7,
    lon: Math.round(lon * 1e7) / 1e7,
    accuracy_m: Math.min(100_000, Math.max(0.1, Math.ceil(accuracy_m * 10 - 1e-9) / 10)),
    source: 'satellite fix',
  };
}
