/**
 * The address of what the land says; the index takes it in before those of records.
 *
 * @typedef {import('../types.d.ts').Route} Route
 */

import { land } from '../words_land.js';

/** @type {Route[]} */
export const LAND_ROUTES = [{ pattern: 'land', place: 'book', load: () => import('./land.js'), shelf: { label: land.title, group: 'records' } }];
