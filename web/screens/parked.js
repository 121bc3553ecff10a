/** What the server could not read, in the language of the field, each with a way out. */

import { html } from '../doors/htm.js';
import { Button, Page } from '../parts/page.js';
import { said } from '../parts/said.js';
import { say } from '../parts/snackbar.js';
import { fieldsOf, useRecords, useSession } from '../session.js';
import { moment } from '../times.js';
import { kinds } from '../words.js';
import { parked as words } from '../words_book.js';
import { giveFile } from './file_out.js';
import { titlesOf } from '../titles.js';
import './book_styles.js';

/** @typedef {import('../notebook/types.d.ts').ParkedItem} ParkedItem */

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const { schema } = useSession();
  const titles = titlesOf(notebook);
  const found = useRecords(notebook, async () => {
    const items = await notebook.parked();
    return Promise.all(items.map(async (item) => {
      const rec = await notebook.get(item.change.record);
      const shown = /** @type {any} */ (rec ?? { id: item.change.record, kind: item.change.kind, values: item.change.set, when: item.change.wall });
      await titles.learn([shown, { ...shown, values: item.change.set }]);
      return { item, title: titles.of(shown).title };
    }));
  });
  const aside = async (/** @type {ParkedItem} */ item) => {
    await notebook.setAside(item.change.id);
    say(words.set_aside_done);
  };
  const out = (/** @type {ParkedItem} */ item) => giveFile(new Blob([`${JSON.stringify(item.change, null, 2)}\n`], { type: 'application/json' }), `${item.change.kind}-to-mend.json`);
  return html`<${Page} title=${words.title} lead=${words.lead}>
    ${found?.length === 0 ? html`<p role="status">${words.none}</p>` : null}
    ${(found ?? []).map(({ item, title }) => html`<section class="answers" key=${item.change.id} aria-label=${title}>
      <h2>${title}</h2>
      <p>${kinds[item.change.kind]?.one ?? item.change.kind} · ${moment(item.change.wall)}</p>
      <p>${reason(item, schema)}</p>
      ${item.message ? html`<p class="soft">${item.message}</p>` : null}
      <dl class="story-set">${Object.entries(item.change.set).map(([name, value]) => html`<div key=${name}><dt>${labelOf(schema, item.change.kind, name)}</dt><dd>${said(fieldOf(schema, item.change.kind, name), value, { names: titles })}</dd></div>`)}</dl>
      <div class="acts">
        <${Button} act=${{ label: words.mend, to: `mend/${item.change.id}` }} kind="large" />
        <${Button} act=${{ label: words.export, onAct: () => out(item) }} />
        <${Button} act=${{ label: words.set_aside, onAct: () => aside(item) }} />
      </div>
    </section>`)}
  </${Page}>`;
}

/**
 * Say why, in words of the field.
 * @param {ParkedItem} item
 * @param {import('../types.d.ts').Schema} schema
 */
export function reason({ code, field = '', change }, schema) {
  const known = words.codes[code];
  if (known !== undefined && code !== 'shape') return known;
  const register = registerOf(field, change.set);
  if (register === undefined) return words.codes.shape ?? '';
  const value = change.set[register];
  return words.could_not_read(labelOf(schema, change.kind, register), said(fieldOf(schema, change.kind, register), value));
}

/** Find the register in a path such as `set.position.lat`. @param {string} path @param {Record<string, any>} set */
export function registerOf(path, set) {
  return path.split(/[.[\]]+/).find((part) => part in set);
}

/** @param {import('../types.d.ts').Schema} schema @param {string} kind @param {string} name */
const fieldOf = (schema, kind, name) => fieldsOf(schema, kind).find((field) => field.name === name);
/** @param {import('../types.d.ts').Schema} schema @param {string} kind @param {string} name */
const labelOf = (schema, kind, name) => fieldOf(schema, kind, name)?.label ?? name;
