/**
 * A visit as its records tell it, and nothing else does: what is open, who is here, what was written down and when.
 * So a page that is closed, killed or loaded with another clock goes on where the notebook stands.
 * Not for: writing anything (visiting_edits.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('../session.js').Notebook} Notebook
 * @typedef {object} Running
 * @property {Rec} visit
 * @property {Rec | undefined} site
 * @property {string} zone
 * @property {Rec[]} watches in order of time
 * @property {Rec | undefined} watch the open one
 * @property {Rec[]} sightings in order of time
 * @property {Rec[]} here those with no end yet
 * @property {Rec[]} reactions in order of time
 * @property {Rec[]} beside light, notes, photos and "sun on it" of this site since the visit began
 * @property {Rec[]} vantages of the site
 * @property {Rec[]} perches that it has to do with
 * @property {Rec[]} sightlines of the vantage
 * @property {number} last_ms when the last thing was written of
 */

import { ownZone } from '../times.js';

const OPEN_LOOKED_AT = 60;
const BESIDE_LOOKED_AT = 60;
const PINS_LOOKED_AT = 60;
const VISITS_LOOKED_AT = 6;
const SIGHTINGS_LOOKED_AT = 100;
/** A visit with nothing written for so long is asked about: two sits of the usual length; ours. */
export const FORGOTTEN_MS = 3 * 3_600_000;

/** Answer the instant of a moment, NaN where there is none. @param {any} value */
export function msOf(value) {
  return Date.parse(typeof value === 'string' ? value : String(value?.at ?? ''));
}

/** Answer the visits that have no end, the newest first. @param {Notebook} notebook */
export async function openVisits(notebook) {
  const some = await notebook.all('visit', { limit: OPEN_LOOKED_AT });
  const open = some.filter((rec) => rec.values.end === undefined);
  return Promise.all(open.map(async (rec) => ({ rec, is_mine: (await notebook.history(rec.id)).at(-1)?.mine ?? false })));
}

/** Answer the visit that runs on this phone, undefined where none does. @param {Notebook} notebook */
export async function ownVisit(notebook) {
  return (await openVisits(notebook)).find((one) => one.is_mine)?.rec;
}

/**
 * Read a visit; null where it is not here.
 * @param {Notebook} notebook
 * @param {string} id
 * @param {{with_pins?: boolean}} [how] without its pins it is read sooner, for a tap that is to be written
 * @returns {Promise<Running | null>}
 */
export async function readVisit(notebook, id, { with_pins = true } = {}) {
  const visit = await notebook.get(id);
  if (visit === undefined || visit.deleted || visit.kind !== 'visit') return null;
  const [site, watches, beside] = await Promise.all([notebook.get(String(visit.values.site ?? '')), notebook.byIndex('watch', 'visit', id), besideOf(notebook, visit)]);
  const below = (/** @type {'sighting' | 'reaction'} */ kind) => Promise.all(watches.map((one) => notebook.byIndex(kind, 'watch', one.id)));
  const [sightings, reactions] = await Promise.all([below('sighting'), below('reaction')]);
  const ordered = (/** @type {Rec[]} */ some) => some.sort((one, other) => one.when - other.when || (one.id < other.id ? -1 : 1));
  ordered(watches);
  const came = ordered(sightings.flat());
  const reacted = ordered(reactions.flat());
  const watch = watches.filter((one) => one.values.end === undefined && one.values.trail_camera !== true).at(-1);
  const times = [visit, ...watches, ...came, ...reacted, ...beside].flatMap(({ values: v }) => [v.start, v.end, v.quiet_from, v.time_in, v.time_out, v.at].map(msOf));
  return {
    visit,
    site,
    zone: site?.values.zone ?? visit.values.start?.zone ?? ownZone(),
    watches,
    watch,
    sightings: came,
    here: came.filter((one) => one.values.time_out === undefined && one.values.how === 'seen'),
    reactions: reacted,
    beside,
    ...(with_pins ? await pinsOf(notebook, visit, watch, [...came, ...beside]) : { vantages: [], perches: [], sightlines: [] }),
    last_ms: Math.max(...times.filter((one) => !Number.isNaN(one))),
  };
}

