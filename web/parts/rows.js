/**
 * Records in rows, 50 at a time: the newest of a kind, those that name another record, or those found by
 * their words; to be opened, or to be picked for a field. Where one was is kept for coming back.
 * Not for: finding by words (finding.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('../session.js').Notebook} Notebook
 * @typedef {{recs: Rec[], more: boolean, looked?: number, all?: number, done: boolean}} Shown
 * @typedef {{kinds: readonly string[], site?: string | undefined, link?: {register: string, id: string} | undefined}} Which
 */

import { html } from '../doors/htm.js';
import { useEffect, useId, useRef, useState } from '../doors/preact.js';
import { countLinked, linkedPage } from '../notebook/links.js';
import { Photo } from './photo.js';
import { Typed } from './typed.js';
import { address } from '../route.js';
import { useSession } from '../session.js';
import { list, where } from '../words.js';
import { records as words } from '../words_book.js';
import { titlesOf } from '../titles.js';
import { findingOf } from './finding.js';

const PAGE = 50;
/** Up to so many that name a record are read at once, to stand in the order of their times. */
const SORTED = 500;
const PAUSE_MS = 150;

/** What was asked and how far one had come, by screen, until the app is closed. @type {Map<string, {typed: string, wanted: number}>} */
const left = new Map();

/**
 * @param {Which & {name?: string, label: string, search?: boolean, only_found?: boolean, empty?: import('../types.d.ts').Children, show_kind?: boolean, onPick?: (rec: Rec) => void}} props
 *   name: of this list, where it is kept for coming back to it; only_found: nothing is listed until something is asked;
 *   onPick: what a tap does, else it opens the record
 */
export function Rows({ kinds, site, link, name, label, search = false, only_found = false, empty = null, show_kind = false, onPick }) {
  const { notebook } = useSession();
  const titles = titlesOf(notebook);
  const before = left.get(name ?? '') ?? { typed: '', wanted: PAGE };
  const [typed, setTyped] = useState(before.typed);
  const [asked, setAsked] = useState(before.typed.trim());
  const [wanted, setWanted] = useState(before.wanted);
  const id = useId();
  useEffect(() => {
    const timer = setTimeout(() => {
      if (typed.trim() === asked) return;
      setAsked(typed.trim());
      setWanted(PAGE);
    }, PAUSE_MS);
    return () => clearTimeout(timer);
  }, [typed]);
  if (name !== undefined) left.set(name, { typed, wanted });
  const shown = useShown(notebook, { kinds, site, link }, asked, wanted, only_found);
  if (shown === undefined && !search) return html`<div class="rows" aria-busy="true"></div>`;
  const nothing = shown !== undefined && shown.done && shown.recs.length === 0 && asked === '' && !only_found;
  if (nothing && typed === '') return html`${empty}`;
  return html`<section class="listed" aria-label=${label}>
    ${search ? html`<label class="search" for=${id}><span>${list.search}</span><${Typed} id=${id} value=${typed} onText=${setTyped} kind="search" /></label>` : null}
    ${only_found && asked === '' ? html`<p class="soft">${words.ask}</p>` : html`
      <ul class="rows" aria-busy=${shown === undefined || !shown.done}>
        ${(shown?.recs ?? []).map((rec) => html`<li key=${rec.id}><${Row} notebook=${notebook} rec=${rec} said=${titles.of(rec)} show_kind=${show_kind} onPick=${onPick} /></li>`)}
      </ul>
      <p class="soft" role="status">${shown === undefined ? words.looking : !shown.done ? words.looked(shown.looked ?? 0, shown.all ?? 0) : words.found(shown.recs.length, shown.more)}</p>
      ${shown?.more ? html`<button type="button" class="act large" onClick=${() => setWanted(wanted + PAGE)}>${words.more}</button>` : null}`}
  </section>`;
}

