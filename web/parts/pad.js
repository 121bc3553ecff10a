/**
 * The app's own keys, for the night look: the phone's keyboard would light up the hide.
 * Not for: the day, where the phone's keyboard is better.
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { field as words } from '../words.js';

const NUMBERS = ['123', '456', '789', '-0.'];
const LETTERS = ['qwertyuiop', 'asdfghjkl', 'zxcvbnm'];
const SIGNS = ['1234567890', '-/:;()&@', '.,?!\'"±°'];

/**
 * @param {{keys: 'number' | 'text' | 'clock', onKey: (key: string) => void, onDelete: () => void, onDone: () => void, onBright: () => void}} props
 *   onBright: the phone's own keyboard is wanted after all
 */
export function Pad({ keys, onKey, onDelete, onDone, onBright }) {
  const box = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => box.current?.scrollIntoView({ block: 'nearest' }), []); // it may open below the edge
  const [upper, setUpper] = useState(false);
  const [signs, setSigns] = useState(false);
  const rows = keys === 'text' ? (signs ? SIGNS : LETTERS) : keys === 'clock' ? ['123', '456', '789', ':0'] : NUMBERS;
  // The field keeps the focus, and with it the place of its cursor.
  const stay = (/** @type {Event} */ event) => event.preventDefault();
  const typed = (/** @type {string} */ key) => {
    onKey(upper ? key.toUpperCase() : key);
    setUpper(false);
  };
  return html`<div ref=${box} class=${`pad ${keys}`} role="group" aria-label=${words.own_keys} onPointerDown=${stay} onMouseDown=${stay}>
    ${rows.map(
      (row) => html`<div class="pad-row">
        ${[...row].map((key) => html`<button type="button" tabindex="-1" key=${key} onClick=${() => typed(key)}>${upper ? key.toUpperCase() : key.replace('-', '−')}</button>`)}
      </div>`,
    )}
    ${keys === 'text'
      ? html`<div class="pad-row">
          <button type="button" tabindex="-1" aria-pressed=${upper} onClick=${() => setUpper(!upper)}>${words.capitals}</button>
          <button type="button" tabindex="-1" onClick=${() => setSigns(!signs)}>${signs ? words.letters : words.digits}</button>
          <button type="button" tabindex="-1" onClick=${() => typed(' ')}>${words.space}</button>
        </div>`
      : null}
    <div class="pad-row">
      <button type="button" tabindex="-1" onClick=${onDelete}>${words.delete}</button>
      <button type="button" tabindex="-1" class="strong" onClick=${onDone}>${words.done}</button>
    </div>
    <button type="button" tabindex="-1" class="pad-bright" onClick=${onBright}>${words.phone_keyboard}</button>
  </div>`;
}
