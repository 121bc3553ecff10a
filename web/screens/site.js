/**
 * A site: what may hurt or bar one first, then what is known of it and what belongs to it.
 * Not for: the map of it, or the card for a morning there.
 */

import { html } from '../doors/htm.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { said } from '../parts/said.js';
import { address } from '../route.js';
import { fieldsOf, useRecords, useSession } from '../session.js';
import { dateOf, day } from '../times.js';
import { app, kinds, record as shared } from '../words.js';
import { record as words, site as own } from '../words_book.js';
import { Belongings } from './belongings.js';
import { Ending, RecordFacts, Undecided, historyOf, useRecord } from './facts.js';
import { Rows } from '../parts/rows.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params }) {
  const { schema } = useSession();
  const { id = '' } = params;
  const found = useRecord(notebook, id);
  const permissions = useRecords(notebook, () => notebook.byIndex('permission', 'site', id), [id]);
  if (found === undefined) return html`<${Page} title=${kinds.site?.one ?? ''} />`;
  if (found === null) return html`<${Page} title=${app.nothing_here}><${Empty} text=${shared.gone} act=${{ label: app.to_book, to: 'book' }} /></${Page}>`;
  const { rec, title, zone } = found;
  const closed = fieldsOf(schema, 'site').find((field) => field.name === 'closed');
  return html`<${Page} title=${title} kicker=${kinds.site?.one ?? ''} up="book/site" act=${{ label: words.edit, to: `edit/site/${id}` }} more=${[{ label: own.visit, to: `new/visit?site=${id}` }, historyOf(rec)]}>
    <${Undecided} rec=${rec} />
    <section class="cautions"><h2>${own.cautions}</h2>
      ${rec.values.cautions ? html`<p>${said(undefined, rec.values.cautions)}</p>` : null}
      ${rec.values.closed ? html`<p>${closed?.label}: ${said(closed, rec.values.closed)}</p>` : null}
      ${permissions?.length === 0 ? html`<p>${own.no_permission}</p>` : null}
      ${(permissions ?? []).map((one) => html`<p key=${one.id}><a href=${address(`permission/${one.id}`)}>${permission(one.values, zone)}</a></p>`)}
    </section>
    <section><${RecordFacts} rec=${rec} zone=${zone} hidden=${['name', 'cautions', 'closed']} /></section>
    <${Belongings} rec=${rec} hidden=${['permission']} />
    <section><h2>${own.newest}</h2><${Rows} kinds=${['visit']} site=${id} name=${`site-visits/${id}`} label=${own.newest} empty=${html`<p class="soft">${kinds.visit?.many}: 0</p>`} /></section>
    <p><a href=${`/plain/leave?site=${id}`}>${own.leave}</a></p>
    <${Ending} notebook=${notebook} rec=${rec} />
  </${Page}>`;
}

/** @param {Record<string, any>} values @param {string | undefined} zone */
function permission({ from_whom, for_what, starts_on, ends_on }, zone) {
  const today = dateOf(Date.now(), zone);
  const on = (/** @type {any} */ date) => (Number.isNaN(Date.parse(date)) ? '' : day(Date.parse(`${date}T12:00:00Z`), 'UTC'));
  const over = typeof ends_on === 'string' && ends_on < today ? own.permission_over : '';
  return [from_whom, for_what, [on(starts_on), on(ends_on)].filter(Boolean).join('–'), over].filter(Boolean).map(String).join(' · ');
}
