/**
 * Taps that a drop of water makes: a second one on the same spot within a few hundredths of a second. It is not
 * heeded. Not for: double taps, which nothing here needs.
 */

/** A finger does not come down twice so soon. Common practice, no source. */
const APART_MS = 40;
/** Further off it is another finger, such as the other thumb on the red keys: 10 mm on a phone, wider than a finger's tip. */
const APART_PX = 60;

/** Heed no tap that follows another one too soon on the same spot. Answers how to stop. */
export function heedTaps(target = document) {
  let last = { ms: -Infinity, x: 0, y: 0, target: /** @type {EventTarget | null} */ (null) };
  const tapped = (/** @type {MouseEvent} */ event) => {
    // A press of a key comes as a click without a count; two of those are meant.
    if (event.detail === 0) return;
    const { timeStamp: ms, clientX: x, clientY: y, target } = event;
    // The browser hands a tap on a label's words on to its control, at the same moment and spot.
    if (last.target instanceof Element && last.target.closest('label')?.control === target) return;
    const since_ms = ms - last.ms;
    // A stamp is rounded, so two at once may say the same time. One before the last is no drop: browsers stamp
    // some events by another clock, and were it held against them, nothing could be tapped until that was reached.
    if (since_ms < 0 || since_ms >= APART_MS || Math.hypot(x - last.x, y - last.y) > APART_PX) {
      last = { ms, x, y, target }; // of the tap that counted: water that goes on dripping must not hold up the next one
      return;
    }
    event.preventDefault();
    event.stopImmediatePropagation();
  };
  target.addEventListener('click', tapped, true);
  return () => target.removeEventListener('click', tapped, true);
}
