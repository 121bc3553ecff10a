/**
 * Records in rows, 50 at a time by cursor, with a search that reads on until it has found enough.
 * Not for: choosing one for a field (field_link.js), which uses the same rows.
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('../session.js').Notebook} Notebook
 */

import { html } from '../doors/htm.js';
import { useEffect, useId, useState } from '../doors/preact.js';
import { address } from '../route.js';
import { useRecords } from '../session.js';
import { list as words, where } from '../words.js';
import { Typed } from './typed.js';

export const PAGE = 50;
const SEARCH_PAGE = 200;
const PAUSE_MS = 150;

/**
 * @param {{notebook: Notebook, kind: string, site?: string, label: string, row: (rec: Rec) => {title: string, note?: string | undefined, more?: import('../types.d.ts').Children}, to?: (rec: Rec) => string, onPick?: (rec: Rec) => void, search?: boolean, keep?: (rec: Rec) => boolean, empty?: import('../types.d.ts').Children}} props
 *   to: the address a row leads to, or onPick: what a tap does; keep: which ones; empty: what stands there
 *   where there are none at all
 */
export function RecordList({ notebook, kind, site, label, row, to, onPick, search = false, keep, empty = null }) {
  const [asked, setAsked] = useState('');
  const [typed, setTyped] = useState('');
  const [wanted, setWanted] = useState(PAGE);
  const id = useId();
  useEffect(() => {
    const timer = setTimeout(() => (setAsked(typed.trim().toLowerCase()), setWanted(PAGE)), PAUSE_MS);
    return () => clearTimeout(timer);
  }, [typed]);
  const found = useRecords(
    notebook,
    () => {
      const said = (/** @type {Rec} */ rec) => `${row(rec).title} ${row(rec).note ?? ''}`.toLowerCase();
      return read(notebook, kind, site, wanted + 1, (rec) => (keep?.(rec) ?? true) && said(rec).includes(asked));
    },
    [kind, site, asked, wanted],
  );
  if (found === undefined) return html`<div class="rows" aria-busy="true"></div>`;
  if (found.length === 0 && asked === '' && typed === '') return html`${empty}`;
  const shown = found.slice(0, wanted);
  return html`<section class="listed" aria-label=${label}>
    ${search ? html`<label class="search" for=${id}><span>${words.search}</span><${Typed} id=${id} value=${typed} onText=${setTyped} kind="search" /></label>` : null}
    <ul class="rows">
      ${shown.map((rec) => html`<li key=${rec.id}>${line(rec, row(rec), to, onPick)}</li>`)}
    </ul>
    <p class="soft" role="status">${shown.length === 0 ? words.nothing : words.found(shown.length)}</p>
    ${found.length > wanted ? html`<button type="button" class="act large" onClick=${() => setWanted(wanted + PAGE)}>${words.more}</button>` : null}
  </section>`;
}

/**
 * @param {Rec} rec
 * @param {{title: string, note?: string | undefined, more?: import('../types.d.ts').Children}} said
 * @param {((rec: Rec) => string) | undefined} to
 * @param {((rec: Rec) => void) | undefined} onPick
 */
function line(rec, said, to, onPick) {
  const content = html`<span class="row-title">${said.title}</span>
    ${said.note ? html`<span class="row-note">${said.note}</span>` : null}${said.more ?? null}
    <span class="row-state">${where[rec.state]}</span>`;
  if (to !== undefined) return html`<a class="row" href=${address(to(rec))}>${content}</a>`;
  return html`<button type="button" class="row" onClick=${() => onPick?.(rec)}>${content}</button>`;
}

/**
 * Read on by cursor until enough are found.
 * @param {Notebook} notebook
 * @param {string} kind
 * @param {string | undefined} site
 * @param {number} enough
 * @param {(rec: Rec) => boolean} keep
 */
async function read(notebook, kind, site, enough, keep) {
  /** @type {Rec[]} */
  const found = [];
  /** @type {Rec | undefined} */
  let before;
  for (let limit = enough; ; limit = SEARCH_PAGE) {
    /** @type {Rec[]} */
    const page = await notebook.all(kind, { ...(site !== undefined && { site }), limit, ...(before && { before }) });
    found.push(...page.filter(keep));
    before = page.at(-1);
    if (page.length < limit || found.length >= enough) return found.slice(0, enough);
  }
}
