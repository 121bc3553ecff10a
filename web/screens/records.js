/** The records of one kind, the newest first, with search; or those that name another record. */

import { html } from '../doors/htm.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { useRecords, useSession } from '../session.js';
import { app, kinds } from '../words.js';
import { none, records as words } from '../words_book.js';
import { Rows } from '../parts/rows.js';
import { titlesOf } from '../titles.js';
import './book_styles.js';

/** @param {import('../types.d.ts').ScreenProps} props `query`: by and of: a register and the record that it names; site: of this site alone */
export function Screen({ notebook, params, query }) {
  const { schema } = useSession();
  const { kind = '' } = params;
  const { by, of, site } = query;
  const id = of ?? site;
  const named = useRecords(notebook, () => nameOf(notebook, id), [id]);
  const words_of = kinds[kind];
  if (schema.kinds[kind] === undefined || words_of === undefined) return html`<${Page} title=${app.nothing_here}><${Empty} text=${app.nothing_here_why} act=${{ label: app.to_book, to: 'book' }} /></${Page}>`;
  const add = { label: `${words.add}: ${words_of.one}`, to: `new/${kind}${query.by || site ? `?${query.by ?? 'site'}=${id}` : ''}` };
  const title = words_of.many.replace(/^./, (letter) => letter.toUpperCase());
  return html`<${Page} title=${title} kicker=${named ? words.of(named) : ''} act=${add} up=${id === undefined ? 'book' : `record/${id}`}>
    <${Rows} key=${`${kind}/${id ?? ''}`} kinds=${[kind]} site=${site} link=${by !== undefined && of !== undefined ? { register: by, id: of } : undefined} name=${`${kind}/${by ?? ''}/${id ?? ''}`} label=${title} search=${id === undefined} empty=${html`<${Empty} text=${none[kind] ?? words.none(words_of.many)} />`} />
  </${Page}>`;
}

/** @param {import('../session.js').Notebook} notebook @param {string | undefined} id */
async function nameOf(notebook, id) {
  const rec = id === undefined ? undefined : await notebook.get(id);
  if (rec === undefined) return '';
  const titles = titlesOf(notebook);
  await titles.learn([rec]);
  return titles.of(rec).title;
}
