/**
 * A fix that comes after its record was saved, filled in by a Save of its own, so that no form ever waits for
 * a satellite. Not for: taking the fix (`fix`).
 *
 * @typedef {import('../notebook/notebook.js').Notebook} Notebook
 * @typedef {import('./fix.js').Fix} Fix
 */

import { positionOf } from './fix.js';

/**
 * Fill a position in once the fix is there. It is left alone where the record is gone, where somebody has
 * given it another position since, or where what stands there is at least as good.
 * @param {Pick<Notebook, 'get' | 'save'>} notebook
 * @param {{id: string, register?: string, label?: string}} record
 * @param {Promise<Fix | string>} done
 * @returns {Promise<'filled' | 'left alone' | 'no fix'>}
 */
export async function fillInLater(notebook, { id, register = 'position', label }, done) {
  const before = (await notebook.get(id))?.heads[register]?.join(' ');
  const fix = await done;
  if (typeof fix === 'string') return 'no fix';
  const rec = await notebook.get(id);
  if (rec === undefined || rec.deleted || rec.heads[register]?.join(' ') !== before) return 'left alone';
  const position = positionOf(fix);
  const held = rec.values[register];
  if (held?.source === 'satellite fix' && held.accuracy_m <= position.accuracy_m) return 'left alone';
  await notebook.save([{ kind: rec.kind, record: id, set: { [register]: position }, over: rec }], { label });
  return 'filled';
}
