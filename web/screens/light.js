/**
 * The light here through a day: a sightline, or a perch put down a minute ago, with or without a skyline.
 * Not for: whether to go (card.js).
 *
 * @typedef {import('../engine/asking.js').Plain} Plain
 * @typedef {{sightline: string} | {perch: string, from_deg: number}} At
 */

import { html } from '../doors/htm.js';
import { useMemo, useState } from '../doors/preact.js';
import { CASES } from '../engine/moments.js';
import { lightRequest } from '../engine/asking.js';
import { gatheringOf } from '../engine/gathering.js';
import { chosen, lightSubject, meantAt } from '../engine/plans.js';
import { Chips } from '../parts/chips.js';
import { CompassWords } from '../parts/compass_words.js';
import { Empty } from '../parts/empty.js';
import { Facts } from '../parts/figure.js';
import { Page } from '../parts/page.js';
import { Strip } from '../parts/strip.js';
import { go } from '../route.js';
import { useRecords } from '../session.js';
import { dateOf, day as dayWords, instantOf, laterDate } from '../times.js';
import { number } from '../units.js';
import { card as shared, light as words, outing } from '../words_outing.js';
import { Age, Trouble, useAnswer, useEngine } from './answered.js';
import { Stretches, stretchesOf } from './card_line.js';
import './outing_styles.js';

const NOON_MIN = 720;
const SOUTH_DEG = 180;

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, query }) {
  const looked = useRecords(notebook, () => lookedAt(notebook, query), [query.sightline, query.perch]);
  const bare = looked && 'bare' in looked ? looked.bare : undefined;
  const found = looked && 'bare' in looked ? null : looked;
  const [picked, setPicked] = useState(/** @type {string | null} */ (null));
  const [from_deg, setFrom] = useState(SOUTH_DEG);
  const is_ready = useEngine().phase === 'ready';
  const date = query.date ?? (found ? dateOf(Date.now(), found.zone) : '');
  const at = useMemo(() => {
    if (!found) return null;
    const line = picked ?? found.line;
    return /** @type {At} */ (line === undefined ? { perch: found.perch.id, from_deg } : { sightline: line });
  }, [found, picked, from_deg]);
  const { said, busy, trouble, again } = useAnswer(
    async () => {
      if (!found || at === null || found.species === undefined || found.kit === undefined) return null;
      const wanted = { site: found.site, species: found.species, kit: found.kit, on: date };
      const request = lightRequest(await gatheringOf(notebook).at(found.site), wanted, at);
      return { name: 'light_day', request, how: { subject: lightSubject({ ...wanted, session: 'dawn' }, at), until: date } };
    },
    [found, at, date, is_ready],
  );
  if (found === undefined) return html`<${Page} title=${words.title} up="map" />`;
  if (found === null) {
    const first = bare === undefined ? { text: words.none, act: { label: outing.first_act, to: 'map' } } : { text: words.bare, act: { label: words.place, to: `perch-here?saved=${bare}` } };
    return html`<${Page} title=${words.title} up="map"><${Empty} ...${first} /></${Page}>`;
  }
  if (found.kit === undefined || found.species === undefined) {
    const missing = found.kit === undefined ? { text: outing.no_kit, act: { label: outing.kit_act, to: 'new/kit' } } : { text: outing.no_species, act: { label: outing.species_act, to: 'new/species' } };
    return html`<${Page} title=${words.title} up="map"><${Empty} ...${missing} /></${Page}>`;
  }
  const on = (/** @type {number} */ by) => () => go('light', { query: { ...query, date: laterDate(date, by) }, instead: true });
  const more = [
    { label: words.day_before, onAct: on(-1) },
    { label: words.day_after, onAct: on(1) },
  ];
  const name = at !== null && 'sightline' in at ? (found.lines.find((one) => one.id === at.sightline)?.name ?? '') : found.perch.name;
  return html`<${Page} title=${name} kicker=${`${words.title} · ${dayWords(Date.parse(`${date}T12:00:00Z`), 'UTC')}`} up="map" more=${more}>
    <${Age} said=${said} busy=${busy} />
    ${found.lines.length > 1 ? html`<section><h2>${words.choose}</h2><${Chips} label=${words.choose} needed choices=${found.lines.map((one) => ({ value: one.id, label: one.name }))} value=${picked ?? found.line} onPick=${setPicked} /></section>` : null}
    ${found.lines.length === 0 ? html`<section><h2>${words.direction}</h2><p class="soft">${words.from_help}</p><${CompassWords} label=${words.direction} deg=${from_deg} onPick=${(/** @type {{deg: number} | null} */ one) => one && setFrom(one.deg)} /></section>` : null}
    <${Trouble} trouble=${trouble} again=${again} />
    ${said ? html`<${Told} said=${said.answer} date=${date} />` : null}
  </${Page}>`;
}

