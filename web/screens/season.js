/**
 * A sightline's page is its year: which weeks the sun is on it in time, beside how often the animal was there, and
 * the days of low sun for a calendar; then how it is recorded. Not for: one session in full (card.js).
 */

import { CALENDAR_TYPE, calendarOf } from '../calendar_file.js';
import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { SESSIONS, seasonRequest } from '../engine/asking.js';
import { engine } from '../engine/engine.js';
import { gatheringOf } from '../engine/gathering.js';
import { chosen, meantAt } from '../engine/plans.js';
import { withPresence } from '../engine/presence.js';
import { Chips } from '../parts/chips.js';
import { Empty } from '../parts/empty.js';
import { Button, Page } from '../parts/page.js';
import { say } from '../parts/snackbar.js';
import { Stepper } from '../parts/stepper.js';
import { useRecords } from '../session.js';
import { dateOf, day, laterDate } from '../times.js';
import { app, kinds, record as shared } from '../words.js';
import { record as book } from '../words_book.js';
import { card as cards, outing } from '../words_outing.js';
import { season as words } from '../words_routine.js';
import { Age, Trouble, useAnswer, useEngine } from './answered.js';
import { Belongings } from './belongings.js';
import { Ending, RecordFacts, Undecided, historyOf, useRecord } from './facts.js';
import { giveFile } from './file_out.js';
import { YearStrip } from './season_strip.js';
import './outing_styles.js';
import './routine_styles.js';

const WEEKS = 52;
const FILE = 'low-sun.ics'; // it tells of no place

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params }) {
  const { id = '' } = params;
  const found = useRecord(notebook, id);
  const [session, setSession] = useState(/** @type {'dawn' | 'dusk'} */ ('dawn'));
  const [animal, setAnimal] = useState(/** @type {string | null} */ (null));
  const [place, setPlace] = useState(0);
  const meant = useRecords(notebook, () => meaning(notebook, id), [id]);
  const is_ready = useEngine().phase === 'ready';
  const species = animal ?? meant?.species;
  const ask = async (discreet = false) => {
    if (!meant || species === undefined || meant.kit === undefined) return null;
    const records = await gatheringOf(notebook).at(meant.site);
    const wanted = { site: meant.site, species, kit: meant.kit, session, discreet };
    const request = seasonRequest(records, await withPresence(records, wanted), { sightline: id, first: meant.first, weeks: WEEKS });
    const subject = `season/${id}/${species}/${meant.kit}/${session}${discreet ? '/discreet' : ''}`;
    return { name: 'season_strip', request, how: { subject, until: laterDate(meant.first, 7) } };
  };
  const { said, busy, trouble, again } = useAnswer(ask, [meant, species, session, is_ready]);
  if (found === undefined) return html`<${Page} title=${kinds.sightline?.one ?? ''} />`;
  if (found === null) return html`<${Page} title=${app.nothing_here}><${Empty} text=${shared.gone} act=${{ label: app.to_book, to: 'book' }} /></${Page}>`;
  const { rec, title, zone } = found;
  const row = said?.answer.rows[place];
  // Of the week that has begun, the card of a day that is past is of no use.
  const on = row && meant && (row.date < meant.today ? meant.today : row.date);
  const open = on && row.counted_from ? { label: words.open(dayOf(on)), to: `card/${meant.site}/${on}/${session}` } : undefined;
  const give = async () => {
    const asked = await ask(true);
    if (asked === null) return;
    const veiled = await engine().ask(asked.name, asked.request, asked.how);
    giveFile(new Blob([calendarOf(entriesOf(veiled.answer), Date.now())], { type: CALENDAR_TYPE }), FILE);
    say(words.given);
  };
  return html`<${Page} title=${title} kicker=${kinds.sightline?.one ?? ''} up="book/sightline" act=${open} more=${[{ label: words.light, to: `light?sightline=${id}` }, { label: book.edit, to: `edit/sightline/${id}` }]}>
    <${Undecided} rec=${rec} />
    <section class="season card"><h2>${words.year}</h2>
      <details><summary>${[outing[session], meant?.animals.find((one) => one.value === species)?.label].filter(Boolean).join(', ')}</summary>
        <${Chips} label=${words.session} needed choices=${SESSIONS.map((one) => ({ value: one, label: outing[one] }))} value=${session} onPick=${setSession} />
        ${meant && meant.animals.length > 1 ? html`<${Chips} label=${words.species} needed choices=${meant.animals} value=${species} onPick=${setAnimal} />` : null}
      </details>
      <${Age} said=${said} busy=${busy} />
      ${meant && (species === undefined || meant.kit === undefined) ? html`<${Empty} text=${words.no_kit} act=${{ label: outing.kit_act, to: 'new/kit' }} />` : null}
      <${Trouble} trouble=${trouble} again=${again} />
      ${said && row ? html`<${Year} said=${said.answer} row=${row} place=${place} onPick=${setPlace} give=${give} />` : null}
    </section>
    <section><h2>${words.facts}</h2><${RecordFacts} rec=${rec} zone=${zone} /><div class="acts"><${Button} act=${historyOf(rec)} /></div></section>
    <${Belongings} rec=${rec} />
    <${Ending} notebook=${notebook} rec=${rec} />
  </${Page}>`;
}

