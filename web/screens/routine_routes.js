/**
 * The addresses of a sightline's year and of what outings taught; the index takes them in before those of records.
 *
 * @typedef {import('../types.d.ts').Route} Route
 */

import { after } from '../words_routine.js';

/** @type {Route[]} */
export const ROUTINE_ROUTES = [
  { pattern: 'sightline/:id', place: 'book', load: () => import('./season.js') },
  { pattern: 'after', place: 'book', load: () => import('./after.js'), shelf: { label: after.title, group: 'records' } },
];