/** @param {{said: any, date: string}} props */
function Told({ said, date }) {
  const { zone, sun } = said;
  const ends = litSpan(said, date);
  const spans = sun.times.map((/** @type {any} */ span) =>
    words.span({ from: span.from?.at?.clock ?? null, to: span.to?.at?.clock ?? null, from_pm: span.from?.plus_minus_min ?? null, to_pm: span.to?.plus_minus_min ?? null, assumed: sun.assumed_level }),
  );
  const first = sun.times[0]?.from;
  const clears = first?.at ? { at: first.at.utc, plus_minus_min: first.plus_minus_min ?? 0 } : null;
  return html`<div class="card">
    <p class="verdict">${sun.never ? words.never : `${words.sun} ${spans.join('; ')}`}</p>
    ${sun.assumed_level ? html`<p>${words.assumed}</p>` : null}
    <${Facts} facts=${[['', said.line], [words.skyline, said.skyline]]} />
    <section><h2>${words.by_sky}</h2>
      ${ends === null ? html`<p>${words.dark}</p>` : CASES.map((sky) => html`<p class="soft">${shared.skies[sky]}</p><${Strip} key=${sky} stretches=${stretchesOf(said.stretches[sky])} clears=${clears} start=${ends.start} end=${ends.end} zone=${zone} label=${`${said.name}, ${shared.skies[sky]}`} ticks=${false} />${sky === 'clear' ? html`<${Stretches} stretches=${said.stretches.clear} />` : null}`)}
      ${ends === null ? null : html`<p class="ends"><span>${ends.from}</span><span>${ends.to}</span></p>`}
    </section>
    ${said.rows.length > 0
      ? html`<section><h2>${words.rows}</h2><div class="scroll" tabindex="0" role="region" aria-label=${words.rows}><table class="half-hours">
          <thead><tr><th scope="col">${words.at}</th><th scope="col">${words.sun_at}</th>${CASES.map((sky) => html`<th scope="col">${shared.skies[sky]}</th>`)}</tr></thead>
          <tbody>${said.rows.map(halfHour)}</tbody>
        </table></div></section>`
      : null}
    <section><h2>${words.sector}</h2>${said.sector.map((/** @type {string} */ one) => html`<p>${one}</p>`)}</section>
  </div>`;
}

/** A row of the day; the side the light comes from is said where it changes. @param {any} row @param {number} place @param {any[]} all */
function halfHour(row, place, all) {
  const side = sideOf(row);
  const turned = place === 0 || side !== sideOf(all[place - 1]);
  return html`
    ${turned ? html`<tr class="side" key=${`${row.at.utc}side`}><th scope="rowgroup" colspan="6">${side}</th></tr>` : null}
    <tr key=${row.at.utc}><th scope="row">${row.at.clock}</th><td>${number(row.sun_altitude_deg, 0)}°</td>${CASES.map((sky) => html`<td>${row.shutter[sky]}</td>`)}</tr>`;
}

/** The angle, which turns with every row, left out. @param {any} row @returns {string} */
function sideOf(row) {
  return row.side.split(',')[0] ?? '';
}

/** From the first to the last row of the day with any light, an hour added. @param {any} said @param {string} date */
function litSpan(said, date) {
  const [first, last] = [said.rows[0], said.rows[said.rows.length - 1]];
  if (first === undefined || last === undefined) return null;
  const noon = instantOf(date, NOON_MIN, said.zone);
  const start = Math.min(Date.parse(first.at.utc), noon);
  return { start, end: Math.max(Date.parse(last.at.utc), noon), from: first.at.clock, to: last.at.clock };
}

/**
 * Answer what is looked at: the perch, its sightlines, and what is meant at its site; a `bare` one has no
 * place yet; null where there is none.
 * @param {import('../session.js').Notebook} notebook
 * @param {Record<string, string>} query
 */
async function lookedAt(notebook, query) {
  const line = query.sightline === undefined ? undefined : await notebook.get(query.sightline);
  const perch = await notebook.get(line?.values.perch ?? query.perch ?? (await newestPerch(notebook)) ?? '');
  if (perch === undefined || perch.deleted) return null;
  if (perch.values.site === undefined) return { bare: perch.id };
  const { site } = perch.values;
  const [records, wished] = await Promise.all([gatheringOf(notebook).at(site), chosen(notebook)]);
  const nameOf = (/** @type {Plain} */ one) => records.vantage?.find((vantage) => vantage.id === one.vantage)?.name;
  const lines = (records.sightline ?? []).filter((one) => one.perch === perch.id && nameOf(one) !== undefined);
  const zone = records.site?.find((one) => one.id === site)?.zone ?? 'UTC';
  return {
    site: /** @type {string} */ (site),
    zone: /** @type {string} */ (zone),
    perch: { id: perch.id, name: String(perch.values.name ?? '') },
    line: query.sightline ?? lines[0]?.id,
    lines: lines.map((one) => ({ id: one.id, name: `${nameOf(one)} → ${perch.values.name}` })),
    ...meantAt(records, site, wished),
  };
}

/** @param {import('../session.js').Notebook} notebook */
async function newestPerch(notebook) {
  return (await notebook.all('perch', { limit: 1 }))[0]?.id;
}
