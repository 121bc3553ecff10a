/**
 * The screen that is photographed with the camera: UTC, large, changing with the second. Not for: reading a
 * photo's time.
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
