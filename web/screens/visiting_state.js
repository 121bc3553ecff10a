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
 * @property {Rec[]} perches of the site
 * @property {Rec[]} sightlines of the site
 * @property {number} last_ms when the last thing was written of
 */

import { ownZone } from '../times.js';

const OPEN_LOOKED_AT = 60;
const BESIDE_LOOKED_AT = 60;
const SIGHTINGS_LOOKED_AT = 200;
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
 * @returns {Promise<Running | null>}
 */
export async function readVisit(notebook, id) {
  const visit = await notebook.get(id);
  if (visit === undefined || visit.deleted || visit.kind !== 'visit') return null;
  const at = String(visit.values.site ?? '');
  const [site, watches, vantages, perches, sightlines] = await Promise.all([
    notebook.get(at),
    notebook.byIndex('watch', 'visit', id),
    notebook.all('vantage', { site: at }),
    notebook.all('perch', { site: at }),
    notebook.all('sightline', { site: at }),
  ]);
  const below = (/** @type {'sighting' | 'reaction'} */ kind) => Promise.all(watches.map((one) => notebook.byIndex(kind, 'watch', one.id)));
  const [sightings, reactions, beside] = await Promise.all([below('sighting'), below('reaction'), besideOf(notebook, visit, new Set(perches.concat(vantages).map((pin) => pin.id)))]);
  const ordered = (/** @type {Rec[]} */ some) => some.sort((one, other) => one.when - other.when || (one.id < other.id ? -1 : 1));
  ordered(watches);
  const came = ordered(sightings.flat());
  const reacted = ordered(reactions.flat());
  const times = [visit, ...watches, ...came, ...reacted, ...beside].flatMap(({ values: v }) => [v.start, v.end, v.quiet_from, v.time_in, v.time_out, v.at].map(msOf));
  return {
    visit,
    site,
    zone: site?.values.zone ?? visit.values.start?.zone ?? ownZone(),
    watches,
    watch: watches.filter((one) => one.values.end === undefined && one.values.trail_camera !== true).at(-1),
    sightings: came,
    here: came.filter((one) => one.values.time_out === undefined && one.values.how === 'seen'),
    reactions: reacted,
    beside,
    vantages,
    perches,
    sightlines,
    last_ms: Math.max(...times.filter((one) => !Number.isNaN(one))),
  };
}

/**
 * What names no visit and yet belongs to it by place and time.
 * @param {Notebook} notebook
 * @param {Rec} visit
 * @param {Set<string>} pins
 */
async function besideOf(notebook, visit, pins) {
  const { site } = visit.values;
  const [from, to] = [msOf(visit.values.start), msOf(visit.values.end)];
  const within = (/** @type {Rec} */ rec) => rec.when >= from && !(rec.when > to);
  const before = Number.isNaN(to) ? {} : { before: { when: to + 1, id: '' } };
  const read = (/** @type {string} */ kind) => notebook.all(kind, { limit: BESIDE_LOOKED_AT, ...before });
  const [suns, lights, notes, photos] = await Promise.all(['skyline', 'light_reading', 'note', 'photo'].map(read));
  const timed = (/** @type {Rec[] | undefined} */ some = []) => some.filter((rec) => within(rec) && !Number.isNaN(msOf(rec.values.at)));
  return [
    ...timed(suns).filter((rec) => pins.has(rec.values.pin) && String(rec.values.source).startsWith('sun o')),
    ...timed(lights).filter((rec) => rec.values.site === site),
    ...timed(notes).filter((rec) => rec.values.site === site || pins.has(rec.values.pin)),
    ...timed(photos).filter((rec) => rec.values.site === site || rec.values.pin === visit.id || pins.has(rec.values.pin)),
  ];
}

/** Answer the perches that are seen from where one watches; all of the site's where that is not known. @param {Running} running */
export function perchesInSight({ watch, perches, sightlines }) {
  const seen = new Set(sightlines.filter((one) => one.values.vantage === watch?.values.vantage).map((one) => one.values.perch));
  const named = watch?.values.perches ?? [];
  const some = perches.filter((one) => seen.has(one.id) || named.includes(one.id));
  return some.length > 0 ? some : perches;
}

/**
 * Answer the animals, those of late first, the rest by name.
 * @param {Notebook} notebook
 * @param {string} [site] what was noted here counts before what was noted elsewhere
 */
export async function animalsByUse(notebook, site) {
  const [animals, here, all] = await Promise.all([
    notebook.all('species'),
    site === undefined ? [] : notebook.all('sighting', { site, limit: SIGHTINGS_LOOKED_AT }),
    notebook.all('sighting', { limit: SIGHTINGS_LOOKED_AT }),
  ]);
  const order = [...new Set([...here, ...all].map((one) => String(one.values.species)))];
  const place = (/** @type {Rec} */ one) => (order.includes(one.id) ? order.indexOf(one.id) : Infinity);
  const byName = (/** @type {Rec} */ one, /** @type {Rec} */ other) => String(one.values.name).localeCompare(String(other.values.name));
  return animals.sort((one, other) => (place(one) === place(other) ? byName(one, other) : place(one) - place(other)));
}
