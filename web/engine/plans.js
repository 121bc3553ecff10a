/**
 * What is asked for unless a person says otherwise: animal and kit of a site, the coming sessions, and under
 * which subject an answer is kept. Not for: computing any of it.
 *
 * @typedef {import('./asking.js').Records} Records
 * @typedef {import('./asking.js').Wanted} Wanted
 * @typedef {{site?: string, species?: Record<string, string>, also?: Record<string, string[]>, kit?: string}} Chosen species, also: by site
 * @typedef {{wind: string | null, sky: string | null, behaviour: 'perched' | 'fidgeting' | 'flight', at: number}} Typed
 * @typedef {{site: string, date: string, session: 'dawn' | 'dusk', start: number | null, end: number | null}} Opened [ms since 1970]
 */

import { BEHAVIOURS, notedMost } from './asking.js';

export const DAYS_AHEAD = 14;
export const NEAR_MS = 18 * 3_600_000;

/** Answer the animal and the kit meant at a site, undefined where there is none, and other animals that will do. @param {Records} records @param {string} site @param {Chosen} chosen */
export function meantAt(records, site, chosen) {
  const has = (/** @type {string} */ kind, /** @type {string | undefined} */ id) => records[kind]?.some((one) => one.id === id);
  const wished = chosen.species?.[site];
  const species = has('species', wished) ? wished : notedMost(records, site);
  return {
    species,
    also: (chosen.also?.[site] ?? []).filter((one) => one !== species && has('species', one)),
    kit: has('kit', chosen.kit) ? chosen.kit : records.kit?.[0]?.id,
  };
}

/** Answer under which name a card is kept. @param {Wanted} wanted */
export function cardSubject({ site, on, session, species, kit, behaviour = 'perched', sky = null, wind = null, discreet = false, also = [] }) {
  return ['card', site, on, session, [species, ...also].join('+'), kit, behaviour, sky ?? '', wind ?? '', discreet ? 'discreet' : ''].join('/');
}

/** Answer under which name a cell of the choice table is kept. @param {Wanted} wanted */
export function cellSubject({ site, on, session, species, kit, behaviour = 'perched', sky = null, wind = null, also = [] }) {
  return ['cell', site, on, session, [species, ...also].join('+'), kit, behaviour, sky ?? '', wind ?? ''].join('/');
}

/** @param {Wanted} wanted @param {{sightline: string} | {perch: string, from_deg: number}} at */
export function lightSubject({ site, on, species, kit }, at) {
  return ['light', site, on, species, kit, 'sightline' in at ? at.sightline : `${at.perch}/${at.from_deg}`].join('/');
}

/** @type {Typed} */
export const UNTYPED = { wind: null, sky: null, behaviour: 'perched', at: 0 };

/** Answer the setting that keeps what was typed for a session. @param {string} site @param {string} date @param {string} session */
export function typedKey(site, date, session) {
  return `typed/${site}/${date}/${session}`;
}

/** Answer what was typed for a session. @param {Pick<import('../notebook/notebook.js').Notebook, 'setting'>} notebook @param {string} site @param {string} date @param {string} session @returns {Promise<Typed>} */
export async function typedFor(notebook, site, date, session) {
  return { ...UNTYPED, ...(await notebook.setting(typedKey(site, date, session))) };
}

/** Answer the subjects whose kept card is better than none, though not all that was typed is in it. @param {Wanted} wanted */
export function besides(wanted) {
  return [{ ...wanted, wind: null }, { ...wanted, ...UNTYPED }].map(cardSubject);
}

/** Answer what was typed that a card does not count. @param {any} card @param {Typed} typed */
export function notCounted({ asked, arrivals }, { wind, sky, behaviour }) {
  const is_other = { wind: wind !== null && asked.wind === null, sky: sky !== null && asked.sky !== sky, shutter: arrivals[BEHAVIOURS.indexOf(behaviour)]?.behaviour !== asked.behaviour };
  return /** @type {const} */ (['wind', 'sky', 'shutter']).filter((name) => is_other[name]);
}

/** Tell whether the card that was opened last is the one to open now. @param {Opened | undefined} opened @param {number} now_ms */
export function isNear(opened, now_ms) {
  if (!opened || opened.start === null || opened.end === null) return false;
  return now_ms < opened.end + 3_600_000 && opened.start - now_ms < NEAR_MS;
}

/** @param {Pick<import('../notebook/notebook.js').Notebook, 'setting'>} notebook @returns {Promise<Chosen>} */
export async function chosen(notebook) {
  return (await notebook.setting('outing')) ?? {};
}

/** @param {Pick<import('../notebook/notebook.js').Notebook, 'setting' | 'keepSetting'>} notebook @param {Chosen} more */
export async function choose(notebook, more) {
  const before = await chosen(notebook);
  await notebook.keepSetting('outing', { ...before, ...more, species: { ...before.species, ...more.species }, also: { ...before.also, ...more.also } });
}
