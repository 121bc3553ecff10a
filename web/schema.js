/**
 * The record kinds as the server describes them, for building forms. The service worker has them at hand; a
 * copy stands beside the notebook for a phone without one. Not for: what the journal needs of them
 * (notebook/kinds.js).
 *
 * @typedef {import('./types.d.ts').Schema} Schema
 */

const PATIENCE_MS = 2000;

/**
 * @param {import('./session.js').Notebook} notebook
 * @returns {Promise<Schema>}
 */
export async function readSchema(notebook) {
  const fetched = await asked();
  if (fetched !== null) {
    await notebook.keepSetting('schema', fetched).catch(() => {}); // a full phone still has this one in hand
    return fetched;
  }
  const kept = /** @type {Schema | undefined} */ (await notebook.setting('schema'));
  if (kept === undefined) throw new Error('The record kinds are not on this phone yet; open it once near the server.');
  return kept;
}

/** @returns {Promise<Schema | null>} */
async function asked() {
  try {
    const answer = await fetch(new URL('schema.json', import.meta.url), { signal: AbortSignal.timeout(PATIENCE_MS), redirect: 'error' });
    const read = answer.ok ? await answer.json() : null;
    return read?.kinds === undefined ? null : read;
  } catch {
    return null;
  }
}
