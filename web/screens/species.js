/** An animal as it is recorded: its distances, its wants, its sightings. Not for: its routine, which is computed. */

import { html } from '../doors/htm.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { app, kinds, record as shared } from '../words.js';
import { record as words, species as own } from '../words_book.js';
import { Belongings } from './belongings.js';
import { RecordFacts, Undecided, actsOf, useRecord } from './facts.js';
import { Rows } from './rows.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params }) {
  const { id = '' } = params;
  const found = useRecord(notebook, id);
  if (found === undefined) return html`<${Page} title=${kinds.species?.one ?? ''} />`;
  if (found === null) return html`<${Page} title=${app.nothing_here}><${Empty} text=${shared.gone} act=${{ label: app.to_book, to: 'book' }} /></${Page}>`;
  const { rec, title } = found;
  return html`<${Page} title=${title} kicker=${kinds.species?.one ?? ''} up="book/species" act=${{ label: words.edit, to: `edit/species/${id}` }} more=${actsOf(notebook, rec)}>
    <${Undecided} rec=${rec} />
    <section><${RecordFacts} rec=${rec} hidden=${['name']} /></section>
    <section><h2>${own.sightings}</h2><${Rows} kinds=${['sighting']} link=${{ register: 'species', id }} name=${`sightings/${id}`} label=${own.sightings} empty=${html`<p class="soft">${own.none}</p>`} /></section>
    <${Belongings} rec=${rec} hidden=${['sighting']} />
  </${Page}>`;
}
