/**
 * The addresses of the outing's screens; the index takes them in before those of records.
 *
 * @typedef {import('../types.d.ts').Route} Route
 */

import { kit, ready } from '../words_outing.js';

/** @type {Route[]} */
export const OUTING_ROUTES = [
  { pattern: 'outing', place: 'outing', load: () => import('./outing.js') },
  { pattern: 'choice', place: 'outing', load: () => import('./choice.js') },
  { pattern: 'card/:site/:date/:session', place: 'outing', load: () => import('./card.js') },
  { pattern: 'light', place: 'outing', load: () => import('./light.js') },
  { pattern: 'ready', place: 'outing', load: () => import('./ready.js'), shelf: { label: ready.title, group: 'phone' } },
  { pattern: 'kit', place: 'book', load: () => import('./kit.js'), shelf: { label: kit.title, group: 'records' } },
  { pattern: 'stand', place: 'book', load: () => import('./stand.js'), shelf: { label: kit.title_stand, group: 'records' } },
];
