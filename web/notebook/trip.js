/**
 * The times of this trip that came from the phone's clock, to be shifted where that clock was off.
 * A trip is what this phone wrote without a break of half a day, up to its last word.
 * Not for: the order of changes (stamps mend themselves), or times that a person typed.
 *
 * @typedef {import('./notebook.js').Notebook} Notebook
 * @typedef {import('./types.d.ts').Wanted} Wanted
 * @typedef {{record: string, kind: string, register: string, value: any, at_ms: number}} TripTime
 */

import { idOf } from './ids.js';

const BREAK_MS = 12 * 3_600_000;
const LONGEST_MS = 10 * 24 * 3_600_000;

/**
 * Answer the times of the trip as they are shown now, oldest first.
 * @param {Notebook} notebook
 * @param {number} [now_ms] phone's clock
 * @returns {Promise<TripTime[]>}
 */
export async function tripTimes(notebook, now_ms = Date.now()) {
  const db = await notebook.sync.means.store.db();
  // Ids made here rise with this phone's clock, so that the trip is the end of the journal.
  const from = idOf(now_ms - LONGEST_MS, new Uint8Array(10));
  /** @type {Map<string, string>} record → kind */
  const written = new Map();
  let last_ms = NaN;
  const rows = await db.getAll('journal', IDBKeyRange.lowerBound(from));
  for (const { change } of rows.reverse()) {
    if (change.device !== notebook.device) continue;
    if (last_ms - change.wall > BREAK_MS) break;
    last_ms = change.wall;
    written.set(change.record, change.kind);
  }
  const recs = await Promise.all([...written.keys()].map((id) => notebook.get(id)));
  /** @type {TripTime[]} */
  const times = [];
  for (const rec of recs) {
    if (rec === undefined || rec.deleted) continue;
    for (const [register, value] of Object.entries(rec.values)) {
      const at_ms = value?.source === 'device' ? Date.parse(value.at ?? '') : NaN;
      if (at_ms >= last_ms - BREAK_MS && at_ms <= now_ms + BREAK_MS) {
        times.push({ record: rec.id, kind: rec.kind, register, value, at_ms });
      }
    }
  }
  return times.sort((one, other) => one.at_ms - other.at_ms);
}

/**
 * Answer the edits that shift them. A shifted time is a person's, so that it is not shifted twice.
 * @param {TripTime[]} times
 * @param {number} by_ms
 * @param {(at_ms: number, zone: string | undefined) => string} written writes an instant
 * @returns {Wanted[]}
 */
export function shifted(times, by_ms, written) {
  /** @type {Map<string, Wanted & {set: Record<string, any>}>} */
  const edits = new Map();
  for (const { record, kind, register, value, at_ms } of times) {
    const edit = edits.get(record) ?? { kind, record, set: {} };
    edit.set[register] = { ...value, at: written(at_ms + by_ms, value.zone), source: 'person' };
    edits.set(record, edit);
  }
  return [...edits.values()];
}
