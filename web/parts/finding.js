/**
 * Searching the words of records: read through once in small pages, so that taps are answered meanwhile; kept
 * until something changes, so that the next letter costs nothing. Not for: showing what was found (rows.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('../session.js').Notebook} Notebook
 * @typedef {{id: string, text: string}} Line
 * @typedef {{lines: Line[], last: Rec | undefined, done: boolean}} Read
 * @typedef {{recs: Rec[], looked: number, all: number, more: boolean, done: boolean}} Found
 */

import { onePer } from '../session.js';
import { titlesOf } from '../titles.js';

const PAGE = 100;
const LINES_AT_ONCE = 4000;

export const findingOf = onePer((/** @type {Notebook} */ notebook) => new Finding(notebook));

export class Finding {
  /** @type {Map<string, Read>} */
  #read = new Map();

  /** @param {Notebook} notebook */
  constructor(notebook) {
    this.notebook = notebook;
    this.titles = titlesOf(notebook);
    notebook.subscribe(({ records }) => records.size > 0 && this.#read.clear());
  }

  /**
   * Look for records with all words of `asked`, the newest first in each kind. Tells of what it has found
   * as it goes; stops when there is enough, or when the signal says so.
   * @param {readonly string[]} kinds
   * @param {string} asked
   * @param {{enough: number, signal: AbortSignal, onFound: (found: Found) => void}} how
   */
  async look(kinds, asked, { enough, signal, onFound }) {
    const words = asked.toLowerCase().split(/\s+/).filter(Boolean);
    const counts = await Promise.all(kinds.map((kind) => this.notebook.count(kind)));
    const all = counts.reduce((sum, count) => sum + count, 0);
    /** @type {Rec[]} */
    const recs = [];
    let looked = 0;
    let told = 0;
    const tell = (/** @type {boolean} */ done, /** @type {boolean} */ more) => {
      told = looked;
      onFound({ recs: [...recs], looked: Math.min(looked, all), all, more, done });
    };
    for (const kind of kinds) {
      for await (const lines of this.#linesOf(kind)) {
        if (signal.aborted) return;
        looked += lines.length;
        const hits = lines.filter(({ text }) => words.every((word) => text.includes(word)));
        for (const { id } of hits.slice(0, enough + 1 - recs.length)) {
          const rec = await this.notebook.get(id);
          if (rec !== undefined && !rec.deleted) recs.push(rec);
        }
        if (signal.aborted) return;
        if (recs.length > enough) {
          await this.titles.learn(recs);
          return void (recs.splice(enough), tell(true, true));
        }
        if (hits.length > 0) await this.titles.learn(recs);
        if (hits.length > 0 || looked - told >= 1000) tell(false, false);
      }
    }
    if (!signal.aborted) tell(true, false);
  }

  /**
   * Answer the lines of a kind in parts: those read before, then the rest page by page.
   * @param {string} kind
   * @returns {AsyncGenerator<Line[]>}
   */
  async *#linesOf(kind) {
    const read = this.#read.get(kind) ?? { lines: [], last: undefined, done: false };
    this.#read.set(kind, read);
    let place = 0;
    for (;;) {
      while (place < read.lines.length) {
        const part = read.lines.slice(place, place + LINES_AT_ONCE);
        place += part.length;
        yield part;
        if (place < read.lines.length) await breath();
      }
      if (read.done) return;
      await this.#readOn(kind, read);
      await breath();
    }
  }

  /** @param {string} kind @param {Read} read */
  async #readOn(kind, read) {
    const { last } = read;
    const page = await this.notebook.all(kind, { limit: PAGE, ...(last && { before: last }) });
    await this.titles.learn(page);
    if (read.last !== last) return; // another search has read this page meanwhile
    read.last = page.at(-1) ?? last;
    read.done = page.length < PAGE;
    for (const rec of page) read.lines.push({ id: rec.id, text: this.titles.text(rec) });
  }
}

/** Let taps and paint come first. */
function breath() {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      port1.close();
      resolve(undefined);
    };
    port2.postMessage(null);
  });
}
