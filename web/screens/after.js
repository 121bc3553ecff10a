/**
 * What a site's outings have taught: what costs the most pictures, which vantages earn them, which keep-distance the
 * animal asks for, how far the light was foretold. Counts in words. Not for: writing a visit down.
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { afterRequest } from '../engine/asking.js';
import { gatheringOf } from '../engine/gathering.js';
import { chosen, meantAt } from '../engine/plans.js';
import { Chips } from '../parts/chips.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { address } from '../route.js';
import { useRecords } from '../session.js';
import { dateOf } from '../times.js';
import { number } from '../units.js';
import { outing } from '../words_outing.js';
import { after as words, routine } from '../words_routine.js';
import { Age, Trouble, useAnswer, useEngine } from './answered.js';
import './outing_styles.js';
import './routine_styles.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, query }) {
  const [picked, setPicked] = useState(/** @type {string | null} */ (query.site ?? null));
  const [animal, setAnimal] = useState(/** @type {string | null} */ (null));
  const found = useRecords(notebook, () => meaning(notebook, picked), [picked]);
  const is_ready = useEngine().phase === 'ready';
  const species = animal ?? found?.species;
  const { said, busy, trouble, again } = useAnswer(
    async () => {
      if (!found || species === undefined || found.kit === undefined) return null;
      const wanted = { site: found.site.id, species, kit: found.kit, on: dateOf(Date.now(), found.site.zone) };
      return { name: 'after_outings', request: afterRequest(await gatheringOf(notebook).at(wanted.site), wanted), how: { subject: `after/${wanted.site}/${species}/${wanted.kit}`, until: wanted.on } };
    },
    [found, species, is_ready],
  );
  if (found === undefined) return html`<${Page} title=${words.title} />`;
  if (found === null) return html`<${Page} title=${words.title}><${Empty} text=${routine.no_site} act=${{ label: outing.first_act, to: 'map' }} /></${Page}>`;
  const missing = found.kit === undefined ? { text: outing.no_kit, act: { label: outing.kit_act, to: 'new/kit' } } : species === undefined ? { text: outing.no_species, act: { label: outing.species_act, to: 'new/species' } } : null;
  return html`<${Page} title=${words.title} kicker=${found.site.name} more=${[{ label: words.kit, to: 'kit' }]}>
    <${Age} said=${said} busy=${busy} />
    ${found.sites.length > 1 ? html`<${Chips} label=${routine.sites} needed choices=${found.sites} value=${found.site.id} onPick=${setPicked} />` : null}
    ${found.animals.length > 1 ? html`<${Chips} label=${outing.species_act} needed choices=${found.animals} value=${species} onPick=${setAnimal} />` : null}
    ${missing ? html`<${Empty} ...${missing} />` : null}
    <${Trouble} trouble=${trouble} again=${again} />
    ${said ? html`<${Taught} said=${said.answer} />` : null}
  </${Page}>`;
}

/** @param {{said: any}} props */
function Taught({ said }) {
  if (said.visits === 0) return html`<${Empty} text=${words.none} act=${{ label: routine.visit_act, to: 'write' }} />`;
  const distances = Object.values(said.keep_distances).filter((one) => one !== null);
  return html`<div class="card after">
    <p class="verdict">${words.lead(said.visits, said.keepers, said.frames)}</p>
    <p class="soft">${said.scope}</p>
    ${said.failed.length > 0 ? html`<section><h2>${words.failed}</h2><${Table} heads=${[words.what, words.pictures, words.visits]} rows=${said.failed.map((/** @type {any} */ row) => [row.what, row.pictures, words.of(row.visits, said.visits)])} label=${words.failed} /><p class="soft">${said.lost_words}</p></section>` : null}
    ${said.vantages.length > 0 ? html`<section><h2>${words.vantages}</h2><${Table} heads=${[words.vantage, words.kept, words.frames, words.visits, words.hours]} rows=${said.vantages.map((/** @type {any} */ row) => [html`<a href=${address(`vantage/${row.id}`)}>${row.name}</a>`, row.keepers, row.frames, row.visits, number(row.hours, 1)])} label=${words.vantages} /></section>` : null}
    <section><h2>${words.keep}</h2>${distances.length === 0 ? html`<p>${words.no_reaction}</p>` : distances.map((/** @type {any} */ one) => html`<p>${one.words}</p>`)}<p class="soft">${words.own}</p></section>
    <section><h2>${words.shutters}</h2>${said.shutters.map((/** @type {any} */ shot) => html`<p key=${shot.id}>${shot.at.utc.slice(0, 10)} ${shot.at.clock}: ${shot.words}</p>`)}<p>${said.shutter_words}</p></section>
  </div>`;
}

/** @param {{heads: string[], rows: any[][], label: string}} props */
function Table({ heads, rows, label }) {
  return html`<div class="scroll" tabindex="0" role="region" aria-label=${label}><table>
    <thead><tr>${heads.map((one) => html`<th scope="col">${one}</th>`)}</tr></thead>
    <tbody>${rows.map(([first, ...rest]) => html`<tr><th scope="row">${first}</th>${rest.map((one) => html`<td>${one}</td>`)}</tr>`)}</tbody>
  </table></div>`;
}

/** @param {import('../session.js').Notebook} notebook @param {string | null} picked */
async function meaning(notebook, picked) {
  const gathering = gatheringOf(notebook);
  const [{ site: sites = [] }, wished] = await Promise.all([gathering.everywhere(), chosen(notebook)]);
  const site = sites.find((one) => one.id === (picked ?? wished.site)) ?? sites[0];
  if (site === undefined) return null;
  const records = await gathering.at(site.id);
  const choices = (/** @type {import('../engine/asking.js').Plain[]} */ some) => some.map((one) => ({ value: one.id, label: one.name }));
  return { site, sites: choices(sites), animals: choices(records.species ?? []), ...meantAt(records, site.id, wished) };
}
