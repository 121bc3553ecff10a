/** An animal: its routine first, then how it is recorded and what was seen of it. Not for: one session. */

import { html } from '../doors/htm.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { app, kinds, record as shared } from '../words.js';
import { record as words, species as own } from '../words_book.js';
import { season } from '../words_routine.js';
import { Belongings } from './belongings.js';
import { Ending, RecordFacts, Undecided, historyOf, useRecord } from './facts.js';
import { Routine } from './routine.js';
import { Rows } from '../parts/rows.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params }) {
  const { id = '' } = params;
  const found = useRecord(notebook, id);
  if (found === undefined) return html`<${Page} title=${kinds.species?.one ?? ''} />`;
  if (found === null) return html`<${Page} title=${app.nothing_here}><${Empty} text=${shared.gone} act=${{ label: app.to_book, to: 'book' }} /></${Page}>`;
  const { rec, title } = found;
  return html`<${Page} title=${title} kicker=${kinds.species?.one ?? ''} up="book/species" act=${{ label: words.edit, to: `edit/species/${id}` }} more=${[historyOf(rec)]}>
    <${Undecided} rec=${rec} />
    <${Routine} notebook=${notebook} species=${id} />
    <section><h2>${season.facts}</h2><${RecordFacts} rec=${rec} hidden=${['name']} /></section>
    <section><h2>${own.sightings}</h2><${Rows} kinds=${['sighting']} link=${{ register: 'species', id }} name=${`sightings/${id}`} label=${own.sightings} empty=${html`<p class="soft">${own.none}</p>`} /></section>
    <${Belongings} rec=${rec} hidden=${['sighting']} />
    <${Ending} notebook=${notebook} rec=${rec} />
  </${Page}>`;
}
