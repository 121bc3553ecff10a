/**
 * The Save that puts a pin on the map, or moves one: with its site, which the first pin of a new place makes.
 * Not for: saving it, or the form with everything else about the pin.
 *
 * @typedef {{lat: number, lon: number, accuracy_m?: number, source: string}} Position
 * @typedef {{id: string, values: Record<string, any>}} Site
 * @typedef {'perch' | 'vantage' | 'landmark'} PinKind
 */

import { lineBetween } from './geometry.js';
import { WORDS } from './words.js';

/** A pin further than this from every site is the first of a new one. */
export const SITE_REACH_M = 3000;
const FINGER_PX = 4; // how far off a cross is put by hand
const ON_MAP_M = 5; // of a map at its best; common practice, no source
const MOST_UNSURE_M = 100; // a cross put with less care than this is nowhere one could sit; no source

/**
 * Answer the nearest site that reaches a position.
 * @template {Site} S
 * @param {readonly S[]} sites
 * @param {{lat: number, lon: number}} position
 * @returns {S | null}
 */
export function siteAt(sites, position) {
  return nearestSite(sites, position, SITE_REACH_M);
}

/**
 * @template {Site} S
 * @param {readonly S[]} sites
 * @param {{lat: number, lon: number}} position
 * @param {number} [within_m]
 * @returns {S | null}
 */
export function nearestSite(sites, position, within_m = Infinity) {
  let [found, least] = [/** @type {S | null} */ (null), within_m];
  for (const site of sites) {
    const { lat, lon } = site.values.centre ?? {};
    if (!Number.isFinite(lat) || !Number.isFinite(lon)) continue;
    const far = lineBetween({ lat, lon }, position).distance_m;
    if (far <= least) [found, least] = [site, far];
  }
  return found;
}

/**
 * Answer the edits for a new pin; one Save, so that one undo takes all of it back.
 * @param {PinKind} kind
 * @param {Position} position
 * @param {{sites: readonly Site[], names: readonly string[], zone: string, newId: () => string}} known `names`: of the pins of this kind so far
 */
export function editsForPin(kind, position, { sites, names, zone, newId }) {
  const site = siteAt(sites, position);
  const id = newId();
  const more = kind === 'landmark' ? { kind: 'other' } : {};
  /** @param {string} at */
  const pin = (at) => ({ kind, record: id, set: { site: at, name: nextName(WORDS.kinds[kind], names), position, ...more } });
  if (site !== null) return { id, isNewSite: false, edits: [pin(site.id)] };
  const made = newId();
  const name = nextName(WORDS.newSite, sites.map((one) => String(one.values.name ?? '')));
  const centre = { lat: position.lat, lon: position.lon, source: position.source };
  return { id, isNewSite: true, edits: [{ kind: 'site', record: made, set: { name, centre, zone } }, pin(made)] };
}

/** Answer the first free name of a word and a number. @param {string} word @param {readonly string[]} taken */
export function nextName(word, taken) {
  const held = new Set(taken.map((name) => name.toLowerCase()));
  for (let number = 1; ; number++) {
    const name = `${word} ${number}`;
    if (!held.has(name.toLowerCase())) return name;
  }
}

/**
 * Whether a cross put by hand says where something is: not at a zoom that shows half a country, nor where a map
 * without any place begins, which is open sea for hundreds of kilometres about.
 * @param {Position} cross
 */
export function isSomewhere({ lat, lon, accuracy_m = 0 }) {
  return accuracy_m <= MOST_UNSURE_M && (Math.abs(lat) > 1 || Math.abs(lon) > 1);
}

/** Make the position of the cross in the middle of the map. @param {{lat: number, lon: number}} centre @param {number} px_per_m @returns {Position} */
export function underCross({ lat, lon }, px_per_m) {
  const accuracy_m = Math.min(100_000, Math.max(ON_MAP_M, Math.round(FINGER_PX / px_per_m)));
  return { lat: Math.round(lat * 1e7) / 1e7, lon: Math.round((((lon + 540) % 360) - 180) * 1e7) / 1e7, accuracy_m, source: 'map' };
}
