/**
 * The screen that is photographed with the camera: UTC, large, changing with the second; and what the photo
 * then says of the camera's clock. Not for: reading a photo's time.
 */

/**
 * Answer what the face shows. `off_ms` is server time − phone time, where it is known.
 * @param {number} now_ms
 * @param {number} [off_ms]
 */
export function clockFace(now_ms, off_ms = 0) {
  const text = new Date(now_ms + off_ms).toISOString();
  return { date: text.slice(0, 10), time: text.slice(11, 19) };
}

/**
 * Call at the turn of every second until stopped.
 * @param {(now_ms: number) => void} onSecond
 * @param {{now?: () => number, off_ms?: number}} [clock]
 */
export function everySecond(onSecond, { now = Date.now, off_ms = 0 } = {}) {
  /** @type {ReturnType<typeof setTimeout>} */
  let next;
  const turn = () => {
    const now_ms = now();
    onSecond(now_ms);
    next = setTimeout(turn, 1000 - ((((now_ms + off_ms) % 1000) + 1000) % 1000));
  };
  turn();
  return () => clearTimeout(next);
}

/**
 * Answer how far the camera's clock is ahead of UTC [s], zone and all: what its photo of the face carries as
 * its time, less what the face showed. Both as "2026-05-12T04:35:00"; the camera's time is read as written.
 * @param {string} camera
 * @param {string} face_utc
 */
export function cameraAhead_s(camera, face_utc) {
  const [said, shown] = [camera, face_utc].map((text) => Date.parse(`${text.replace(' ', 'T').replace(/Z$/, '')}Z`));
  if (Number.isNaN(said) || Number.isNaN(shown)) throw new TypeError('a time is written like 2026-05-12T04:35:00');
  return (/** @type {number} */ (said) - /** @type {number} */ (shown)) / 1000;
}
