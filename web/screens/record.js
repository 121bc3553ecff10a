/** Any record, told by its fields: what it is, what is undecided about it, what belongs to it. */

import { html } from '../doors/htm.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { app, kinds, record as shared } from '../words.js';
import { record as words } from '../words_book.js';
import { Belongings } from './belongings.js';
import { Ending, RecordFacts, Undecided, historyOf, useRecord } from './facts.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params }) {
  const found = useRecord(notebook, params.id ?? '');
  const one = kinds[params.kind ?? '']?.one ?? '';
  if (found === undefined) return html`<${Page} title=${one || ' '} />`;
  if (found === null) return html`<${Page} title=${app.nothing_here}><${Empty} text=${shared.gone} act=${{ label: app.to_book, to: 'book' }} /></${Page}>`;
  const { rec, title, zone } = found;
  const edit = { label: words.edit, to: `edit/${rec.kind}/${rec.id}` };
  return html`<${Page} title=${rec.kind === 'note' ? (kinds.note?.one ?? title) : title} kicker=${rec.kind === 'note' ? '' : (kinds[rec.kind]?.one ?? rec.kind)} act=${rec.deleted ? undefined : edit} more=${[historyOf(rec)]}>
    <${Undecided} rec=${rec} />
    <section><${RecordFacts} rec=${rec} zone=${zone} /></section>
    <${Belongings} rec=${rec} />
    <${Ending} notebook=${notebook} rec=${rec} />
  </${Page}>`;
}
