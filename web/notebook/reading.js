/**
 * Records read back as they are shown, by index and never all of a large kind at once.
 * Not for: what the journal says about them (`history`), or writing anything.
 *
 * @typedef {import('./types.d.ts').Rec} Rec
 * @typedef {import('./types.d.ts').RecordRow} RecordRow
 * @typedef {import('./types.d.ts').Where} Where
 * @typedef {import('./store.js').Store} Store
 * @typedef {import('./kinds.js').Kinds} Kinds
 * @typedef {{site?: string, limit?: number, before?: Pick<Rec, 'when' | 'id'>}} Which
 */

import { keyOf } from './merge.js';
import { namesOf, refOf } from './rows.js';

const ORDER = ['phone', 'server', 'backed up'];
const PAGE = 100;
const ROWS_A_LOOK = 20;

/**
 * @param {Where} one
 * @param {Where} other
 */
const lesser = (one, other) => (ORDER.indexOf(one) < ORDER.indexOf(other) ? one : other);

export class Reading {
  /**
   * @param {Store} store
   * @param {Kinds} kinds
   */
  constructor(store, kinds) {
    this.store = store;
    this.kinds = kinds;
    /** What a backup covers; what is no longer shown because what it hangs on was deleted. */
    this.durable_seq = 0;
    /** @type {Promise<Map<string, string>> | undefined} */
    this.orphans = undefined;
  }

  /**
   * Answer the records of a kind that are shown, newest first.
   * @param {string} kind
   * @param {Which} [which]
   * @returns {Promise<Rec[]>}
   */
  async all(kind, which) {
    return this.#recs(await this.#rows(kind, which));
  }

