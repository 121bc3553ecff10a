/** A record of any kind by its form: a new one, or one that is changed. Not for: showing what it means. */

import { html } from '../doors/htm.js';
import { Empty } from '../parts/empty.js';
import { Form } from '../parts/form.js';
import { Page } from '../parts/page.js';
import { back } from '../route.js';
import { fieldsOf, useRecords, useSession } from '../session.js';
import { ownZone } from '../times.js';
import { app, form, kinds, record as words } from '../words.js';
import { titlesOf } from '../titles.js';

/** @param {import('../types.d.ts').ScreenProps} props `query`: values that a new one starts with */
export function Screen({ notebook, params, query }) {
  const { schema } = useSession();
  const { kind = '', id } = params;
  const found = useRecords(notebook, async () => (id === undefined ? null : ((await notebook.get(id)) ?? 'gone')), [id]);
  const zone = useRecords(notebook, () => zoneOf(notebook, kind, id, query), [id, kind]);
  const one = kinds[kind]?.one ?? kind;
  if (schema.kinds[kind] === undefined || found === 'gone') {
    return html`<${Page} title=${app.nothing_here}><${Empty} text=${found === 'gone' ? words.gone : app.nothing_here_why} /></${Page}>`;
  }
  if (found === undefined || zone === undefined) return html`<${Page} title=${one} />`;
  const links = fieldsOf(schema, kind).filter((field) => field.kind === 'id' && field.name !== 'id' && query[field.name] !== undefined);
  const given = Object.fromEntries(links.map((field) => [field.name, query[field.name]]));
  return html`<${Page} title=${found === null ? words.fresh(one) : words.edit(one)} act=${{ label: form.save, form: 'form' }}>
    <${Form} key=${id ?? kind} kind=${kind} record=${found ?? undefined} given=${given} zone=${zone} onSaved=${() => back()} />
  </${Page}>`;
}

/**
 * Answer the zone of the place that is written about, so that a time is asked for as it is read there.
 * @param {import('../session.js').Notebook} notebook
 * @param {string} kind
 * @param {string | undefined} id
 * @param {Record<string, string>} query
 */
async function zoneOf(notebook, kind, id, query) {
  const titles = titlesOf(notebook);
  const rec = (id !== undefined && (await notebook.get(id))) || /** @type {import('../notebook/types.d.ts').Rec} */ ({ id: '', kind, values: query });
  await titles.learn([rec]);
  return titles.zoneOf(rec) ?? ownZone();
}
