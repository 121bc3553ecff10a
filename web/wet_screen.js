/**
 * Taps that a drop of water makes: two within a few hundredths of a second. The second is not heeded.
 * Not for: double taps, which nothing here needs.
 */

const APART_MS = 40;

/** Heed no tap that follows another one too soon. Answers how to stop. */
export function heedTaps(target = document) {
  let last_ms = -Infinity;
  const tapped = (/** @type {MouseEvent} */ event) => {
    // A press of a key comes as a click without a count; two of those are meant.
    if (event.detail === 0) return;
    const soon = event.timeStamp - last_ms < APART_MS;
    last_ms = event.timeStamp;
    if (!soon) return;
    event.preventDefault();
    event.stopImmediatePropagation();
  };
  target.addEventListener('click', tapped, true);
  return () => target.removeEventListener('click', tapped, true);
}
