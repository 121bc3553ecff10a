/** Figures and words with their names. Not for: tables of many figures. */

import { html } from '../doors/htm.js';

/** A line of facts: name and words beneath each other. @param {{facts: [string, import('../types.d.ts').Children][]}} props */
export function Facts({ facts }) {
  const told = facts.filter(([, said]) => said !== null && said !== undefined && said !== '');
  return html`<dl class="facts">${told.map(([name, said]) => html`<div><dt>${name}</dt><dd>${said}</dd></div>`)}</dl>`;
}
