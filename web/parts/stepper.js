/**
 * A value changed by steps, with large buttons on the side of the thumb.
 * Not for: values that are far from where they start (field_number.js).
 */

import { html } from '../doors/htm.js';
import { usePhone } from '../phone.js';
import { number } from '../units.js';
import { field as words } from '../words.js';

/**
 * @param {{label: string, value: number | null | undefined, onStep: (value: number) => void, step?: number, low?: number | undefined, high?: number | undefined, from?: number, shown?: (value: number) => string, id?: string}} props
 *   label: what is counted, for the buttons' names; from: where an empty one starts
 */
export function Stepper({ label, value, onStep, step = 1, low = -Infinity, high = Infinity, from = 0, shown = number, id }) {
  const { hand } = usePhone();
  const known = typeof value === 'number';
  /** @param {number} by */
  const to = (by) => Math.min(high, Math.max(low, known ? Number((value + by).toFixed(6)) : from));
  const button = (/** @type {number} */ by, /** @type {string} */ sign, /** @type {string} */ word) =>
    html`<button type="button" class="step" disabled=${known && to(by) === value} aria-label=${`${label}: ${word}`} onClick=${() => onStep(to(by))}>${sign}</button>`;
  const face = html`<output class="step-face" id=${id}>${known ? shown(value) : '–'}</output>`;
  const buttons = html`${button(-step, '−', words.less)}${button(step, '+', words.more)}`;
  return html`<div class="stepper">${hand === 'left' ? html`${buttons}${face}` : html`${face}${buttons}`}</div>`;
}
