/**
 * A pin saved before its fix was there: the position comes in by a Save of its own, and with it the site, which
 * nobody could tell before. Not for: what has no site of its own (sensing/late_fix.js).
 *
 * @typedef {import('../notebook/notebook.js').Notebook} Notebook
 * @typedef {import('../sensing/fix.js').Fix} Fix
 */

import { newId } from '../notebook/ids.js';
import { say } from '../parts/snackbar.js';
import { positionOf } from '../sensing/fix.js';
import { saved } from '../words.js';
import { siteFor } from './pin_edits.js';

/** Pin → the Save that gave it its place and its site. @type {Map<string, string>} */
const placed_by = new Map();

/**
 * Say that a pin was saved; Undo takes back with it what came in later, a site that was made for it too.
 * @param {Notebook} notebook
 * @param {string} group of the Save
 * @param {string} id of the pin
 */
export function sayPinSaved(notebook, group, id) {
  say(saved.on_phone, async () => {
    const later = placed_by.get(id);
    const after = later === undefined ? [] : (await notebook.undo(later)).left;
    const { left } = await notebook.undo(group);
    say(left.length + after.length === 0 ? saved.undone : saved.undone_in_part);
  });
}

/** The pins for which a position is being taken right now. @type {Set<string>} */
export const awaited = new Set();

/**
 * Fill a pin's position in once the fix is there; a pin that is gone, or that has got one since, is left alone.
 * @param {Pick<Notebook, 'get' | 'save' | 'all'>} notebook
 * @param {{id: string, label: string, zone: string, site_name?: string | null}} pin
 * @param {Promise<Fix | string>} done
 * @returns {Promise<'filled' | 'left alone' | 'no fix'>}
 */
export async function fillPinLater(notebook, pin, done) {
  awaited.add(pin.id);
  try {
    return await fill(notebook, pin, done);
  } finally {
    awaited.delete(pin.id);
  }
}

/** @type {typeof fillPinLater} */
async function fill(notebook, { id, label, zone, site_name }, done) {
  const fix = await done;
  if (typeof fix === 'string') return 'no fix';
  const rec = await notebook.get(id);
  if (rec === undefined || rec.deleted || rec.values.position !== undefined) return 'left alone';
  const position = positionOf(fix);
  const made = siteFor(position, rec.values.site, site_name, { sites: await notebook.all('site'), zone, newId: () => newId(Date.now()) });
  const set = { position, ...(rec.values.site === undefined && { site: made.site }) };
  const { group } = await notebook.save([...made.edits, { kind: rec.kind, record: id, set, over: rec }], { label });
  placed_by.set(id, group);
  return 'filled';
}

/**
 * Put a better value in a register once it is known: a place or a range that was reckoned before anybody knew
 * where true north is. What somebody changed since is left alone.
 * @param {Pick<Notebook, 'get' | 'save'>} notebook
 * @param {{id: string, register: string, label: string}} record
 * @param {Promise<Record<string, any> | null>} finding
 * @returns {Promise<'changed' | 'left alone'>}
 */
export async function changeLater(notebook, { id, register, label }, finding) {
  const before = await notebook.get(id);
  const value = await finding;
  const rec = await notebook.get(id);
  const is_same = before?.heads[register]?.join(' ') === rec?.heads[register]?.join(' ');
  if (value === null || rec === undefined || rec.deleted || !is_same) return 'left alone';
  await notebook.save([{ kind: rec.kind, record: id, set: { [register]: value }, over: rec }], { label });
  return 'changed';
}
