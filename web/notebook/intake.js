/**
 * Taking in by the hundred what the server answered: pulled changes, and what became of pushed ones. Runs
 * in the worker (`applying.js`), and in the page where there is none.
 *
 * A transaction takes 200 changes, so that a Save in the page waits for one of them at most. Everything
 * here may be done twice. Not for: what a person writes (`writing`), or HTTP (`sync`).
 *
 * @typedef {import('./types.d.ts').Pulled} Pulled
 * @typedef {import('./types.d.ts').Answer} Answer
 * @typedef {import('./types.d.ts').Journey} Journey
 * @typedef {import('./types.d.ts').JournalRow} JournalRow
 * @typedef {import('./types.d.ts').Edit} Edit
 * @typedef {import('./store.js').Database} Database
 * @typedef {import('./kinds.js').Kinds} Kinds
 * @typedef {import('./merge.js').Held} Held
 * @typedef {import('./writing.js').Transaction} Transaction
 * @typedef {(kinds: string[], records: string[]) => void} Tell
 */

import { putJourney } from './journey.js';
import { applyTo } from './merge.js';
import { editIn, fromJournal, getMany, heldRecords, inOne, putMany, putRecords } from './records.js';
import { journalRowOf } from './rows.js';

const AT_ONCE = 200;

/**
 * Take in a page of pulled changes; the cursor moves with the last of them.
 * @param {Database} db
 * @param {Kinds} kinds
 * @param {Pulled[]} pulled
 * @param {Partial<Journey>} journey
 * @param {Tell} tell
 */
export async function takePulled(db, kinds, pulled, journey, tell) {
  for (let start = 0; start < pulled.length || start === 0; start += AT_ONCE) {
    const some = pulled.slice(start, start + AT_ONCE);
    const last = start + AT_ONCE >= pulled.length;
    const keys = await inOne(db, async (tx) => {
      const keys = await takeSome(tx, kinds, some);
      if (last) await putJourney(tx, journey);
      return keys;
    });
    tellOf(keys, tell);
  }
}

/**
 * @param {Transaction} tx
 * @param {Kinds} kinds
 * @param {Pulled[]} pulled
 */
async function takeSome(tx, kinds, pulled) {
  const journal = tx.objectStore('journal');
  const [held_rows, parked_ids] = await Promise.all([
    getMany(tx, 'journal', pulled.map(({ change }) => change.id)),
    journal.index('parked').getAllKeys(),
  ]);
  const parked = new Set(parked_ids);
  const seqs = new Map(pulled.map(({ seq, change }) => [change.id, seq]));
  /** @type {Map<string, Edit>} */
  const edits = new Map();
  const keys = new Map();
  /** @type {JournalRow[]} */
  const rows = [];
  pulled.forEach(({ seq, change }, place) => {
    const row = held_rows[place];
    const edit = editIn(kinds, change);
    if (edit !== undefined) keys.set(edit.key, edit);
    if (row === undefined || row.parked !== undefined) {
      if (edit !== undefined) edits.set(edit.id, edit);
    } else if (row.seq === seq) {
      return;
    }
    rows.push(row === undefined ? journalRowOf(change, { seq }) : sent(row, seq));
  });
  const records = await heldRecords(tx, keys);
  const known = await knownBefore(tx, edits, records, parked);
  for (const edit of edits.values()) {
    const held = records.get(edit.key);
    if (held !== undefined) applyTo(held, edit, known);
    known.add(edit.id);
  }
  putMany(tx, 'journal', rows);
  putRecords(tx, kinds, keys, records, seqs);
  return keys;
}

/**
 * Answer which of the changes named as bases were taken in before these.
 * @param {Transaction} tx
 * @param {Map<string, Edit>} edits
 * @param {Map<string, Held>} records
 * @param {Set<string>} parked
 */
async function knownBefore(tx, edits, records, parked) {
  const asked = new Set();
  for (const edit of edits.values()) {
    const held = records.get(edit.key);
    for (const [name, ids] of edit.base) {
      for (const id of ids) if (!edits.has(id) && !held?.heads.get(name)?.has(id)) asked.add(id);
    }
  }
  const ids = [...asked];
  const found = await getMany(tx, 'journal', ids);
  return new Set(ids.filter((id, place) => found[place] !== undefined && !parked.has(id)));
}

/**
 * Take in what became of pushed (or offered) changes, by position.
 * @param {Database} db
 * @param {Kinds} kinds
 * @param {string[]} ids
 * @param {Answer[]} answers
 * @param {{furthest?: string | null, at: number}} about
 * @param {Tell} tell
 */
export async function takeAnswers(db, kinds, ids, answers, { furthest, at }, tell) {
  for (let start = 0; start < ids.length; start += AT_ONCE) {
    const some = ids.slice(start, start + AT_ONCE);
    const keys = await inOne(db, async (tx) => {
      const rows = await getMany(tx, 'journal', some);
      const keys = new Map();
      const again = new Set();
      const seqs = new Map();
      /** @type {JournalRow[]} */
      const changed = [];
      for (const [place, row] of rows.entries()) {
        const answer = answers[start + place];
        if (row === undefined || answer === undefined || answer.status === 'retry') continue;
        const edit = editIn(kinds, row.change);
        if (edit !== undefined) keys.set(edit.key, edit);
        if (answer.status === 'quarantined') {
          if (row.seq !== undefined || row.parked !== undefined) continue; // it has come in by another way
          changed.push(setAside(row, answer, at));
          if (edit !== undefined) again.add(edit.key);
        } else if (answer.seq !== undefined) {
          seqs.set(row.id, answer.seq);
          changed.push(sent(row, answer.seq));
          if (row.parked !== undefined && edit !== undefined) again.add(edit.key);
        }
      }
      putMany(tx, 'journal', changed);
      const records = await heldRecords(tx, keys);
      for (const key of again) {
        const edit = keys.get(key);
        records.set(key, await fromJournal(tx, kinds, edit.kind, edit.record, seqs));
      }
      putRecords(tx, kinds, keys, records, seqs);
      if (furthest !== undefined && furthest !== null && start + AT_ONCE >= ids.length) {
        await putJourney(tx, { furthest });
      }
      return keys;
    });
    tellOf(keys, tell);
  }
}

/**
 * @param {JournalRow} row
 * @param {number} seq
 * @returns {JournalRow}
 */
function sent({ unsent: _, parked: __, ...row }, seq) {
  return { ...row, seq };
}

/**
 * @param {JournalRow} row
 * @param {Answer} answer
 * @param {number} at
 * @returns {JournalRow}
 */
function setAside({ unsent: _, ...row }, { code = 'unknown', field, message }, at) {
  return { ...row, parked: { code, field, message, at } };
}

/**
 * @param {Map<string, {kind: string, record: string}>} keys
 * @param {Tell} tell
 */
function tellOf(keys, tell) {
  if (keys.size === 0) return;
  const named = [...keys.values()];
  tell([...new Set(named.map(({ kind }) => kind))], named.map(({ record }) => record));
}
