/**
 * What records are called in lists, with the names of what they hang on: those are read once and kept until
 * one of them changes. Not for: names of records that stand for themselves (names.js).
 *
 * @typedef {import('./notebook/types.d.ts').Rec} Rec
 * @typedef {import('./session.js').Notebook} Notebook
 */

import { nameOf } from './names.js';
import { onePer } from './session.js';
import { clock, moment } from './times.js';
import { bearing, number } from './units.js';
import { kinds } from './words.js';
import { records as words, record as record_words } from './words_book.js';

const DEEPEST = 3;
const ID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;

/** The titles of a notebook. */
export const titlesOf = onePer((/** @type {Notebook} */ notebook) => new Titles(notebook));

export class Titles {
  /** @type {Map<string, {title: string, zone: string | undefined}>} */
  #known = new Map();

  /** @param {Notebook} notebook */
  constructor(notebook) {
    this.notebook = notebook;
    // Another record's title may be made of the one that changed; they are few, so all are read again.
    notebook.subscribe(({ records }) => records.size > 0 && this.#known.clear());
  }

  /** Read the names of all that records hang on. @param {readonly Rec[]} recs @param {number} [deep] */
  async learn(recs, deep = 0) {
    const wanted = new Set(recs.flatMap((rec) => this.#namedBy(rec)));
    const missing = [...wanted].filter((id) => !this.#known.has(id));
    const found = (await Promise.all(missing.map((id) => this.notebook.get(id)))).filter((rec) => rec !== undefined);
    if (deep < DEEPEST && found.length > 0) await this.learn(found, deep + 1);
    for (const rec of found) this.#known.set(rec.id, { title: this.of(rec).title, zone: this.zoneOf(rec) });
  }

  /** Answer the title of a record by its id, where it was learnt. @param {string} id @returns {string | undefined} */
  name(id) {
    return this.#known.get(id)?.title;
  }

  /** Answer the zone of a record's place. @param {Rec} rec @returns {string | undefined} */
  zoneOf({ values }) {
    if (typeof values.zone === 'string') return values.zone;
    const named = ['site', 'vantage', 'perch', 'visit', 'watch', 'sightline', 'pin'].map((link) => this.#known.get(values[link])?.zone);
    return named.find((zone) => zone !== undefined);
  }

  /** Write a record's title and the line beneath it. @param {Rec} rec @returns {{title: string, note: string}} */
  of(rec) {
    const { kind, values: v } = rec;
    const name = (/** @type {any} */ id) => (id === undefined ? '' : (this.name(id) ?? record_words.not_here));
    const at = (/** @type {any} */ value) => this.#moment(value, rec);
    const told = (/** @type {any[]} */ ...parts) => parts.filter((part) => part !== undefined && part !== '').join(' · ');
    const one = kinds[kind]?.one ?? kind;
    switch (kind) {
      case 'site':
        return { title: nameOf(rec), note: told(v.code_name) };
      case 'perch':
      case 'landmark':
        return { title: nameOf(rec), note: told(v.kind, name(v.site)) };
      case 'vantage':
        return { title: nameOf(rec), note: told(v.cover, v.support, name(v.site)) };
      case 'sightline':
        return { title: `${name(v.vantage)} → ${name(v.perch)}`, note: told(v.light_wanted) };
      case 'visit':
        return { title: name(v.site), note: told(this.#span(v.start, v.end, rec), v.end_unsure && words.end_unsure, v.sky) };
      case 'watch':
        return { title: name(v.vantage) || one, note: told(this.#span(v.start, v.end, rec)) };
      case 'sighting':
        return { title: told([v.count > 1 ? number(v.count, 0) : '', name(v.species)].filter(Boolean).join(' '), v.how === 'seen' ? '' : v.how), note: told(at(v.time_in), name(v.perch), v.behaviour) };
      case 'reaction':
        return { title: told(name(v.species), v.what), note: told(at(v.at)) };
      case 'light_reading':
        return { title: `${one} ${typeof v.ev100 === 'number' ? number(v.ev100, 1) : ''}`, note: told(at(v.at), name(v.perch) || name(v.site), typeof v.facing_deg === 'number' ? bearing(v.facing_deg) : '') };
      case 'note':
        return { title: nameOf(rec), note: told(at(v.at), name(v.pin) || name(v.site)) };
      case 'photo':
        return { title: nameOf(rec), note: told(at(v.at), name(v.pin) || name(v.site)) };
      case 'permission':
        return { title: nameOf(rec), note: told(name(v.site), v.ends_on) };
      case 'tag':
        return { title: nameOf(rec), note: told(name(v.record)) };
      case 'species':
      case 'kit':
        return { title: nameOf(rec), note: told(v.animal) };
      default: {
        const on = name(v.pin ?? v.perch ?? v.vantage ?? v.sightline ?? v.site);
        return { title: on === '' || v.name !== undefined ? nameOf(rec) : on, note: told(v.source, v.kind, at(v.at)) };
      }
    }
  }

  /** Answer everything of a record that can be searched, in small letters. @param {Rec} rec */
  text(rec) {
    const { title, note } = this.of(rec);
    const own = Object.entries(rec.values).flatMap(([name, value]) => (name === 'id' || name === 'blob' ? [] : textsIn(value)));
    return [title, note, ...own.filter((text) => !ID.test(text))].join('\n').toLowerCase();
  }

  /** @param {Rec} rec */
  #namedBy({ values }) {
    return Object.entries(values).flatMap(([name, value]) => (name === 'id' ? [] : textsIn(value).filter((text) => ID.test(text))));
  }

  /** @param {any} value @param {Rec} rec */
  #moment(value, rec) {
    const at = atOf(value);
    const at_ms = Date.parse(at);
    return Number.isNaN(at_ms) ? '' : safely(() => moment(at_ms, value.zone ?? this.zoneOf(rec)), at);
  }

  /** @param {any} start @param {any} end @param {Rec} rec */
  #span(start, end, rec) {
    const from = this.#moment(start, rec);
    const end_ms = Date.parse(atOf(end));
    if (from === '') return '';
    if (Number.isNaN(end_ms)) return `${from}, ${words.open}`;
    return `${from}–${safely(() => clock(end_ms, end.zone ?? this.zoneOf(rec)), atOf(end))}`;
  }
}

/** Answer the instant of a moment, as a group or in its short form. @param {any} value @returns {string} */
function atOf(value) {
  return typeof value === 'string' ? value : String(value?.at ?? '');
}

/** @param {any} value @returns {string[]} */
function textsIn(value) {
  if (typeof value === 'string') return [value];
  if (Array.isArray(value)) return value.flatMap(textsIn);
  return value && typeof value === 'object' ? Object.values(value).flatMap(textsIn) : [];
}

/** A zone that no clock knows must not hide the record. @param {() => string} work @param {string} otherwise */
function safely(work, otherwise) {
  try {
    return work();
  } catch {
    return otherwise;
  }
}
