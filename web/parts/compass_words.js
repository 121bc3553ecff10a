/**
 * The words of the compass where they lie, north at the top: eight round a middle, or sixteen for the asking.
 * Not for: degrees typed or felt (field_bearing.js).
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { POINT16_PLUS_MINUS_DEG, POINT8_PLUS_MINUS_DEG, ROSE } from '../rough.js';
import { bearing } from '../units.js';
import { field as words } from '../words.js';

/** The rim of a square, row by row: the place of each point on the rose, null for the inside. */
const EIGHT = [14, 0, 2, 12, null, 4, 10, 8, 6];
const SIXTEEN = [14, 15, 0, 1, 2, 13, null, null, null, 3, 12, null, null, null, 4, 11, null, null, null, 5, 10, 9, 8, 7, 6];

/**
 * @param {{label: string, deg: number | undefined, onPick: (picked: {deg: number, plus_minus_deg: number} | null) => void}} props
 */
export function CompassWords({ label, deg, onPick }) {
  const [sixteen, setSixteen] = useState(deg !== undefined && deg % 45 !== 0);
  const plus_minus_deg = sixteen ? POINT16_PLUS_MINUS_DEG : POINT8_PLUS_MINUS_DEG;
  const cell = (/** @type {number} */ place) => {
    const [letters, word] = ROSE[place] ?? ['', ''];
    const at_deg = place * 22.5;
    const chosen = deg === at_deg;
    return html`<button type="button" class="chip" key=${place} aria-pressed=${chosen} aria-label=${`${letters}, ${word}`} onClick=${() => onPick(chosen ? null : { deg: at_deg, plus_minus_deg })}>${letters}</button>`;
  };
  const wide = sixteen ? 5 : 3;
  // In the order of the square, so that the eye and the tab key go the same way.
  const cells = (sixteen ? SIXTEEN : EIGHT).map((place, at) => {
    if (place !== null) return cell(place);
    if (at !== wide + 1) return null;
    return html`<button type="button" class="rose-middle" key="middle" onClick=${() => setSixteen(!sixteen)}>
      <b>${deg === undefined ? '' : bearing(deg)}</b><span>${sixteen ? words.eight : words.sixteen}</span>
    </button>`;
  });
  return html`<div class=${sixteen ? 'rose sixteen' : 'rose'} role="group" aria-label=${label}>${cells}</div>`;
}
