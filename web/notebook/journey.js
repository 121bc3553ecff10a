/**
 * What the phone knows of its server: how far it has come in whose journal, and how its clock stands.
 * Not for: speaking to it (`server`).
 *
 * @typedef {import('./types.d.ts').Journey} Journey
 * @typedef {import('./writing.js').Transaction} Transaction
 */

/** @type {Journey} */
export const NO_JOURNEY = {
  epoch: null,
  durable_seq: 0,
  cursor: null,
  furthest: null,
  restart: false,
  offset_ms: 0,
  last_sync: null,
};

/**
 * Change what the phone knows of its server.
 * @param {Transaction} tx
 * @param {Partial<Journey>} journey
 */
export async function putJourney(tx, journey) {
  const kv = tx.objectStore('kv');
  const before = (await kv.get('journey')) ?? NO_JOURNEY;
  const after = { ...before, ...journey };
  if (before.furthest && journey.furthest) after.furthest = further(before.furthest, journey.furthest);
  await kv.put(after, 'journey');
}

/**
 * Answer the further of two places; one of another epoch has taken the place of the older.
 * @param {string} one
 * @param {string} other
 */
function further(one, other) {
  const [epoch, seq] = one.split(':');
  const [other_epoch, other_seq] = other.split(':');
  return epoch === other_epoch && Number(seq) > Number(other_seq) ? one : other;
}
