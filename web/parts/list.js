/**
 * Records in rows, 50 at a time by cursor, with a search that reads on until it has found enough.
 * Not for: a list on a page of its own (screens/rows.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('../session.js').Notebook} Notebook
 */

import { html } from '../doors/htm.js';
import { useEffect, useId, useState } from '../doors/preact.js';
import { useRecords } from '../session.js';
import { titlesOf } from '../titles.js';
import { list as words, where } from '../words.js';
import { Typed } from './typed.js';

const PAGE = 50;
const SEARCH_PAGE = 200;
const PAUSE_MS = 150;

/**
 * @param {{notebook: Notebook, kind: string, label: string, onPick: (rec: Rec) => void, empty: import('../types.d.ts').Children}} props
 *   empty: what stands there where there are none at all
 */
export function RecordList({ notebook, kind, label, onPick, empty }) {
  const [asked, setAsked] = useState('');
  const [typed, setTyped] = useState('');
  const [wanted, setWanted] = useState(PAGE);
  const id = useId();
  useEffect(() => {
    const timer = setTimeout(() => (setAsked(typed.trim().toLowerCase()), setWanted(PAGE)), PAUSE_MS);
    return () => clearTimeout(timer);
  }, [typed]);
  const found = useRecords(notebook, () => read(notebook, kind, wanted + 1, asked), [kind, asked, wanted]);
  if (found === undefined) return html`<div class="rows" aria-busy="true"></div>`;
  if (found.length === 0 && asked === '' && typed === '') return html`${empty}`;
  const shown = found.slice(0, wanted);
  return html`<section class="listed" aria-label=${label}>
    <label class="search" for=${id}><span>${words.search}</span><${Typed} id=${id} value=${typed} onText=${setTyped} kind="search" /></label>
    <ul class="rows">
      ${shown.map(({ rec, title, note }) => html`<li key=${rec.id}><button type="button" class="row" onClick=${() => onPick(rec)}>
        <span class="row-title">${title}</span>${note ? html`<span class="row-note">${note}</span>` : null}<span class="row-state">${where[rec.state]}</span>
      </button></li>`)}
    </ul>
    <p class="soft" role="status">${shown.length === 0 ? words.nothing : words.found(shown.length)}</p>
    ${found.length > wanted ? html`<button type="button" class="act large" onClick=${() => setWanted(wanted + PAGE)}>${words.more}</button>` : null}
  </section>`;
}

/**
 * Read on by cursor until enough are found, with the names of what they hang on.
 * @param {Notebook} notebook
 * @param {string} kind
 * @param {number} enough
 * @param {string} asked in small letters
 */
async function read(notebook, kind, enough, asked) {
  const titles = titlesOf(notebook);
  /** @type {{rec: Rec, title: string, note: string}[]} */
  const found = [];
  /** @type {Rec | undefined} */
  let before;
  for (let limit = enough; ; limit = SEARCH_PAGE) {
    /** @type {Rec[]} */
    const page = await notebook.all(kind, { limit, ...(before && { before }) });
    await titles.learn(page);
    const named = page.map((rec) => ({ rec, ...titles.of(rec) }));
    found.push(...named.filter(({ title, note }) => `${title} ${note}`.toLowerCase().includes(asked)));
    before = page.at(-1);
    if (page.length < limit || found.length >= enough) return found.slice(0, enough);
  }
}
