/** The rest of a card: its times, when each shutter is reached, and what stands in the way. Not for: sightlines. */

import { html } from '../doors/htm.js';
import { CASES } from '../engine/moments.js';
import { card as words } from '../words_outing.js';

/** @param {{card: any}} props */
export function Times({ card }) {
  if (card.timeline.length === 0) return null;
  return html`<section class="times"><h2>${words.timeline}</h2>
    <ol>${card.timeline.map((/** @type {any} */ entry) => html`<li key=${entry.what + entry.at.utc}><time datetime=${entry.at.utc}>${entry.at.clock}</time><span><b>${entry.what}</b>${entry.note ? html`<small>${entry.note}</small>` : null}</span></li>`)}</ol>
  </section>`;
}

/** @param {{card: any}} props */
export function Arrivals({ card }) {
  if (card.arrivals.length === 0) return null;
  const session = /** @type {'dawn' | 'dusk'} */ (card.title.session);
  return html`<section class="arrivals"><h2>${words.shutter_from[session]}</h2>
    <div class="scroll" tabindex="0" role="region" aria-label=${words.shutter_from[session]}><table>
      <thead><tr><td></td>${CASES.map((sky) => html`<th scope="col">${words.skies[sky]}</th>`)}</tr></thead>
      <tbody>${card.arrivals.map((/** @type {any} */ one) => html`<tr><th scope="row">${one.behaviour} <small>${one.shutter}</small></th>${CASES.map((sky) => html`<td>${one[sky]?.clock ?? words.never}</td>`)}</tr>`)}</tbody>
    </table></div>
    ${card.sightlines[0] ? html`<p class="soft">${card.sightlines[0].name}; ${card.sightlines[0].clears_words}</p>` : null}
  </section>`;
}

/** @param {{card: any}} props */
export function Going({ card }) {
  return html`
    ${card.barred.length > 0 ? html`<section><h2>${words.barred}</h2><dl class="facts">${card.barred.map((/** @type {any} */ line) => html`<div key=${line.id}><dt>${line.name}</dt><dd>${line.barred.join(' ')}</dd></div>`)}</dl></section>` : null}
    <section><h2>${words.going}</h2>
      ${card.walk_in ? html`<p>${words.walk_in} ${card.walk_in.words}</p>` : null}
      <p>${card.permission}</p>
      ${card.access ? html`<p>${card.access}</p>` : null}
    </section>
    <${Said} title=${words.cautions} sentences=${card.cautions} />
    <${Said} title=${words.not_known} sentences=${card.not_known} />`;
}

/** @param {{title: string, sentences: string[]}} props */
function Said({ title, sentences }) {
  if (sentences.length === 0) return null;
  return html`<section class="said"><h2>${title}</h2><ul>${sentences.map((one) => html`<li>${one}</li>`)}</ul></section>`;
}
