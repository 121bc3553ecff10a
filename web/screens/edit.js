/** A record of any kind by its form: a new one, or one that is changed. Not for: showing what it means. */

import { html } from '../doors/htm.js';
import { Empty } from '../parts/empty.js';
import { Form } from '../parts/form.js';
import { Page } from '../parts/page.js';
import { back } from '../route.js';
import { fieldsOf, useRecords, useSession } from '../session.js';
import { app, form, kinds, record as words } from '../words.js';

/** @param {import('../types.d.ts').ScreenProps} props `query`: values that a new one starts with */
export function Screen({ notebook, params, query }) {
  const { schema } = useSession();
  const { kind = '', id } = params;
  const found = useRecords(notebook, async () => (id === undefined ? null : ((await notebook.get(id)) ?? 'gone')), [id]);
  const one = kinds[kind]?.one ?? kind;
  if (schema.kinds[kind] === undefined || found === 'gone') {
    return html`<${Page} title=${app.nothing_here}><${Empty} text=${found === 'gone' ? words.gone : app.nothing_here_why} /></${Page}>`;
  }
  if (found === undefined) return html`<${Page} title=${one} />`;
  const links = fieldsOf(schema, kind).filter((field) => field.kind === 'id' && field.name !== 'id' && query[field.name] !== undefined);
  const given = Object.fromEntries(links.map((field) => [field.name, query[field.name]]));
  return html`<${Page} title=${found === null ? words.fresh(one) : words.edit(one)} act=${{ label: form.save, form: 'form' }}>
    <${Form} key=${id ?? kind} kind=${kind} record=${found ?? undefined} given=${given} onSaved=${() => back()} />
  </${Page}>`;
}
