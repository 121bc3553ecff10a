/**
 * What names a record: by kind, with how many, each leading to the list of them.
 * Not for: the list (records.js).
 */

import { html } from '../doors/htm.js';
import { countLinked } from '../notebook/links.js';
import { address } from '../route.js';
import { useRecords, useSession } from '../session.js';
import { kinds } from '../words.js';
import { record as words } from '../words_book.js';

/** @param {{rec: import('../notebook/types.d.ts').Rec, hidden?: string[]}} props hidden: kinds told elsewhere */
export function Belongings({ rec, hidden = [] }) {
  const { notebook, schema } = useSession();
  const found = useRecords(notebook, () => counted(notebook, schema, rec), [rec.id]);
  const some = (found ?? []).filter(({ kind, count }) => count > 0 && !hidden.includes(kind));
  if (some.length === 0) return null;
  return html`<section><h2>${words.hangs}</h2><ul class="rows">
    ${some.map(({ kind, register, count }) => html`<li key=${`${kind}.${register}`}><a class="row" href=${address(`book/${kind}`, { by: register, of: rec.id })}><span class="row-title">${kinds[kind]?.many ?? kind}</span><span class="row-count">${count}</span></a></li>`)}
  </ul></section>`;
}

/**
 * @param {import('../session.js').Notebook} notebook
 * @param {import('../types.d.ts').Schema} schema
 * @param {import('../notebook/types.d.ts').Rec} rec
 */
async function counted(notebook, schema, rec) {
  const links = Object.entries(schema.kinds).flatMap(([kind, fields]) =>
    fields
      .filter((field) => (field.refers_to ?? field.item?.refers_to ?? []).includes(rec.kind))
      .map((field) => ({ kind, register: field.name })),
  );
  return Promise.all(links.map(async (link) => ({ ...link, count: await countLinked(notebook, link.kind, link.register, rec.id) })));
}
