/** Values that stand against each other, side by side with who wrote them and when; one tap settles. */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { DELETED } from '../notebook/merge.js';
import { Page } from '../parts/page.js';
import { said } from '../parts/said.js';
import { sayable } from '../parts/snackbar.js';
import { address } from '../route.js';
import { fieldsOf, useRecords, useSession } from '../session.js';
import { kinds } from '../words.js';
import { conflicts as words, records } from '../words_book.js';
import { labelOf } from './facts.js';
import { whenOf, whoOf } from './history.js';
import { titlesOf } from '../titles.js';
import './book_styles.js';

/** @typedef {import('../notebook/types.d.ts').Conflict} Conflict */

const PAGE = 30;

/** @param {import('../types.d.ts').ScreenProps} props `params.id`: of this record alone */
export function Screen({ notebook, params }) {
  const titles = titlesOf(notebook);
  const [wanted, setWanted] = useState(PAGE);
  const found = useRecords(notebook, async () => {
    const all = (await notebook.conflicts()).filter((one) => params.id === undefined || one.record === params.id);
    const some = all.slice(0, wanted);
    const recs = (await Promise.all([...new Set(some.map((one) => one.record))].map((id) => notebook.get(id)))).filter((rec) => rec !== undefined);
    const values = some.flatMap(({ kind, record, register, heads }) => heads.map(({ value }) => /** @type {any} */ ({ id: record, kind, values: { [register]: value } })));
    await titles.learn([...recs, ...values]);
    return { all, names: new Map(recs.map((rec) => [rec.id, { title: titles.of(rec).title, zone: titles.zoneOf(rec) }])) };
  }, [params.id, wanted]);
  return html`<${Page} title=${words.title} lead=${words.lead} up=${params.id === undefined ? 'book' : `record/${params.id}`}>
    ${found?.all.length === 0 ? html`<p role="status">${words.none}</p>` : null}
    ${(found?.all ?? []).slice(0, wanted).map((one) => html`<${Answers} key=${`${one.record}/${one.register}`} conflict=${one} named=${found?.names.get(one.record)} />`)}
    ${found && found.all.length > wanted ? html`<button type="button" class="act large" onClick=${() => setWanted(wanted + PAGE)}>${records.more}</button>` : null}
  </${Page}>`;
}

/** @param {{conflict: Conflict, named: {title: string, zone: string | undefined} | undefined}} props */
function Answers({ conflict, named }) {
  const { notebook, schema } = useSession();
  const { kind, record, register } = conflict;
  const field = fieldsOf(schema, kind).find((one) => one.name === register);
  const title = named?.title ?? kinds[kind]?.one ?? kind;
  const label = labelOf(schema, kind, register);
  const keep = async (/** @type {any} */ value) => {
    const saved = await notebook.resolve(record, register, value, { label });
    sayable(notebook, saved.group, words.settled);
  };
  const write = (/** @type {any} */ value) => {
    if (register === DELETED) return value ? words.removed : words.not_removed;
    return value === null ? words.empty : said(field, value, { names: titlesOf(notebook), zone: named?.zone });
  };
  return html`<section class="answers" aria-label=${`${title}: ${label}`}>
    <h2><a href=${address(`record/${record}`)}>${title}</a></h2>
    <p>${kinds[kind]?.one ?? kind} · ${label}</p>
    <div class="answers-side">${alike(conflict.heads).map(({ value, heads }, place) => html`<div class="answer" key=${heads[0]?.change}>
      <p class="answer-value">${write(value)}</p>
      ${heads.map((head) => html`<p class="soft">${whoOf(head.device, head.mine)}, ${whenOf(head)}</p>`)}
      <p class="soft">${place === 0 ? words.shown_now : ' '}</p>
      <button type="button" class="act large" onClick=${() => keep(value)}>${words.keep}</button>
    </div>`)}</div>
    ${register === DELETED ? null : html`<a class="link other-way" href=${address(`edit/${kind}/${record}`)}>${words.by_hand}</a>`}
  </section>`;
}

/** Put heads of equal value together. @param {Conflict['heads']} heads */
function alike(heads) {
  /** @type {Map<string, {value: any, heads: Conflict['heads']}>} */
  const found = new Map();
  for (const head of heads) {
    const key = JSON.stringify(head.value);
    const one = found.get(key) ?? { value: head.value, heads: [] };
    one.heads.push(head);
    found.set(key, one);
  }
  return [...found.values()];
}