/** @param {{said: any, row: any, place: number, onPick: (place: number) => void, give: () => Promise<void>}} props */
function Year({ said, row, place, onPick, give }) {
  const dusk = said.session === 'dusk';
  const sky = /** @type {Record<string, string>} */ (cards.skies)[said.case] ?? said.case;
  const facts = row.counted_from
    ? [
        row.clears ? words.clears(row.clears.at.clock, dusk) : words.never,
        row.clears?.assumed_level ? words.level : '',
        words.good(row.good_min[said.case], sky),
        row.presence ? words.there(row.presence.words, !row.presence.season) : '',
      ]
    : [words.no_session];
  return html`
    <p class="soft">${dusk ? words.rows_dusk : words.rows}</p>
    <${YearStrip} rows=${said.rows} sky=${said.case} picked=${place} onPick=${onPick} label=${words.label(said.name, said.session, said.rows.length)} />
    <p class="soft">${sky}; ${words.beside}</p>
    <div class="week stuck"><${Stepper} label=${words.week} value=${place} low=${0} high=${said.rows.length - 1} onStep=${onPick} shown=${() => words.week_of(dayOf(row.week))} /><p>${facts.filter(Boolean).join(' · ')}</p></div>
    <section><h2>${words.low}</h2><p>${said.low_sun_words}</p>
      ${said.low_sun_spans.map((/** @type {any} */ one) => html`<p key=${one.from}>${words.span(dayOf(one.from), dayOf(one.to), one.days)}</p>`)}
      ${said.low_sun_days.length > 0 ? html`<button type="button" class="act large" onClick=${() => void give()}>${words.calendar}</button>` : null}
    </section>`;
}

/** The days of low sun as entries: a sensitive place by its code name alone. @param {any} said @returns {import('../calendar_file.js').Entry[]} */
function entriesOf(said) {
  const name = said.title.code_name_only ? said.title.site : `${said.title.site}: ${said.name}`;
  return said.low_sun_days.map((/** @type {any} */ one) => {
    const [start = '', end = ''] = [one.at.utc, one.animal.utc].sort();
    return { name, start, end };
  });
}

/** @param {string} date */
function dayOf(date) {
  return day(Date.parse(`${date}T12:00:00Z`), 'UTC');
}

/**
 * Answer what is asked of a sightline unless a person says otherwise; null where it hangs on nothing yet.
 * @param {import('../session.js').Notebook} notebook @param {string} id
 */
async function meaning(notebook, id) {
  const line = await notebook.get(id);
  const perch = await notebook.get(line?.values.perch ?? '');
  const site = perch?.values.site;
  if (site === undefined) return null;
  const [records, wished] = await Promise.all([gatheringOf(notebook).at(site), chosen(notebook)]);
  const zone = records.site?.find((one) => one.id === site)?.zone ?? 'UTC';
  const today = dateOf(Date.now(), zone);
  // A week begins on its Monday, so that an answer serves all of it.
  const first = laterDate(today, -((new Date(`${today}T12:00:00Z`).getUTCDay() + 6) % 7));
  const animals = (records.species ?? []).map((one) => ({ value: one.id, label: one.name }));
  return { site: /** @type {string} */ (site), today, first, animals, ...meantAt(records, site, wished) };
}
