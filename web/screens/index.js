/**
 * Every screen by its address. A new one is a line here and a file beside this one that exports `Screen`.
 * Not for: what a screen shows.
 *
 * @typedef {import('../types.d.ts').Route} Route
 */

import { match } from '../route.js';
import { OUTING_ROUTES } from './outing_routes.js';
import { DOOR_ROUTES } from './door_routes.js';
import { ROUTINE_ROUTES } from './routine_routes.js';
import { PIN_ROUTES } from './write_routes.js';
import { VISIT_ROUTES } from './visit_routes.js';

/** @type {Route[]} The first that fits counts. */
export const ROUTES = [
  ...OUTING_ROUTES,
  ...ROUTINE_ROUTES,
  ...PIN_ROUTES,
  ...VISIT_ROUTES,
  ...DOOR_ROUTES,
  { pattern: 'land', place: 'book', load: () => import('./land.js'), shelf: { label: 'From the land', group: 'records' } },
  { pattern: 'map', place: 'map', load: () => import('./map_light.js') },
  { pattern: 'book', place: 'book', load: () => import('./book.js') },
  { pattern: 'phone', place: 'book', load: () => import('./phone.js'), shelf: { label: 'This phone', group: 'phone' } },
  { pattern: 'camera-clock', place: 'write', load: () => import('./camera_clock.js'), shelf: { label: 'Photograph this screen', group: 'phone' } },
  { pattern: 'new/:kind', place: 'write', load: () => import('./edit.js') },
  { pattern: 'edit/:kind/:id', place: 'book', load: () => import('./edit.js') },
  { pattern: 'book/:kind', place: 'book', load: () => import('./records.js') },
  { pattern: 'visits', place: 'book', load: () => import('./visits.js') },
  { pattern: 'search', place: 'book', load: () => import('./search.js') },
  { pattern: 'sync', place: 'book', load: () => import('./sync.js') },
  { pattern: 'conflicts', place: 'book', load: () => import('./conflicts.js') },
  { pattern: 'conflicts/:id', place: 'book', load: () => import('./conflicts.js') },
  { pattern: 'parked', place: 'book', load: () => import('./parked.js') },
  { pattern: 'mend/:id', place: 'book', load: () => import('./mend.js') },
  { pattern: 'deleted', place: 'book', load: () => import('./deleted.js') },
  { pattern: 'rescue', place: 'book', load: () => import('./rescue.js') },
  { pattern: 'history/:id', place: 'book', load: () => import('./history.js') },
  { pattern: 'site/:id', place: 'book', load: () => import('./site.js') },
  { pattern: 'species/:id', place: 'book', load: () => import('./species.js') },
  { pattern: 'photo/:id', place: 'book', load: () => import('./photo_view.js') },
  // Every other record, as `perch/<id>`, and one of a kind not told: last, so that a screen of its own comes first.
  { pattern: 'record/:id', place: 'book', load: () => import('./record.js') },
  { pattern: ':kind/:id', place: 'book', load: () => import('./record.js') },
];

/** The place that opens when no address is asked for. */
export const HOME = 'book';

/**
 * Answer the screen of an address and what the address says to it; null where there is none.
 * @param {readonly string[]} parts
 * @returns {{route: Route, params: Record<string, string>} | null}
 */
export function routeOf(parts) {
  for (const route of ROUTES) {
    const params = match(route.pattern, parts);
    if (params !== null) return { route, params };
  }
  return null;
}
