/**
 * The addresses of the screens on which pins are written; the index takes them in before those of records.
 *
 * @typedef {import('../types.d.ts').Route} Route
 */

/** @type {Route[]} */
export const PIN_ROUTES = [
  { pattern: 'perch-here', place: 'write', load: () => import('./perch_here.js') },
];