  /**
   * @param {string} kind
   * @param {Which} [which]
   */
  async #rows(kind, { site, limit = Infinity, before } = {}) {
    if (site === undefined || this.kinds.fields.get(kind)?.has('site') !== false) return this.#listed(kind, site, limit, before);
    const below = await this.#below(kind, site);
    return below.filter((row) => before === undefined || isBefore(row, before)).slice(0, limit);
  }

  /**
   * @param {string} kind
   * @param {string | undefined} site
   * @param {number} limit
   * @param {Which['before']} before
   */
  async #listed(kind, site, limit, before) {
    const db = await this.store.db();
    /** @type {RecordRow[]} */
    const found = [];
    let last = before;
    for (let more = true; more && found.length < limit; ) {
      const start = site === undefined ? [kind] : [kind, site];
      const upper = last === undefined ? [...start, []] : [...start, last.when, last.id];
      const range = IDBKeyRange.bound(start, upper, true, true);
      if (limit === Infinity) {
        const reading = db.getAllFromIndex('record', site === undefined ? 'shown' : 'shown_at', range);
        const [rows, orphans] = await Promise.all([reading, this.#orphaned()]);
        return rows.filter((row) => !orphans.has(row.id)).reverse();
      }
      const wanted = Math.min(limit - found.length, PAGE);
      const reading = pageBackwards(db, site === undefined ? 'shown' : 'shown_at', range, wanted);
      const [page, orphans] = await Promise.all([reading, this.#orphaned()]);
      more = page.length === wanted;
      last = page.at(-1);
      found.push(...page.filter((row) => !orphans.has(row.id)));
    }
    return found;
  }

  /**
   * Answer the records of a kind that hang on a site by way of others.
   * @param {string} kind
   * @param {string} site
   */
  async #below(kind, site) {
    /** @type {Set<string>} */
    const refs = new Set();
    for (const [register, link] of this.kinds.links.get(kind) ?? []) {
      for (const parent_kind of link.refers_to) {
        if (parent_kind === kind || !this.#leadsToSite(parent_kind, new Set([kind]))) continue;
        for (const parent of await this.#rows(parent_kind, { site })) refs.add(refOf(kind, register, parent.id));
      }
    }
    const [db, orphans] = await Promise.all([this.store.db(), this.#orphaned()]);
    const every = IDBKeyRange.bound([kind], [kind, []]);
    // One look for each parent takes as long as some rows read in one go.
    const few = (await db.countFromIndex('record', 'shown', every)) <= ROWS_A_LOOK * refs.size;
    const rows = few
      ? await db.getAllFromIndex('record', 'shown', every)
      : (await Promise.all([...refs].map((ref) => db.getAllFromIndex('record', 'refs', ref)))).flat();
    const below = rows.filter((row) => row.shown !== undefined && !orphans.has(row.id) && row.refs.some((ref) => refs.has(ref)));
    return [...new Map(below.map((row) => [row.id, row])).values()].sort((one, other) => (isBefore(one, other) ? 1 : -1));
  }

  /**
   * @param {string} kind
   * @param {Set<string>} passed
   * @returns {boolean}
   */
  #leadsToSite(kind, passed) {
    const links = this.kinds.links.get(kind);
    if (links === undefined || passed.has(kind)) return false;
    if (links.has('site')) return true;
    const further = new Set([...passed, kind]);
    return [...links.values()].some((link) => link.refers_to.some((one) => this.#leadsToSite(one, further)));
  }

  /**
   * Answer a record, deleted or not; undefined where none of it has come.
   * @param {string} id
   * @returns {Promise<Rec | undefined>}
   */
  async get(id) {
    const range = IDBKeyRange.bound(keyOf('', id), keyOf('\uffff', id));
    const [row] = await (await this.store.db()).getAll('record', range, 1);
    return row === undefined ? undefined : (await this.#recs([row]))[0];
  }

  /**
   * Answer the shown records of a kind that name a record in a register, newest first.
   * @param {string} kind
   * @param {string} field
   * @param {string} value
   * @returns {Promise<Rec[]>}
   */
  async byIndex(kind, field, value) {
    if (!this.kinds.links.get(kind)?.has(field)) {
      throw new TypeError(`${kind}.${field} names no record, so there is no index of it; read all of ${kind}`);
    }
    const rows = await this.#linked(kind, field, value);
    return this.#recs(rows.sort((one, other) => (isBefore(one, other) ? 1 : -1)));
  }

  /**
   * @param {string} kind
   * @param {string} register
   * @param {string} id
   */
  async #linked(kind, register, id) {
    const [db, orphans] = await Promise.all([this.store.db(), this.#orphaned()]);
    const rows = await db.getAllFromIndex('record', 'refs', refOf(kind, register, id));
    return rows.filter((row) => row.shown !== undefined && !orphans.has(row.id));
  }

  /**
   * Count the records of a kind that are shown.
   * @param {string} kind
   */
  async count(kind) {
    const [db, orphans] = await Promise.all([this.store.db(), this.#orphaned()]);
    const all = await db.countFromIndex('record', 'shown', IDBKeyRange.bound([kind], [kind, []]));
    return all - [...orphans.values()].filter((one) => one === kind).length;
  }

  /**
   * Answer what has been deleted, newest first: to bring it back.
   * @returns {Promise<Rec[]>}
   */
  async deleted() {
    const rows = await (await this.store.db()).getAllFromIndex('record', 'hidden');
    return this.#recs(rows.sort((one, other) => (one.hlc < other.hlc ? 1 : -1)));
  }

  /** Look again at what hangs on what was deleted. */
  forget() {
    this.orphans = undefined;
  }

  /** Count what is hidden because what it hangs on was deleted. */
  async hidden() {
    return (await this.#orphaned()).size;
  }

  /**
   * Answer what is hidden because it cannot be without something that was deleted: id → kind. Nothing of
   * it was deleted itself, and it returns with what it hangs on.
   * @returns {Promise<Map<string, string>>}
   */
  #orphaned() {
    this.orphans ??= this.#findOrphans().catch((trouble) => {
      this.forget();
      throw trouble;
    });
    return this.orphans;
  }

  async #findOrphans() {
    const db = await this.store.db();
    let gone = (await db.getAllFromIndex('record', 'hidden')).map(({ kind, id }) => ({ kind, id }));
    /** @type {Map<string, string>} */
    const orphans = new Map();
    while (gone.length > 0) {
      const asked = gone.flatMap((one) =>
        this.kinds.dependents(one.kind).map((link) => refOf(link.kind, link.register, one.id)),
      );
      const rows = (await Promise.all(asked.map((ref) => db.getAllFromIndex('record', 'refs', ref)))).flat();
      gone = rows.filter((row) => row.shown !== undefined && !orphans.has(row.id));
      for (const row of gone) orphans.set(row.id, row.kind);
    }
    return orphans;
  }

  /**
   * @param {RecordRow[]} rows
   * @returns {Promise<Rec[]>}
   */
  async #recs(rows) {
    const named = [...new Set(rows.flatMap((row) => row.blob ?? []))];
    const db = await this.store.db();
    const blobs = await Promise.all(named.map((sha256) => db.get('blob', sha256)));
    const states = new Map(blobs.flatMap((blob) => (blob === undefined ? [] : [[blob.sha256, blob.state]])));
    return rows.map((row) => {
      const bytes = row.blob === undefined ? undefined : states.get(row.blob);
      const where = this.whereOf(row.seq);
      const { heads, screen } = namesOf(row);
      const { id, kind, values, conflict_count, deleted, edited_after_delete, hlc, when } = row;
      // The seq of its record proves nothing of a photo, for the bytes come later.
      const state = bytes === undefined ? where : lesser(where, bytes);
      return { id, kind, values, heads, screen, conflict_count, deleted, edited_after_delete, hlc, when, state };
    });
  }

  /**
   * @param {number | undefined} seq
   * @returns {Where}
   */
  whereOf(seq) {
    if (seq === undefined) return 'phone';
    return seq <= this.durable_seq ? 'backed up' : 'server';
  }
}

/**
 * Tell whether a record is listed after another.
 * @param {Pick<Rec, 'when' | 'id'>} one
 * @param {Pick<Rec, 'when' | 'id'>} other
 */
function isBefore(one, other) {
  return one.when < other.when || (one.when === other.when && one.id < other.id);
}

/**
 * @param {import('./store.js').Database} db
 * @param {'shown' | 'shown_at'} name
 * @param {IDBKeyRange} range
 * @param {number} wanted
 * @returns {Promise<RecordRow[]>}
 */
async function pageBackwards(db, name, range, wanted) {
  const index = db.transaction('record').store.index(name);
  // All at once where the browser can: a cursor goes to the page and back for every row.
  const atOnce = /** @type {{getAllRecords?: (asked: object) => Promise<{value: RecordRow}[]>}} */ (index);
  const asked = { query: range, count: wanted, direction: 'prev' };
  if (atOnce.getAllRecords) return (await atOnce.getAllRecords(asked)).map((row) => row.value);
  const rows = [];
  for (let at = await index.openCursor(range, 'prev'); at && rows.length < wanted; at = await at.continue()) {
    rows.push(at.value);
  }
  return rows;
}
