/**
 * From a notebook's records to a request of the engine: all that an answer needs, and no more; the same request
 * as the server makes of the same records. Pure, so that node can prove it.
 * Not for: reading the records (`gathering.js`), or asking (`engine.js`).
 *
 * @typedef {Record<string, any> & {id: string}} Plain a record as a request carries it
 * @typedef {Record<string, Plain[]>} Records by kind
 * @typedef {import('../types.d.ts').Schema} Schema
 * @typedef {object} Wanted
 * @property {string} site
 * @property {string} species
 * @property {string} kit
 * @property {string} on local day, as 2026-05-12
 * @property {'dawn' | 'dusk'} session
 * @property {'perched' | 'fidgeting' | 'flight'} [behaviour]
 * @property {string | null} [sky]
 * @property {string | null} [wind]
 * @property {boolean} [discreet]
 * @property {string[]} [also] other animals that will do
 * @property {Record<string, object | null>} [presences] by species, what the call presence answers
 */

/** List of a request → kind of record in it. */
export const LISTS = Object.freeze({
  perches: 'perch',
  vantages: 'vantage',
  sightlines: 'sightline',
  measurements: 'measurement',
  skylines: 'skyline',
  canopies: 'canopy',
  walk_ins: 'walk_in',
  landmarks: 'landmark',
  permissions: 'permission',
  visits: 'visit',
  watches: 'watch',
  sightings: 'sighting',
  reactions: 'reaction',
  light_readings: 'light_reading',
});

/** Lists that tell when an animal comes. */
const PRESENCE_LISTS = ['perches', 'vantages', 'sightlines', 'visits', 'watches', 'sightings', 'reactions'];

export const BEHAVIOURS = /** @type {const} */ (['perched', 'fidgeting', 'flight']);
export const SKIES = /** @type {const} */ (['clear', 'in and out', 'overcast']);
export const SESSIONS = /** @type {const} */ (['dawn', 'dusk']);

/** Write a record as a request carries it: what is not known left out, in one order. @param {{id: string, values: Record<string, any>}} rec @returns {Plain} */
export function plain({ id, values }) {
  /** @type {Plain} */
  const written = { id };
  for (const name of Object.keys(values).sort()) {
    const value = values[name];
    const is_known = value !== undefined && value !== null && !(Array.isArray(value) && value.length === 0);
    if (is_known && name !== 'id') written[name] = value;
  }
  return written;
}

/** Tell whether a record has all that its kind cannot be without: some of it may still be on its way. @param {Plain} record @param {import('../types.d.ts').Field[] | undefined} fields */
export function isWhole(record, fields) {
  return (fields ?? []).every((field) => !field.needed || field.name === 'id' || record[field.name] !== undefined);
}

/** Build the request for one outing card. Throws RangeError where a record is not there. @param {Records} records @param {Wanted} wanted */
export function cardRequest(records, { site, species, kit, on, session, behaviour = 'perched', sky = null, wind = null, discreet = false, also = [], presences = {} }) {
  return {
    site: found(records, 'site', site),
    species: found(records, 'species', species),
    kit: found(records, 'kit', kit),
    settings: settingsOf(records),
    date: on,
    session,
    behaviour,
    sky,
    wind,
    presence: presences[species] ?? null,
    ...(also.length > 0 ? { also: also.map((one) => ({ species: found(records, 'species', one), presence: presences[one] ?? null })) } : {}),
    discreet,
    demands: [],
    ...atSite(records, site),
  };
}

/** Build the request for what the log says of when an animal comes. @param {Records} records @param {{site: string, species: string}} wanted */
export function presenceRequest(records, { site, species }) {
  const lists = atSite(records, site);
  return {
    site: found(records, 'site', site),
    species: found(records, 'species', species),
    settings: settingsOf(records),
    ...Object.fromEntries(PRESENCE_LISTS.map((name) => [name, lists[name] ?? []])),
  };
}

/** Build the request for an animal's habits. `narrowed`: perch or area, season, sky, wind_from, tag. `extra`: areas and tags.
 * @param {Records} records @param {{site: string, species: string, on: string, discreet?: boolean}} wanted @param {Record<string, any>} narrowed @param {{areas: Plain[], tags: Plain[]}} extra */
