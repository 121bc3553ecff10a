/**
 * What the journal says of records: every change, the values in conflict, what was set aside.
 * Not for: records as they are shown (`reading`).
 *
 * @typedef {import('./types.d.ts').Conflict} Conflict
 * @typedef {import('./types.d.ts').HistoryItem} HistoryItem
 * @typedef {import('./types.d.ts').ParkedItem} ParkedItem
 */

import { isHigher } from './merge.js';
import { headsOf } from './rows.js';
import { upcast } from './upcast.js';

export class History {
  /**
   * @param {import('./store.js').Store} store
   * @param {import('./kinds.js').Kinds} kinds
   * @param {string} device
   * @param {import('./reading.js').Reading} reading
   */
  constructor(store, kinds, device, reading) {
    this.store = store;
    this.kinds = kinds;
    this.device = device;
    this.reading = reading;
  }

  /**
   * Answer every change of a record that is here, newest first.
   * @param {string} id
   * @returns {Promise<HistoryItem[]>}
   */
  async of(id) {
    const rows = await (await this.store.db()).getAllFromIndex('journal', 'record', id);
    rows.sort((one, other) => (isHigher(one.change, other.change) ? -1 : 1));
    return rows.map((row) => ({
      change: upcast(row.change, this.kinds.upcasts),
      mine: row.change.device === this.device,
      where: row.parked === undefined ? this.reading.whereOf(row.seq) : 'parked',
      parked: row.parked,
      label: row.label,
    }));
  }

  /**
   * Answer every register in conflict with all its heads, the one shown first.
   * @returns {Promise<Conflict[]>}
   */
  async conflicts() {
    const db = await this.store.db();
    const rows = await db.getAllFromIndex('record', 'conflicted');
    const found = [];
    for (const row of rows) {
      for (const [register, some] of headsOf(row)) {
        if (some.every((head) => head.value === some[0].value)) continue;
        const changes = await Promise.all(some.map((head) => db.get('journal', head.id)));
        found.push({
          kind: row.kind,
          record: row.id,
          register,
          hidden: row.deleted,
          heads: some.map((head, at) => {
            const change = changes[at]?.change;
            return {
              change: head.id,
              hlc: head.hlc,
              value: JSON.parse(head.value),
              device: change?.device,
              mine: change?.device === this.device,
              wall: change?.wall,
              tz_min: change?.tz_min,
            };
          }),
        });
      }
    }
    return found;
  }

  /**
   * Answer what was set aside and still needs a person, oldest first.
   * @returns {Promise<ParkedItem[]>}
   */
  async parked() {
    const rows = await (await this.store.db()).getAllFromIndex('journal', 'parked');
    return rows.flatMap((row) =>
      row.parked === undefined || row.parked.settled ? [] : [{ ...row.parked, change: row.change }],
    );
  }
}
