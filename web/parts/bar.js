/**
 * The four places, all equal and flat, at the bottom where the thumb is.
 * Not for: acts of a screen (page.js).
 *
 * @typedef {import('../types.d.ts').Place} Place
 */

import { html } from '../doors/htm.js';
import { usePhone } from '../phone.js';
import { address } from '../route.js';
import { app, places } from '../words.js';

/** Drawn on a field of 24. The marks are those of the notebook: strip, perch, stroke, ruled page. */
const MARKS = {
  outing: html`<path d="M2 11h20v9H2z" /><path d="M7 20l6-9M11 20l4-6" class="thin" /><path d="M15 11h7v9h-7z" class="full" /><path d="M11 3h8l-4 6z" class="full" />`,
  map: html`<path d="M12 2l6 6-6 6-6-6z" /><path d="M12 14v8M7 22h10" />`,
  write: html`<path d="M4 20l3-8L18 2l4 4-11 11z" /><path d="M4 20l4-1" /><path d="M13 22h9" class="thin" />`,
  book: html`<path d="M4 3h16v18H4z" /><path d="M8 3v18" /><path d="M11 9h6M11 13h6M11 17h6" class="thin" />`,
};

/** @param {{place: Place | null}} props the place that is open */
export function Bar({ place }) {
  const { hand } = usePhone();
  const names = /** @type {Place[]} */ (Object.keys(places));
  const order = hand === 'left' ? [...names].reverse() : names;
  return html`<nav class="bar" aria-label=${app.places}>
    <div class="bar-places">
      ${order.map(
        (name) => html`<a key=${name} href=${address(name)} aria-current=${place === name ? 'page' : null}>
          <svg viewBox="0 0 24 24" aria-hidden="true">${MARKS[name]}</svg><span>${places[name]}</span>
        </a>`,
      )}
    </div>
  </nav>`;
}
