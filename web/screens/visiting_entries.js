/**
 * Everything that was written in a visit, the latest first, each with its Change and its Undo; and what it lacks.
 * Not for: the records' own pages.
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('./visiting_state.js').Running} State
 * @typedef {{rec: Rec, register: string | null, at_ms: number, text: string}} Entry register: the one whose Save it was, null: that which made the record
 */

import { html } from '../doors/htm.js';
import { choicesOf, nameOf } from '../names.js';
import { Chips } from '../parts/chips.js';
import { say, sayable } from '../parts/snackbar.js';
import { address } from '../route.js';
import { clock } from '../times.js';
import { distance, number } from '../units.js';
import { kinds, saved } from '../words.js';
import { visit as words } from '../words_visit.js';
import { msOf } from './visiting_state.js';

/** @param {{notebook: import('../session.js').Notebook, running: State, named: (id: string | undefined) => string}} props */
export function Entries({ notebook, running, named }) {
  const entries = entriesOf(running, named);
  return html`<section class="entries"><h2>${words.entries}</h2><ul class="rows">
    ${entries.map(
      (one) => html`<li class="logged" key=${`${one.rec.id}/${one.register ?? ''}`}>
        <a class="row" href=${address(`edit/${one.rec.kind}/${one.rec.id}`)} aria-label=${`${clock(one.at_ms, running.zone)} ${one.text}. ${words.change}`}><span class="row-title"><time>${clock(one.at_ms, running.zone)}</time> ${one.text}</span></a>
        <button type="button" class="act other" aria-label=${`${words.undo}: ${one.text}`} onClick=${() => void takeBack(notebook, one)}>${words.undo}</button>
      </li>`,
    )}
  </ul></section>`;
}

/** Answer the watches that count for no perch, since nothing ties them to one. @param {Pick<State, 'watches'>} running */
export function lostOf({ watches }) {
  return watches.filter(({ values: v }) => !v.vantage && !v.perches?.length && !v.trail_camera);
}

/** Those watches, and the tap that says from where each was kept. @param {{notebook: import('../session.js').Notebook, running: State}} props */
export function Lost({ notebook, running }) {
  const { vantages, zone } = running;
  const put = (/** @type {Rec} */ watch, /** @type {string} */ vantage) =>
    notebook.save([{ kind: 'watch', record: watch.id, set: { vantage }, over: watch }], { label: words.vantage }).then(({ group }) => sayable(notebook, group), () => say(saved.not_saved));
  return lostOf(running).map(
    (watch) => html`<section key=${watch.id}><p class="caution">${words.lost(clock(msOf(watch.values.start), zone))}</p>
      ${vantages.length > 0 ? html`<${Chips} large label=${words.vantage} choices=${choicesOf(vantages)} value=${null} onPick=${(/** @type {string} */ one) => put(watch, one)} />` : html`<a class="act other" href=${address('vantage-here')}>${words.new_vantage}</a>`}</section>`,
  );
}

/**
 * Answer what was written, the latest first.
 * @param {State} running
 * @param {(id: string | undefined) => string} named
 * @returns {Entry[]}
 */
export function entriesOf({ visit, watches, sightings, reactions, beside }, named) {
  /** @type {Entry[]} */
  const found = [];
  const put = (/** @type {Rec} */ rec, /** @type {string | null} */ register, /** @type {any} */ moment, /** @type {(string | false | undefined)[]} */ ...parts) => {
    const at_ms = msOf(moment);
    if (!Number.isNaN(at_ms)) found.push({ rec, register, at_ms, text: parts.filter(Boolean).join(' · ') });
  };
  const { values: v } = visit;
  put(visit, null, v.start, words.begun);
  for (const [place, watch] of watches.entries()) {
    const { start, end, vantage, quiet_from, end_unsure } = watch.values;
    const from = vantage === undefined ? words.vantage_unknown : named(vantage);
    const before = watches[place - 1];
    // The first watch begins with its visit, one after a disturbance where that was: neither is a thing of its own.
    if (before !== undefined && before.values.vantage !== vantage) put(watch, null, start, words.moved, from);
    if (quiet_from !== undefined) put(watch, before !== undefined && msOf(quiet_from) >= msOf(start) && before.values.vantage === vantage ? null : 'quiet_from', quiet_from, words.quiet, from);
    if (end !== undefined && v.end === undefined && place === watches.length - 1) put(watch, 'end', end, words.watch_ends, end_unsure && words.unsure);
  }
  for (const one of sightings) {
    const { species, how, count, perch, time_in, time_out, behaviour } = one.values;
    const name = `${count > 1 ? `${number(count, 0)} ` : ''}${named(species)}`;
    put(one, null, time_in, name, how, perch && named(perch), behaviour);
    put(one, 'time_out', time_out, words.goes(name));
  }
  for (const one of reactions) put(one, null, one.values.at, words.noted(named(one.values.species), one.values.what), typeof one.values.distance_m === 'number' && distance(one.values.distance_m));
  for (const one of beside) put(one, null, one.values.at, ...besideWords(one, named));
  put(visit, 'end', v.end, words.over, v.end_unsure && words.unsure);
  return found.map((one, place) => ({ ...one, place })).sort((one, other) => other.at_ms - one.at_ms || other.place - one.place);
}

/** @param {Rec} rec @param {(id: string | undefined) => string} named @returns {string[]} */
function besideWords(rec, named) {
  if (rec.kind === 'skyline') return [String(rec.values.source), named(rec.values.pin)];
  return [kinds[rec.kind]?.one ?? rec.kind, rec.kind === 'light_reading' ? number(Number(rec.values.ev100), 1) : nameOf(rec)];
}

/**
 * Take back the Save that an entry came from, with the way back from that too.
 * @param {import('../session.js').Notebook} notebook
 * @param {Entry} entry
 */
async function takeBack(notebook, { rec, register }) {
  try {
    const story = await notebook.history(rec.id); // the newest first
    const item = register === null ? story.at(-1) : story.find(({ change }) => change.set[register] !== undefined && change.set[register] !== null);
    const group = item?.change.group;
    if (group === undefined) return say(saved.not_undone);
    // A watch is not to go from under what was seen in it.
    if (register === null && (await isLeantOn(notebook, rec))) return say(words.hangs);
    const undone = await notebook.undo(group);
    const said = undone.left.length === 0 ? saved.undone : saved.undone_in_part;
    say(said, undone.group === undefined ? undefined : () => notebook.undo(/** @type {string} */ (undone.group)));
  } catch {
    say(saved.not_undone);
  }
}

/**
 * Tell whether anything was written in a watch or came after it, or in a visit.
 * @param {import('../session.js').Notebook} notebook
 * @param {Rec} rec
 */
async function isLeantOn(notebook, rec) {
  const visit = rec.kind === 'visit' ? rec.id : rec.kind === 'watch' ? rec.values.visit : undefined;
  if (visit === undefined) return false;
  const watches = await notebook.byIndex('watch', 'visit', visit);
  const mine = rec.kind === 'visit' ? watches : [rec];
  if (rec.kind === 'visit' ? watches.length > 1 : watches.some((one) => one.when > rec.when)) return true;
  const below = await Promise.all(mine.flatMap((one) => [notebook.byIndex('sighting', 'watch', one.id), notebook.byIndex('reaction', 'watch', one.id)]));
  return below.some((some) => some.length > 0);
}
