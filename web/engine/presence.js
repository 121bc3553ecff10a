/**
 * What the log says of when an animal comes to each perch of a site: asked of the engine once, kept until a record
 * changes, and handed on with every card. Not for: the card itself (`asking.js`).
 *
 * @typedef {import('./asking.js').Records} Records
 * @typedef {import('./asking.js').Wanted} Wanted
 * @typedef {Pick<import('./engine.js').Engine, 'ask'>} Asking
 */

import { presenceRequest } from './asking.js';
import { engine } from './engine.js';

/** @type {WeakMap<Records, Map<string, Promise<object | null>>>} by what was gathered, then site and animal */
const known = new WeakMap();

/**
 * Answer what is wanted with what is known of its animals. Where nobody can answer, nothing is known: the card then
 * goes by light and says so.
 * @template {Omit<Wanted, 'on' | 'session'>} T
 * @param {Records} records @param {T} wanted @param {{behind?: boolean, asking?: Asking}} [how]
 * @returns {Promise<T & {presences: Record<string, object | null>}>} presences: by species
 */
export async function withPresence(records, wanted, how = {}) {
  /** @type {Record<string, object | null>} */
  const presences = {};
  for (const species of [wanted.species, ...(wanted.also ?? [])]) presences[species] = await presenceOf(records, wanted.site, species, how);
  return { ...wanted, presences };
}

/** @param {Records} records @param {string} site @param {string} species @param {{behind?: boolean, asking?: Asking}} how */
function presenceOf(records, site, species, { behind = false, asking = engine() }) {
  const kept = known.get(records) ?? new Map();
  known.set(records, kept);
  const key = `${site}/${species}`;
  if (!kept.has(key)) {
    const asked = ask(records, site, species, behind, asking);
    kept.set(key, asked);
    // What nobody could answer is asked again the next time.
    asked.catch(() => kept.delete(key));
  }
  return /** @type {Promise<object | null>} */ (kept.get(key)).catch(() => null);
}

/** @param {Records} records @param {string} site @param {string} species @param {boolean} behind @param {Asking} asking */
async function ask(records, site, species, behind, asking) {
  const said = await asking.ask('presence', presenceRequest(records, { site, species }), { subject: `presence/${site}/${species}`, behind });
  if (!said.is_current) throw new RangeError('What was kept is of an older log.');
  const { engine: _, ...answer } = said.answer;
  return answer.watched === 0 ? null : answer;
}
