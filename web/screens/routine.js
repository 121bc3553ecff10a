/**
 * The routine of an animal: when it comes, how surely that is known, what goes with it, what nobody has watched yet.
 * Counts are spelled out; nothing is a chance. Not for: how the animal is recorded (species.js), or the light.
 *
 * @typedef {import('../engine/asking.js').Plain} Plain
 * @typedef {{perch?: string | null, area?: string | null, sky?: string | null, wind_from?: string | null, tag?: string | null, months?: string | null}} Narrowed
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { SKIES, isWhole, plain, routineRequest } from '../engine/asking.js';
import { gatheringOf } from '../engine/gathering.js';
import { chosen } from '../engine/plans.js';
import { withPresence } from '../engine/presence.js';
import { Chips } from '../parts/chips.js';
import { Empty } from '../parts/empty.js';
import { Facts } from '../parts/figure.js';
import { address } from '../route.js';
import { useRecords, useSession } from '../session.js';
import { dateOf } from '../times.js';
import { routine as words } from '../words_routine.js';
import { Age, Trouble, useAnswer, useEngine } from './answered.js';
import { CurveOf, Marks } from './routine_marks.js';
import './outing_styles.js';
import './routine_styles.js';

const HALVES = /** @type {const} */ (['dawn', 'dusk']);
const WINDS = ['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW'];

/** @param {{notebook: import('../session.js').Notebook, species: string}} props */
export function Routine({ notebook, species }) {
  const [picked, setPicked] = useState(/** @type {string | null} */ (null));
  const [narrowed, setNarrowed] = useState(/** @type {Narrowed} */ ({}));
  const { schema } = useSession();
  const found = useRecords(notebook, () => sitesOf(notebook, schema, species), [species]);
  const site = found?.sites.find((one) => one.id === (picked ?? found.site)) ?? found?.sites[0];
  const is_ready = useEngine().phase === 'ready';
  const { said, busy, trouble, again } = useAnswer(
    async () => {
      if (!found || site === undefined) return null;
      const records = await gatheringOf(notebook).at(site.id);
      const on = dateOf(Date.now(), site.zone);
      const { months, ...rest } = narrowed;
      const season = words.seasons.find((one) => one.value === months);
      const part = { ...rest, season: season ? { from_day: season.from_day, to_day: season.to_day } : null };
      const request = routineRequest(records, { site: site.id, species, on }, part, found);
      return { name: 'routine', request, how: { subject: `routine/${site.id}/${species}/${JSON.stringify(narrowed)}`, until: on } };
    },
    [found, site?.id, narrowed, is_ready],
  );
  const perches = useRecords(notebook, () => (site ? perchesOf(notebook, site.id, species) : Promise.resolve(null)), [site?.id, species, is_ready]);
  if (found === undefined) return null;
  if (site === undefined) return html`<section><h2>${words.title}</h2><${Empty} text=${words.no_site} /></section>`;
  const places = perches?.places ?? [];
  return html`<div class="routine card">
    <${Age} said=${said} busy=${busy} />
    ${found.sites.length > 1 ? html`<${Chips} label=${words.sites} needed choices=${found.sites.map((one) => ({ value: one.id, label: one.name }))} value=${site.id} onPick=${(/** @type {string} */ one) => (setNarrowed({}), setPicked(one))} />` : null}
    <${Trouble} trouble=${trouble} again=${again} />
    ${said ? html`<${Told} said=${said.answer} />` : null}
    ${perches && perches.counted.length > 0 ? html`<section><h2>${words.perches}</h2><${Perches} counted=${perches.counted} /></section>` : null}
    ${said ? html`<${Unwatched} yet=${said.answer.unwatched} />` : null}
    <details class="narrow"><summary>${words.narrow}</summary><${Narrow} narrowed=${narrowed} places=${[...places, ...found.areas.filter((one) => one.site === site.id).map((one) => ({ ...one, is_area: true }))]} tags=${[...new Set(found.tags.map((one) => one.word))]} put=${(/** @type {Narrowed} */ more) => setNarrowed({ ...narrowed, ...more })} /></details>
  </div>`;
}

