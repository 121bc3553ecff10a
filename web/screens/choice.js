/**
 * Which morning and which site: a row for each site and session, a column for each coming day, and a tap on a
 * cell opens its card. What is kept stands there at once; the rest is worked out cell by cell, nearest first.
 * Not for: what a cell says (the engine).
 *
 * @typedef {import('../engine/asking.js').Wanted} Wanted
 * @typedef {{site: import('../engine/asking.js').Plain, session: 'dawn' | 'dusk', wanted: Omit<Wanted, 'on'>, animal: string, today: string}} Row
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { asSet } from '../engine/as_set.js';
import { SESSIONS, choiceRequest } from '../engine/asking.js';
import { NoAnswer, engine } from '../engine/engine.js';
import { gatheringOf } from '../engine/gathering.js';
import { DAYS_AHEAD, cellSubject, chosen, meantAt, typedFor } from '../engine/plans.js';
import { withPresence } from '../engine/presence.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { address } from '../route.js';
import { useRecords } from '../session.js';
import { dateOf, day, laterDate } from '../times.js';
import { age, outing as words } from '../words_outing.js';
import { useEngine } from './answered.js';
import './outing_styles.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const rows = useRecords(notebook, rowsOf);
  const is_ready = useEngine().phase === 'ready';
  const [cells, setCells] = useState(/** @type {Map<string, any>} */ (new Map()));
  const [busy, setBusy] = useState(false);
  const box = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    if (rows === undefined || typeof rows === 'string') return undefined;
    let is_stopped = false;
    setBusy(true);
    const put = (/** @type {string} */ key, /** @type {import('../engine/engine.js').Answered} */ { answer, at }, /** @type {boolean} */ is_plain) =>
      !is_stopped && setCells((before) => new Map(before).set(key, { ...asSet(answer.rows[0].cells[0]), at, is_plain }));
    void fill(notebook, rows, put, () => is_stopped).finally(() => !is_stopped && setBusy(false));
    return () => {
      is_stopped = true;
    };
  }, [rows, is_ready]);
  const begun = Array.isArray(rows) ? rows.map((row) => hasBegun(cells.get(keyOf(row, row.today)))) : [];
  const isOver = begun.includes(true) && !begun.includes(false) && !begun.includes(undefined);
  useEffect(() => {
    const { current: part } = box;
    // What can still be chosen stands first, where nobody is in it yet: a day that is over is scrolled past.
    if (isOver && part?.scrollLeft === 0 && !part.contains(document.activeElement)) part.scrollLeft = part.querySelector('td')?.offsetWidth ?? 0;
  }, [isOver]);
  const more = [{ label: words.ready, to: 'ready' }];
  if (rows === undefined) return html`<${Page} title=${words.choice} up=${false} />`;
  if (typeof rows === 'string') return html`<${Page} title=${words.title} up=${false}>${none(rows)}</${Page}>`;
  const all = rows.length * DAYS_AHEAD;
  const done = rows.flatMap((row) => daysOf(row).filter((on) => cells.has(keyOf(row, on)))).length;
  const oldest = Math.min(...[...cells.values()].map((one) => one.at));
  return html`<${Page} title=${words.choice} up=${false} more=${more}>
    <p class="age" role="status">${[done === all ? words.all_there : words.progress(done, all), oldest < Infinity && words.oldest(age.of(Date.now() - oldest))].filter(Boolean).join(' · ')}</p>
    <div class="choice" ref=${box} tabindex="0" role="region" aria-label=${words.choice}>
      <table>
        <thead><tr><th scope="col"><span class="hidden">${words.site_session}</span></th>${rows[0] && daysOf(rows[0]).map((on) => html`<th scope="col" key=${on}>${dayWords(on)}</th>`)}</tr></thead>
        <tbody>${rows.map((row) => html`<tr key=${row.site.id + row.session}>
          <th scope="row">${row.site.name}<small>${words[row.session]} · ${row.animal}</small></th>
          ${daysOf(row).map((on) => html`<td key=${on}>${cell(row, on, cells.get(keyOf(row, on)))}</td>`)}
        </tr>`)}</tbody>
      </table>
    </div>
    <p class="soft">${words.key}</p>
  </${Page}>`;
}

/** Tell whether its first act lies behind; null where none is known, undefined before it is worked out. @param {any} said */
function hasBegun(said) {
  const start = said?.get_up ?? said?.leave_home;
  return start ? Date.parse(start.utc) < Date.now() : said && null;
}

