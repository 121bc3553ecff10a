/**
 * What the map reads from the notebook, and what it remembers of itself on this phone.
 * Not for: drawing it.
 *
 * @typedef {import('../notebook/notebook.js').Notebook} Notebook
 * @typedef {{base?: string | null, centre?: {lat: number, lon: number}, zoom?: number, sheets?: import('./tile_store.js').Sheet[]}} Remembered
 */

import { outlinesOf, pinsOf, sightsOf } from './pins.js';

const KINDS = /** @type {const} */ (['site', 'perch', 'vantage', 'landmark', 'sightline', 'measurement', 'area']);

/** Read everything that stands on the map. @param {Pick<Notebook, 'all'>} notebook */
export async function readPlaces(notebook) {
  const read = await Promise.all(KINDS.map(async (kind) => /** @type {const} */ ([kind, await notebook.all(kind)])));
  const records = Object.fromEntries(read);
  const pins = pinsOf(records);
  return {
    sites: records.site ?? [],
    pins,
    sights: sightsOf(records, pins),
    outlines: outlinesOf(records),
    recs: new Map(read.flatMap(([, recs]) => recs.map((rec) => /** @type {const} */ ([rec.id, rec])))),
  };
}

/** @param {Pick<Notebook, 'setting'>} notebook @returns {Promise<Remembered>} */
export async function remembered(notebook) {
  return (await notebook.setting('map')) ?? {};
}

/** @param {Pick<Notebook, 'setting' | 'keepSetting'>} notebook @param {Remembered} more */
export async function remember(notebook, more) {
  await notebook.keepSetting('map', { ...(await remembered(notebook)), ...more });
}