/**
 * The pins that a visit has to do with; where the vantage does not tell which perches, the newest of the site.
 * @param {Notebook} notebook
 * @param {Rec} visit
 * @param {Rec | undefined} watch
 * @param {Rec[]} entries
 */
async function pinsOf(notebook, visit, watch, entries) {
  const site = String(visit.values.site ?? '');
  const { vantage, perches: watched = [] } = watch?.values ?? {};
  const [vantages, sightlines] = await Promise.all([notebook.all('vantage', { site, limit: PINS_LOOKED_AT }), vantage === undefined ? [] : notebook.byIndex('sightline', 'vantage', vantage)]);
  const wanted = new Set([...watched, ...sightlines.map((one) => one.values.perch), ...entries.flatMap(({ values: v }) => [v.perch, v.pin])]);
  wanted.delete(undefined);
  const [named, newest] = await Promise.all([
    Promise.all([...wanted].map((id) => notebook.get(id))),
    sightlines.length > 0 ? [] : notebook.all('perch', { site, limit: PINS_LOOKED_AT }),
  ]);
  const more = named.flatMap((one) => (one === undefined || one.kind !== 'perch' || one.deleted || newest.some(({ id }) => id === one.id) ? [] : [one]));
  const perches = [...newest, ...more];
  return { vantages, perches, sightlines };
}

/**
 * What names no visit and yet belongs to it by place and time.
 * @param {Notebook} notebook
 * @param {Rec} visit
 */
async function besideOf(notebook, visit) {
  const { site } = visit.values;
  const [from, to] = [msOf(visit.values.start), msOf(visit.values.end)];
  const before = Number.isNaN(to) ? {} : { before: { when: to + 1, id: '' } };
  const found = (await Promise.all(['skyline', 'light_reading', 'note', 'photo'].map((kind) => notebook.all(kind, { limit: BESIDE_LOOKED_AT, ...before })))).flat();
  const timed = found.filter((rec) => rec.when >= from && !Number.isNaN(msOf(rec.values.at)) && (rec.kind !== 'skyline' || String(rec.values.source).startsWith('sun o')));
  const here = await Promise.all(
    timed.map(async ({ values: v }) => v.site === site || v.pin === visit.id || (v.site === undefined && v.pin !== undefined && (await notebook.get(v.pin))?.values.site === site)),
  );
  return timed.filter((_, place) => here[place]);
}

/** Answer the perches that are seen from where one watches; those at hand where that is not known. @param {Running} running */
export function perchesInSight({ watch, perches, sightlines }) {
  const seen = new Set(sightlines.map((one) => one.values.perch));
  const named = watch?.values.perches ?? [];
  const some = perches.filter((one) => seen.has(one.id) || named.includes(one.id));
  return some.length > 0 ? some : perches;
}

/**
 * Answer the animals, those noted of late first, the rest by name.
 * @param {Notebook} notebook
 * @param {string} [site] what was noted on its last visits counts before what was noted elsewhere
 */
export async function animalsByUse(notebook, site) {
  const [animals, visits, all] = await Promise.all([notebook.all('species'), site === undefined ? [] : notebook.all('visit', { site, limit: VISITS_LOOKED_AT }), notebook.all('sighting', { limit: SIGHTINGS_LOOKED_AT })]);
  const watches = (await Promise.all(visits.map((one) => notebook.byIndex('watch', 'visit', one.id)))).flat();
  const here = (await Promise.all(watches.map((one) => notebook.byIndex('sighting', 'watch', one.id)))).flat().sort((one, other) => other.when - one.when);
  const order = [...new Set([...here, ...all].map((one) => String(one.values.species)))];
  const place = new Map(order.map((id, at) => [id, at]));
  const byName = (/** @type {Rec} */ one, /** @type {Rec} */ other) => String(one.values.name).localeCompare(String(other.values.name));
  return animals.sort((one, other) => {
    const [first, second] = [place.get(one.id) ?? Infinity, place.get(other.id) ?? Infinity];
    return first === second ? byName(one, other) : first - second;
  });
}