/** @param {{said: any}} props */
function Told({ said }) {
  const whole = HALVES.filter((session) => said[session].there.n > 0);
  if (whole.length === 0) return html`<${Empty} text=${words.none} act=${{ label: words.visit_act, to: 'write' }} />`;
  return html`
    ${said.warnings.map((/** @type {string} */ one) => html`<p class="verdict">${one}</p>`)}
    ${whole.map((session) => html`<${Half} key=${session} half=${said[session]} session=${session} anchor=${words.anchor(session, said.anchoring.kind)} />`)}
    <section><h2>${words.curve}</h2>${said.curve ? html`<${CurveOf} curve=${said.curve} anchoring=${said.anchoring} said=${said.curve_words} />` : html`<p>${said.curve_words}</p>`}<p class="soft">${said.anchoring.words}</p></section>
    <section><h2>${words.by}</h2>${Object.entries(said.tallies).map(([key, rows]) => (rows.length === 0 ? null : html`<details key=${key}><summary>${words.tallies[key]}</summary><${Facts} facts=${rows.map((/** @type {any} */ row) => [row.word, row.words])} /></details>`))}</section>
    ${said.order.length > 0 ? html`<section><h2>${words.order}</h2><${Facts} facts=${said.order.map((/** @type {any} */ one) => [`${one.from} → ${one.to}`, words.times(one.times)])} /></section>` : null}
  `;
}

/** @param {{half: any, session: 'dawn' | 'dusk', anchor: string}} props */
function Half({ half, session, anchor }) {
  const came = half.steps.filter((/** @type {any} */ step) => step.k > 0);
  const [is_whole, setWhole] = useState(false);
  const shown = is_whole || came.length === 0 ? half.steps : came;
  return html`<section><h2>${words.half[session]}</h2>
    <p class="verdict">${half.words}</p>
    <${Marks} marks=${half.marks} session=${session} anchor=${anchor} />
    <${Facts} facts=${[
      [words.first, half.first_arrival && words.arrival(half.first_arrival, session, anchor)],
      [words.stay, half.stay && words.stays(half.stay)],
      [words.holds, half.holds.words],
    ]} />
    <details><summary>${words.steps}</summary><div class="scroll" tabindex="0" role="region" aria-label=${words.steps}><table>
      <thead><tr><th scope="col">${words.from(anchor)}</th><th scope="col">${words.on_day}</th><th scope="col">${words.there}</th><th scope="col">${words.interval}</th></tr></thead>
      <tbody>${shown.map((/** @type {any} */ step) => html`<tr key=${step.from_min} class=${half.stands_out.includes(step.from_min) ? 'out' : ''}><th scope="row">${words.off(step.from_min)}</th><td>${step.clock ?? '–'}</td><td>${step.k} of ${step.n}</td><td>${step.band}${half.stands_out.includes(step.from_min) ? html`<br />${words.stands_out}` : ''}</td></tr>`)}</tbody>
    </table></div>${shown.length < half.steps.length ? html`<button type="button" class="act other" onClick=${() => setWhole(true)}>${words.more_steps(half.steps.length - came.length)}</button>` : null}</details>
    <details><summary>${words.visits}</summary><ul class="rows">${half.marks.map((/** @type {any} */ mark) => html`<li key=${mark.date}>${mark.visits[0] ? html`<a class="row" href=${address(`visit/${mark.visits[0]}`)}><${Mark} mark=${mark} /></a>` : html`<span class="row"><${Mark} mark=${mark} /></span>`}</li>`)}</ul></details>
  </section>`;
}

/** @param {{mark: any}} props */
function Mark({ mark }) {
  return html`<span class="row-title">${mark.date}</span><span class="row-count">${mark.seen ? `${words.seen} ${mark.clock}` : words.blank}</span>`;
}