/** @param {Row} row @param {string} on @param {any} said */
function cell(row, on, said) {
  const said_words = said === undefined ? '…' : said.words || '–';
  const [head, ...rest] = said_words.split(' · ');
  if (said?.is_plain) rest.push(words.without_typed);
  if (hasBegun(said)) rest.push(words.past);
  // Read out with its row and column, and what is seen read as it stands.
  const before = `${row.site.name}, ${words[row.session]}, ${dayWords(on)}: ${said?.words === '' ? words.nothing_known : ''}`;
  return html`<a href=${address(`card/${row.site.id}/${on}/${row.session}`)}><i class="hidden">${before}</i><b>${head}</b>${rest.map((/** @type {string} */ part) => html`<span>${part}</span>`)}<i class="hidden">${words.open}</i></a>`;
}

/** @param {Row} row */
function daysOf(row) {
  return Array.from({ length: DAYS_AHEAD }, (_, ahead) => laterDate(row.today, ahead));
}

/** @param {string} on */
function dayWords(on) {
  return day(Date.parse(`${on}T12:00:00Z`), 'UTC').replace(/ \d{4}$/, '');
}

/**
 * Answer the rows there are, or what is missing for there to be any.
 * @param {import('../session.js').Notebook} notebook
 * @returns {Promise<Row[] | 'line' | 'kit' | 'species'>}
 */
async function rowsOf(notebook) {
  const gathering = gatheringOf(notebook);
  const [everywhere, meant] = await Promise.all([gathering.everywhere(), chosen(notebook)]);
  /** @type {Row[]} */
  const rows = [];
  let has_line = false;
  for (const site of everywhere.site ?? []) {
    const records = await gathering.at(site.id);
    if ((records.sightline ?? []).length === 0) continue;
    has_line = true;
    const { species, also, kit } = meantAt(records, site.id, meant);
    if (species === undefined || kit === undefined) continue;
    const animal = [species, ...also].flatMap((id) => everywhere.species?.find((one) => one.id === id)?.name ?? []).join(', ');
    for (const session of SESSIONS) {
      rows.push({ site, session, animal, wanted: { site: site.id, species, also, kit, session }, today: dateOf(Date.now(), site.zone) });
    }
  }
  if (rows.length > 0) return rows;
  if (!has_line) return 'line';
  return (everywhere.kit ?? []).length === 0 ? 'kit' : 'species';
}

/**
 * Put in what is kept, then work out the rest, a day at a time over all rows.
 * @param {import('../session.js').Notebook} notebook
 * @param {Row[]} rows
 * @param {(key: string, said: import('../engine/engine.js').Answered, is_plain: boolean) => void} put
 * @param {() => boolean} stop
 */
async function fill(notebook, rows, put, stop) {
  const gathering = gatheringOf(notebook);
  const wanted = Array.from({ length: DAYS_AHEAD }, (_, ahead) => rows.map((row) => ({ row, on: laterDate(row.today, ahead) }))).flat();
  for (const { row, on } of wanted) {
    const asked = await askedOf(notebook, row, on);
    const kept = await engine().stored(cellSubject(asked));
    const plain = kept ?? (await engine().stored(cellSubject({ ...row.wanted, on })));
    if (plain !== null) put(keyOf(row, on), plain, kept === null);
  }
  for (const [place, { row, on }] of wanted.entries()) {
    if (stop()) return;
    const asked = await askedOf(notebook, row, on);
    const records = await gathering.at(row.site.id);
    const request = choiceRequest(records, await withPresence(records, asked), 1);
    // A person waits for the first columns; the others may wait for whatever else is asked.
    const how = { subject: cellSubject(asked), until: on, behind: place >= rows.length * 3 };
    try {
      put(keyOf(row, on), await engine().ask('choice_table', request, how), false);
    } catch (trouble) {
      // Where nobody can answer one, nobody can answer the rest; a refusal is said on the card itself.
      if (trouble instanceof NoAnswer) return;
    }
  }
}

/** @param {Row} row @param {string} on */
function keyOf(row, on) {
  return `${row.site.id}/${row.session}/${on}`;
}

/** What is asked of a session, with what was typed for it. @param {import('../session.js').Notebook} notebook @param {Row} row @param {string} on */
async function askedOf(notebook, row, on) {
  const { wind, sky, behaviour } = await typedFor(notebook, row.site.id, on, row.session);
  return { ...row.wanted, on, wind, sky, behaviour };
}

/** @param {'line' | 'kit' | 'species'} missing */
function none(missing) {
  if (missing === 'kit') return html`<${Empty} text=${words.no_kit} act=${{ label: words.kit_act, to: 'new/kit' }} />`;
  if (missing === 'species') return html`<${Empty} text=${words.no_species} act=${{ label: words.species_act, to: 'new/species' }} />`;
  return html`<${Empty} text=${words.empty} act=${{ label: words.first_act, to: 'map' }} sample />`;
}
