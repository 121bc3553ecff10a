/**
 * Where the notebook on this phone stands: what waits, what is safe, whether its store was lost.
 * Not for: single records (`reading`).
 *
 * @typedef {import('./types.d.ts').NotebookState} NotebookState
 * @typedef {import('./types.d.ts').SyncState} SyncState
 * @typedef {import('./store.js').Store} Store
 * @typedef {{at: number, fresh: 'lost' | 'new', told: boolean}} Born
 */

import { newId } from './ids.js';
import { NO_JOURNEY } from './journey.js';

/**
 * Answer this phone's id, and how it came by it. A store that has vanished gets a new one: the old one's
 * numbering is gone with it. A word kept outside the database tells a lost store from a first one.
 * @param {Store} store
 * @param {Storage | undefined} [outside]
 * @returns {Promise<{device: string, born: Born}>}
 */
export async function deviceOf(store, outside = outsideStorage()) {
  const db = await store.db();
  const [known, since] = await Promise.all([db.get('kv', 'device'), db.get('kv', 'born')]);
  if (known !== undefined && since !== undefined) {
    keepOutside(store, outside, known);
    return { device: known, born: since };
  }
  const tx = db.transaction('kv', 'readwrite', { durability: 'strict' });
  const [device, born] = await Promise.all([tx.store.get('device'), tx.store.get('born')]);
  const at = Date.now();
  const made = device ?? newId(at);
  /** @type {Born} */
  const how = born ?? { at, fresh: outside?.getItem(`${store.name}/device`) ? 'lost' : 'new', told: false };
  if (device === undefined) await Promise.all([tx.store.put(made, 'device'), tx.store.put(how, 'born')]);
  await tx.done;
  keepOutside(store, outside, made);
  return { device: made, born: how };
}

/** @param {Store} store @param {Storage | undefined} outside @param {string} device */
function keepOutside(store, outside, device) {
  try {
    outside?.setItem(`${store.name}/device`, device);
  } catch {
    // full or forbidden: then a loss cannot be told from a first opening
  }
}

/** @returns {Storage | undefined} */
function outsideStorage() {
  try {
    return globalThis.localStorage;
  } catch {
    return undefined;
  }
}

let asked_to_persist = false;

/** Ask the browser, once a page, to keep the store for good. */
export async function persistOnce() {
  if (asked_to_persist) return;
  asked_to_persist = true;
  try {
    if (!(await navigator.storage.persisted())) await navigator.storage.persist();
  } catch {
    // a browser without it: `persisted` stays null
  }
}

/**
 * @param {Store} store
 * @param {Born} born
 * @param {SyncState} sync
 * @returns {Promise<NotebookState>}
 */
export async function standing(store, born, sync) {
  const db = await store.db();
  const [waiting_changes, photos, parked, conflicts, journey = NO_JOURNEY, persisted, estimate] = await Promise.all([
    db.countFromIndex('journal', 'unsent'),
    db.getAllFromIndex('blob', 'waiting'),
    db.getAllFromIndex('journal', 'parked'),
    db.countFromIndex('record', 'conflicted'),
    db.get('kv', 'journey'),
    globalThis.navigator?.storage?.persisted?.() ?? null,
    globalThis.navigator?.storage?.estimate?.() ?? null,
  ]);
  return {
    waiting_changes,
    waiting_photos: photos.length,
    waiting_bytes: photos.reduce((bytes, row) => bytes + (row.waiting ?? 0), 0),
    parked: parked.filter((row) => !row.parked?.settled).length,
    conflicts,
    last_sync: journey.last_sync,
    epoch: journey.epoch,
    persisted,
    quota: estimate && { usage_bytes: estimate.usage ?? 0, quota_bytes: estimate.quota ?? 0 },
    fresh: born.told ? null : born.fresh,
    clock_off_ms: journey.epoch === null ? null : journey.offset_ms,
    sync,
  };
}
