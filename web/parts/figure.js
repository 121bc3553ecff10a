/**
 * A figure with its name: large enough to read at arm's length, with its ± and where it comes from.
 * Not for: tables of many figures.
 */

import { html } from '../doors/htm.js';

/**
 * One row of figures.
 * @param {{figures: {name: string, figure: string, unit?: string, plus_minus?: string, note?: string}[]}} props
 */
export function Figures({ figures }) {
  return html`<dl class="figures">
    ${figures.map(
      (one) => html`<div class="figure">
        <dt>${one.name}</dt>
        <dd><span class="value">${one.figure}</span>${one.unit ? html` <span class="unit">${one.unit}</span>` : null}${one.plus_minus ? html` <span class="plus-minus">${`± ${one.plus_minus}`}</span>` : null}${one.note ? html`<span class="note">${one.note}</span>` : null}</dd>
      </div>`,
    )}
  </dl>`;
}

/** A line of facts: name and words beneath each other. @param {{facts: [string, import('../types.d.ts').Children][]}} props */
export function Facts({ facts }) {
  const told = facts.filter(([, said]) => said !== null && said !== undefined && said !== '');
  return html`<dl class="facts">${told.map(([name, said]) => html`<div><dt>${name}</dt><dd>${said}</dd></div>`)}</dl>`;
}
