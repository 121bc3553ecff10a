/** The book's first page: what is written down, by kind, and what belongs to this phone. */

import { html } from '../doors/htm.js';
import { Page } from '../parts/page.js';
import { address } from '../route.js';
import { useRecords } from '../session.js';
import { book as words } from '../words.js';
import { ROUTES } from './index.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const shelves = ROUTES.flatMap(({ pattern, shelf }) => (shelf === undefined ? [] : [{ pattern, ...shelf }]));
  const counts = useRecords(notebook, () => counted(notebook, shelves));
  /** @param {'records' | 'phone'} group @param {string} title */
  const group = (group, title) => {
    const lines = shelves.filter((shelf) => (shelf.group ?? 'records') === group);
    if (lines.length === 0) return null;
    return html`<section><h2>${title}</h2><ul class="rows">
      ${lines.map((shelf) => html`<li key=${shelf.pattern}><a class="row" href=${address(shelf.pattern)}><span class="row-title">${shelf.label}</span>${shelf.kind ? html`<span class="row-count">${counts?.[shelf.kind] ?? ''}</span>` : null}</a></li>`)}
    </ul></section>`;
  };
  return html`<${Page} title=${words.title} up=${false}>${group('records', words.records)}${group('phone', words.phone)}</${Page}>`;
}

/**
 * @param {import('../session.js').Notebook} notebook
 * @param {{kind?: string}[]} shelves
 */
async function counted(notebook, shelves) {
  const wanted = shelves.map(({ kind }) => kind).filter((kind) => kind !== undefined);
  const counts = await Promise.all(wanted.map((kind) => notebook.count(kind)));
  return Object.fromEntries(wanted.map((kind, place) => [kind, counts[place]]));
}
