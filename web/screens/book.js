/** The book's first page: search, what is written down by kind, and how safe it is. */

import { html } from '../doors/htm.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { address } from '../route.js';
import { useRecords, useSession, useStanding } from '../session.js';
import { book as shared, kinds } from '../words.js';
import { shelves as words } from '../words_book.js';
import { ROUTES } from './index.js';
import './book_styles.js';

/** @typedef {{label: string, to: string, kind?: string | undefined, count?: number | undefined}} Line */

const PLACES = ['site', 'perch', 'vantage', 'sightline', 'landmark'];
const WATCHED = ['visit', 'sighting', 'note', 'photo'];
const KIT = ['species', 'kit', 'permission'];

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const { schema } = useSession();
  const state = useStanding(notebook);
  const rest = Object.keys(schema.kinds).filter((kind) => ![...PLACES, ...WATCHED, ...KIT].includes(kind));
  const counts = useRecords(notebook, () => counted(notebook, Object.keys(schema.kinds)));
  const own = ROUTES.flatMap(({ pattern, shelf }) => (shelf === undefined ? [] : [{ to: pattern, ...shelf }]));
  const lines = (/** @type {string[]} */ some) => some.map((kind) => ({ label: kinds[kind]?.many ?? kind, to: kind === 'visit' ? 'visits' : `book/${kind}`, count: counts?.[kind] ?? 0 }));
  /** @type {Line[]} */
  const safety = [
    { label: words.sync, to: 'sync', count: state && state.waiting_changes + state.waiting_photos },
    { label: words.conflicts, to: 'conflicts', count: state?.conflicts },
    { label: words.parked, to: 'parked', count: state?.parked },
    { label: words.deleted, to: 'deleted' },
    { label: words.rescue, to: 'rescue' },
  ];
  const nothing = counts !== undefined && Object.values(counts).every((count) => count === 0);
  return html`<${Page} title=${shared.title} up=${false}>
    ${nothing ? html`<${Empty} text=${words.empty} act=${{ label: words.first_act, to: 'perch-here' }} sample />` : html`<a class="act large wide-act" href=${address('search')}>${words.search}</a>`}
    <${Shelf} title=${words.places} lines=${lines(PLACES)} />
    <${Shelf} title=${words.watched} lines=${lines(WATCHED)} />
    <${Shelf} title=${words.kit} lines=${[...lines(KIT), ...own.filter((line) => line.group !== 'phone')]} />
    <${Shelf} title=${words.safety} lines=${safety} />
    <${Shelf} title=${shared.phone} lines=${own.filter((line) => line.group === 'phone')} />
    <${Shelf} title=${words.more} lines=${lines(rest.filter((kind) => (counts?.[kind] ?? 0) > 0))} />
  </${Page}>`;
}

/** @param {{title: string, lines: Line[]}} props */
function Shelf({ title, lines }) {
  if (lines.length === 0) return null;
  return html`<section class="shelf"><h2>${title}</h2><ul class="rows">
    ${lines.map(({ label, to, count }) => html`<li key=${to}><a class="row" href=${address(to)}><span class="row-title">${label}</span>${count === undefined ? null : html`<span class=${count === 0 ? 'row-count soft' : 'row-count'}>${count}</span>`}</a></li>`)}
  </ul></section>`;
}

/**
 * @param {import('../session.js').Notebook} notebook
 * @param {string[]} all
 */
async function counted(notebook, all) {
  const counts = await Promise.all(all.map((kind) => notebook.count(kind)));
  return /** @type {Record<string, number>} */ (Object.fromEntries(all.map((kind, place) => [kind, counts[place]])));
}