/** @param {{notebook: Notebook, rec: Rec, said: {title: string, note: string}, show_kind: boolean, onPick: ((rec: Rec) => void) | undefined}} props */
function Row({ notebook, rec, said, show_kind, onPick }) {
  const picture = rec.kind === 'photo' && typeof rec.values.blob === 'string';
  const note = [show_kind ? rec.kind.replace('_', ' ') : '', said.note].filter(Boolean).join(' · ');
  const content = html`${picture ? html`<${Photo} notebook=${notebook} sha256=${rec.values.blob} alt="" />` : null}
    <span class="row-title">${said.title}</span>
    ${note ? html`<span class="row-note">${note}</span>` : null}
    <span class="row-state">${where[rec.state]}${rec.conflict_count > 0 ? html`<b>${words.two}</b>` : null}</span>`;
  if (onPick !== undefined) return html`<button type="button" class="row" onClick=${() => onPick(rec)}>${content}</button>`;
  return html`<a class=${picture ? 'row with-picture' : 'row'} href=${address(`${rec.kind}/${rec.id}`)}>${content}</a>`;
}

/**
 * The hook of what is listed; read again after a Save or a pull of these kinds.
 * @param {Notebook} notebook
 * @param {Which} which
 * @param {string} asked
 * @param {number} wanted
 * @param {boolean} only_found
 * @returns {Shown | undefined}
 */
function useShown(notebook, which, asked, wanted, only_found) {
  const [shown, setShown] = useState(/** @type {Shown | undefined} */ (undefined));
  const held = useRef(/** @type {Shown & {for: string} | null} */ (null));
  const key = `${which.kinds.join()}/${which.site ?? ''}/${which.link?.id ?? ''}/${asked}`;
  useEffect(() => {
    let work = new AbortController();
    /** @param {boolean} again nothing shown may be kept */
    const read = async (again) => {
      work.abort();
      const mine = (work = new AbortController());
      const put = (/** @type {Shown} */ found) => {
        if (mine.signal.aborted) return;
        held.current = { ...found, for: key };
        setShown(found);
      };
      try {
        if (asked !== '') {
          await findingOf(notebook).look(which.kinds, asked, { enough: wanted, signal: mine.signal, onFound: put });
        } else if (!only_found) {
          const had = again || held.current?.for !== key ? null : held.current;
          const found = await page(notebook, which, wanted, had);
          await titlesOf(notebook).learn(found.recs);
          put(found);
        }
      } catch (trouble) {
        if (!mine.signal.aborted) setShown(() => {
          throw trouble;
        });
      }
    };
    if (held.current?.for !== key) setShown(undefined);
    void read(false);
    const stop = notebook.subscribe(({ kinds }) => {
      if (kinds.size === 0 || which.kinds.some((kind) => kinds.has(kind))) void read(true);
    });
    return () => {
      work.abort();
      stop();
    };
  }, [notebook, key, wanted]);
  return shown;
}

/**
 * @param {Notebook} notebook
 * @param {Which} which
 * @param {number} wanted
 * @param {Shown | null} had the rows before, to go on from
 * @returns {Promise<Shown>}
 */
async function page(notebook, { kinds: [kind = ''], site, link }, wanted, had) {
  const start = had?.recs ?? [];
  const last = start.at(-1);
  const limit = wanted + 1 - start.length;
  if (link !== undefined) {
    if ((await countLinked(notebook, kind, link.register, link.id)) <= SORTED) {
      const all = await notebook.byIndex(kind, link.register, link.id);
      return { recs: all.slice(0, wanted), more: all.length > wanted, done: true };
    }
    const found = await linkedPage(notebook, { kind, ...link }, { limit: Math.max(limit, 1), after: last?.id });
    const recs = [...start, ...found.recs];
    return { recs: recs.slice(0, wanted), more: recs.length > wanted || found.more, done: true };
  }
  const found = await notebook.all(kind, { limit: Math.max(limit, 1), ...(site !== undefined && { site }), ...(last && { before: last }) });
  const recs = [...start, ...found];
  return { recs: recs.slice(0, wanted), more: recs.length > wanted, done: true };
}