/** @param {{counted: {id: string, name: string, dawn: any, dusk: any}[]}} props */
function Perches({ counted }) {
  return html`<div class="scroll"><table><thead><tr><th></th><th scope="col">${words.half.dawn}</th><th scope="col">${words.half.dusk}</th></tr></thead>
    <tbody>${counted.map((one) => html`<tr key=${one.id}><th scope="row"><a href=${address(`perch/${one.id}`)}>${one.name}</a></th>${HALVES.map((session) => html`<td>${words.of(one[session])}</td>`)}</tr>`)}</tbody></table></div>`;
}

/** @param {{yet: any}} props */
function Unwatched({ yet }) {
  const some = [
    [words.hours, yet.hours.join(', ')],
    [words.winds, yet.winds.join(', ')],
    [words.skies, yet.skies.join(', ')],
    [words.where, yet.where.join(', ')],
  ].filter(([, said]) => said !== '');
  return html`<section><h2>${words.unwatched}</h2>
    ${yet.why_not ? html`<p>${yet.why_not}</p>` : some.length === 0 ? html`<p>${words.all_watched}</p>` : html`<${Facts} facts=${some} />`}
  </section>`;
}

/** @param {{narrowed: Narrowed, places: (Plain & {is_area?: boolean})[], tags: string[], put: (more: Narrowed) => void}} props */
function Narrow({ narrowed, places, tags, put }) {
  const some = (/** @type {readonly string[]} */ list) => list.map((one) => ({ value: one, label: one }));
  /** @type {[string, any[], any, (one: any) => void][]} */
  const groups = [
    [words.place, places.map((one) => ({ value: one.id, label: one.name })), narrowed.perch ?? narrowed.area, (one) => put(places.find((place) => place.id === one)?.is_area ? { area: one, perch: null } : { perch: one, area: null })],
    [words.months, words.seasons, narrowed.months, (months) => put({ months })],
    [words.sky, some(SKIES), narrowed.sky, (sky) => put({ sky })],
    [words.wind, some(WINDS), narrowed.wind_from, (wind_from) => put({ wind_from })],
    [words.tag, some(tags), narrowed.tag, (tag) => put({ tag })],
  ];
  return groups.map(([label, choices, value, onPick]) => (choices.length === 0 ? null : html`<p class="soft">${label}</p><${Chips} label=${label} choices=${choices} value=${value} onPick=${onPick} />`));
}

/**
 * Answer the sites, the one meant first: where the animal was noted, else the one chosen last.
 * @param {import('../session.js').Notebook} notebook @param {import('../types.d.ts').Schema} schema @param {string} species
 */
async function sitesOf(notebook, schema, species) {
  const whole = async (/** @type {string} */ kind) => (await notebook.all(kind)).map(plain).filter((one) => isWhole(one, schema.kinds[kind]));
  const [everywhere, areas, tags, meant, last] = await Promise.all([gatheringOf(notebook).everywhere(), whole('area'), whole('tag'), chosen(notebook), notebook.byIndex('sighting', 'species', species)]);
  const newest = last[0] === undefined ? undefined : await notebook.get(last[0].values.watch);
  const visit = newest?.values.visit === undefined ? undefined : await notebook.get(newest.values.visit);
  return { sites: everywhere.site ?? [], site: visit?.values.site ?? meant.site, areas, tags };
}

/**
 * Answer the perches of a site, and on how many watched dawns and dusks the animal came to each.
 * @param {import('../session.js').Notebook} notebook @param {string} site @param {string} species
 */
async function perchesOf(notebook, site, species) {
  const records = await gatheringOf(notebook).at(site);
  const places = records.perch ?? [];
  const { presences } = await withPresence(records, { site, species, kit: '' });
  const known = /** @type {any} */ (presences[species]);
  const counted = known === null ? [] : places.map(({ id, name }) => ({ id, name, dawn: known.dawn.perches[id]?.there ?? null, dusk: known.dusk.perches[id]?.there ?? null }));
  return { places, counted: counted.filter((one) => one.dawn !== null || one.dusk !== null) };
}
