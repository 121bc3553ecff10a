/**
 * A fix that comes after its record was saved, filled in by a Save of its own, so that no form ever waits for
 * a satellite. Not for: taking the fix (`fix`).
 *
 * @typedef {import('../notebook/notebook.js').Notebook} Notebook
 * @typedef {import('./fix.js').Fix} Fix
 */

import { positionOf } from './fix.js';

/**
 * Fill a position in once the fix is there. It is left alone where the record is gone, or has got one since.
 * @param {Pick<Notebook, 'get' | 'save'>} notebook
 * @param {{id: string, label?: string}} record
 * @param {Promise<Fix | string>} done
 * @returns {Promise<'filled' | 'left alone' | 'no fix'>}
 */
export async function fillInLater(notebook, { id, label }, done) {
  const fix = await done;
  if (typeof fix === 'string') return 'no fix';
  const rec = await notebook.get(id);
  if (rec === undefined || rec.deleted || rec.values.position !== undefined) return 'left alone';
  await notebook.save([{ kind: rec.kind, record: id, set: { position: positionOf(fix) }, over: rec }], { label });
  return 'filled';
}
