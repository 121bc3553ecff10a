/**
 * A record told by its fields: labels and units from the schema, links that lead on, what it lacks, what is
 * undecided about it. Not for: changing it (edit.js), or what belongs to it (belongings.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('../types.d.ts').Field} Field
 */

import { html } from '../doors/htm.js';
import { Button } from '../parts/page.js';
import { Photo } from '../parts/photo.js';
import { said } from '../parts/said.js';
import { sayable } from '../parts/snackbar.js';
import { address, back } from '../route.js';
import { fieldsOf, useRecords, useSession } from '../session.js';
import { kinds, where } from '../words.js';
import { record as words } from '../words_book.js';
import { titlesOf } from '../titles.js';
import './book_styles.js';

/**
 * The hook of a record with the names of all that it hangs on; null where it is not here.
 * @param {import('../session.js').Notebook} notebook
 * @param {string} id
 * @returns {{rec: Rec, title: string, zone: string | undefined} | null | undefined}
 */
export function useRecord(notebook, id) {
  return useRecords(
    notebook,
    async () => {
      const rec = await notebook.get(id);
      if (rec === undefined) return null;
      const titles = titlesOf(notebook);
      await titles.learn([rec]);
      return { rec, title: titles.of(rec).title, zone: titles.zoneOf(rec) };
    },
    [id],
  );
}

/** @param {{rec: Rec, zone?: string | undefined, hidden?: string[]}} props hidden: registers told elsewhere */
export function RecordFacts({ rec, zone, hidden = [] }) {
  const { notebook, schema } = useSession();
  const titles = titlesOf(notebook);
  const fields = fieldsOf(schema, rec.kind).filter((field) => field.name !== 'id' && !hidden.includes(field.name));
  const known = new Set(fields.map((field) => field.name));
  const told = fields.filter((field) => rec.values[field.name] !== undefined);
  const missing = fields.filter((field) => field.needed && rec.values[field.name] === undefined);
  const strange = Object.keys(rec.values).filter((name) => !known.has(name) && name !== 'id' && !hidden.includes(name));
  return html`<dl class="facts told">
    ${told.map((field) => html`<div key=${field.name}><dt>${field.label}</dt><dd>${value(notebook, titles, field, rec.values[field.name], zone)}</dd></div>`)}
    ${missing.length > 0 ? html`<div><dt>${words.incomplete}</dt><dd>${missing.map((field) => field.label).join(', ')}</dd></div>` : null}
    ${strange.map((name) => html`<div key=${name}><dt>${words.unknown}: ${name}</dt><dd>${said(undefined, rec.values[name])}</dd></div>`)}
    <div><dt>${words.kept_where}</dt><dd>${where[rec.state]}</dd></div>
  </dl>`;
}

/**
 * @param {import('../session.js').Notebook} notebook
 * @param {import('../titles.js').Titles} titles
 * @param {Field} field
 * @param {any} value
 * @param {string | undefined} zone
 */
function value(notebook, titles, field, value, zone) {
  if (field.kind === 'digest' && typeof value === 'string') return html`<${Photo} notebook=${notebook} sha256=${value} alt=${field.label} missing=${value.slice(0, 12)} />`;
  const link = field.kind === 'id' || field.item?.kind === 'id';
  if (!link) return said(field, value, { zone });
  return (Array.isArray(value) ? value : [value]).map((id, place) => {
    const name = titles.name(id);
    const between = place > 0 ? ' · ' : '';
    return name === undefined ? html`${between}<span class="soft">${words.not_here}</span>` : html`${between}<a href=${address(`record/${id}`)}>${name}</a>`;
  });
}

/** What is undecided about a record. @param {{rec: Rec}} props */
export function Undecided({ rec }) {
  const { notebook, schema } = useSession();
  const labels = useRecords(notebook, async () => (rec.conflict_count === 0 ? [] : (await notebook.conflicts()).filter((one) => one.record === rec.id).map((one) => labelOf(schema, one.kind, one.register))), [rec.id, rec.conflict_count]);
  /** @param {'remove' | 'restore'} act */
  const decide = async (act) => {
    const saved = await notebook.save([{ kind: rec.kind, record: rec.id, [act]: true, resolve: true }], { label: act === 'remove' ? words.deleted_label : words.brought_back_label });
    sayable(notebook, saved.group);
  };
  return html`
    ${labels && labels.length > 0 ? html`<section class="undecided"><p>${words.conflicts(labels.join(', '))}</p><${Button} act=${{ label: words.decide, to: `conflicts/${rec.id}` }} kind="large" /></section>` : null}
    ${rec.deleted ? html`<section class="undecided"><p>${words.deleted}</p><${Button} act=${{ label: words.bring_back, onAct: () => decide('restore') }} kind="large" /></section>` : null}
    ${rec.edited_after_delete ? html`<section class="undecided"><p>${words.edited_after_delete}</p><div class="acts"><${Button} act=${{ label: words.keep, onAct: () => decide('restore') }} kind="large" /><${Button} act=${{ label: words.delete_all_the_same, onAct: () => decide('remove') }} kind="large" /></div></section>` : null}
  `;
}

/** Answer the label of a register. @param {import('../types.d.ts').Schema} schema @param {string} kind @param {string} register */
export function labelOf(schema, kind, register) {
  if (register === 'deleted') return words.removed;
  return fieldsOf(schema, kind).find((field) => field.name === register)?.label ?? register;
}

/** The way to the history of a record. @param {Rec} rec @returns {import('../types.d.ts').Act} */
export const historyOf = (rec) => ({ label: words.history, to: `history/${rec.id}` });

/** Delete: a quiet act, where the page of a record ends. @param {{notebook: import('../session.js').Notebook, rec: Rec}} props */
export function Ending({ notebook, rec }) {
  const remove = async () => {
    const here = location.hash;
    const before = await notebook.hidden();
    const saved = await notebook.save([{ kind: rec.kind, record: rec.id, remove: true, over: rec }], { label: words.deleted_label });
    sayable(notebook, saved.group, words.removed_with(kinds[rec.kind]?.one ?? rec.kind, (await notebook.hidden()) - before));
    if (location.hash === here) back('book'); // unless one has gone on meanwhile
  };
  return rec.deleted ? null : html`<p class="ending"><button type="button" class="link" onClick=${remove}>${words.remove}</button></p>`;
}
