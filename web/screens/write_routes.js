/**
 * The addresses of the screens on which pins are written; the index takes them in before those of records.
 *
 * @typedef {import('../types.d.ts').Route} Route
 */

/** @type {Route[]} */
export const PIN_ROUTES = [
  { pattern: 'perch-here', place: 'write', load: () => import('./perch_here.js') },
  { pattern: 'vantage-here', place: 'write', load: () => import('./vantage_here.js') },
  { pattern: 'sightline-here', place: 'write', load: () => import('./sightline_here.js') },
  { pattern: 'skyline-here', place: 'write', load: () => import('./skyline_here.js') },
  { pattern: 'skyline-here/:pin', place: 'write', load: () => import('./skyline_here.js') },
  { pattern: 'walk-in', place: 'write', load: () => import('./walk_in.js') },
];