export function routineRequest(records, { on, discreet = false, ...wanted }, narrowed, { areas, tags }) {
  const lists = atSite(records, wanted.site);
  const here = new Set(Object.values(lists).flatMap((list) => list.map((one) => one.id)));
  return {
    ...presenceRequest(records, wanted),
    measurements: lists.measurements ?? [],
    permissions: lists.permissions ?? [],
    areas: areas.filter((one) => one.site === wanted.site),
    tags: tags.filter((one) => here.has(one.record)),
    date: on,
    discreet,
    ...narrowed,
  };
}

/** Build the request for the season of a sightline. @param {Records} records @param {Omit<Wanted, 'on'>} wanted @param {{sightline: string, first: string, weeks: number}} of */
export function seasonRequest(records, wanted, of) {
  const { date: _, ...rest } = cardRequest(records, { ...wanted, on: of.first });
  return { ...rest, ...of };
}

/** Build the request for what outings have taught. @param {Records} records @param {Omit<Wanted, 'session'>} wanted */
export function afterRequest(records, wanted) {
  const { session: _, ...rest } = cardRequest(records, { ...wanted, session: 'dawn' });
  return rest;
}

/** Build the request for the light of a day: that of a card, and what is looked at.
 * @param {Records} records @param {Omit<Wanted, 'session'>} wanted @param {{sightline: string} | {perch: string, from_deg: number}} at */
export function lightRequest(records, wanted, at) {
  const { session: _, ...rest } = cardRequest(records, { ...wanted, session: 'dawn' });
  return { ...rest, ...at };
}

/** Build the request for one row of the choice table, or a part of it.
 * @param {Records} records @param {Wanted} wanted @param {number} days */
export function choiceRequest(records, wanted, days) {
  const { date, session, ...site } = cardRequest(records, wanted);
  return { sites: [site], first: date, days, sessions: [session] };
}

/** Answer the notebook's settings, empty for the usual ones. @param {Records} records */
export function settingsOf(records) {
  return records.settings?.[0] ?? {};
}

/** Answer the records of a site, list by list. @param {Records} records @param {string} site @returns {Record<string, Plain[]>} */
export function atSite(records, site) {
  const of = (/** @type {string} */ kind) => records[kind] ?? [];
  const idsAt = (/** @type {string} */ kind) => new Set(of(kind).flatMap((one) => (one.site === site ? one.id : [])));
  const [perches, vantages, visits] = [idsAt('perch'), idsAt('vantage'), idsAt('visit')];
  const watched = of('watch').filter(
    (one) => vantages.has(one.vantage) || visits.has(one.visit) || (one.perches ?? []).some((/** @type {string} */ perch) => perches.has(perch)),
  );
  const watches = new Set(watched.map((one) => one.id));
  const sightlines = new Set(of('sightline').flatMap((one) => (vantages.has(one.vantage) || perches.has(one.perch) ? one.id : [])));
  /** @type {Record<string, [string, Set<string>]>} */
  const belongs = {
    measurement: ['sightline', sightlines],
    skyline: ['pin', new Set([...perches, ...vantages])],
    canopy: ['perch', perches],
    walk_in: ['vantage', vantages],
    sighting: ['watch', watches],
    reaction: ['watch', watches],
    sightline: ['id', sightlines],
    watch: ['id', watches],
  };
  return Object.fromEntries(
    Object.entries(LISTS).map(([name, kind]) => {
      const [field, owners] = belongs[kind] ?? ['site', new Set([site])];
      return [name, of(kind).filter((one) => owners.has(one[field])).sort(byId)];
    }),
  );
}

/** Answer the animal noted most often at a site, the first one where none was. @param {Records} records @param {string} site @returns {string | undefined} */
export function notedMost(records, site) {
  /** @type {Map<string, number>} */
  const noted = new Map();
  for (const one of atSite(records, site).sightings ?? []) noted.set(one.species, (noted.get(one.species) ?? 0) + 1);
  const all = [...(records.species ?? [])].sort(byId);
  return all.sort((one, other) => (noted.get(other.id) ?? 0) - (noted.get(one.id) ?? 0))[0]?.id;
}

/** @param {Plain} one @param {Plain} other */
function byId(one, other) {
  return one.id < other.id ? -1 : one.id > other.id ? 1 : 0;
}

/** @param {Records} records @param {string} kind @param {string} id */
function found(records, kind, id) {
  const one = records[kind]?.find((record) => record.id === id);
  if (one === undefined) throw new RangeError(`There is no such ${kind} on this phone.`);
  return one;
}
