/**
 * The addresses of the door's screens; the index takes them in before those of records.
 *
 * @typedef {import('../types.d.ts').Route} Route
 */

import { door } from '../words_door.js';

/** @type {Route[]} */
export const DOOR_ROUTES = [
  { pattern: 'pair', place: 'book', load: () => import('./pair.js'), shelf: { label: door.pair, group: 'phone' } },
  { pattern: 'devices', place: 'book', load: () => import('./devices.js'), shelf: { label: door.devices, group: 'phone' } },
  { pattern: 'people', place: 'book', load: () => import('./people.js'), shelf: { label: door.people, group: 'phone' } },
  { pattern: 'backups', place: 'book', load: () => import('./backups.js'), shelf: { label: door.backups, group: 'phone' } },
];
