/**
 * A visit without an end in which nothing was written for hours: when did you leave? Nothing is guessed for it.
 * Not for: a visit that runs (visiting_running.js).
 *
 * @typedef {import('./visiting_state.js').Running} State
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { nameOf } from '../names.js';
import { Chips } from '../parts/chips.js';
import { Page } from '../parts/page.js';
import { say, sayable } from '../parts/snackbar.js';
import { Typed } from '../parts/typed.js';
import { go } from '../route.js';
import { dateOf, instantOf, laterDate, moment, readClock } from '../times.js';
import { saved } from '../words.js';
import { forgotten as words, visit as visit_words } from '../words_visit.js';
import { endEdits } from './visiting_edits.js';
import { FORGOTTEN_MS, msOf } from './visiting_state.js';

/**
 * Tell whether an open visit is one that was forgotten.
 * @param {State} running
 * @param {number} still_ms when somebody last said that they are still there, NaN: never
 * @param {number} now_ms
 */
export function isForgotten({ last_ms }, still_ms, now_ms) {
  return now_ms - Math.max(last_ms, Number.isNaN(still_ms) ? 0 : still_ms) > FORGOTTEN_MS;
}

/** @param {{notebook: import('../session.js').Notebook, running: State}} props */
export function Left({ notebook, running }) {
  const { visit, site, zone, last_ms } = running;
  const [typed, setTyped] = useState('');
  const [is_sure, setSure] = useState(true);
  const [wrong, setWrong] = useState('');
  const start_ms = msOf(visit.values.start);
  /** @param {number} at_ms @param {boolean} is_unsure */
  const left = async (at_ms, is_unsure) => {
    const text = is_unsure ? words.saved_unsure : words.saved(moment(at_ms, zone));
    try {
      const { group } = await notebook.save(endEdits(running, at_ms, { source: 'person', is_unsure }), { label: text });
      sayable(notebook, group, `${text} · ${saved.on_phone}`);
      go('visiting', { query: { visit: visit.id }, instead: true });
    } catch {
      say(saved.not_saved);
    }
  };
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    const at_ms = leftAt(typed, start_ms, zone);
    if (at_ms === null) return setWrong(words.not_time);
    if (at_ms < Math.floor(last_ms / 60_000) * 60_000) return setWrong(words.too_soon(moment(last_ms, zone)));
    if (at_ms > Date.now()) return setWrong(words.too_late(moment(Date.now(), zone)));
    void left(at_ms, !is_sure);
  };
  const still = () => void notebook.keepSetting('still_here', { visit: visit.id, at: Date.now() }).then(() => go('visiting', { query: { still: String(Date.now()) }, instead: true }));
  return html`<${Page} title=${words.title} lead=${words.lead(site ? nameOf(site) : visit_words.title, moment(start_ms, zone))} up="write">
    <div class="big-acts one">
      <button type="button" class="act large" onClick=${() => void left(last_ms, false)}>${words.last(moment(last_ms, zone))}</button>
      <button type="button" class="act large" onClick=${() => void left(last_ms, true)}>${words.unknown}</button>
      <button type="button" class="act large" onClick=${still}>${words.still}</button>
    </div>
    <form class="left-at" onSubmit=${send}>
      <label class="search" for="left-at"><span>${words.typed_label}</span><${Typed} id="left-at" kind="clock" value=${typed} placeholder=${words.typed_like} invalid=${wrong !== ''} describedBy="left-wrong" onText=${(/** @type {string} */ text) => { setTyped(text); setWrong(''); }} /></label>
      <p id="left-wrong" class="wrong" role="alert">${wrong}</p>
      <p class="soft" id="left-sure">${words.sure}</p><${Chips} large needed labelled="left-sure" choices=${words.sures} value=${is_sure} onPick=${setSure} />
      <div class="acts"><button type="submit" class="act large">${words.save}</button></div>
    </form>
  </${Page}>`;
}

/**
 * Answer the first such time of day after a visit began; null where no time was typed.
 * @param {string} typed
 * @param {number} start_ms
 * @param {string} zone
 */
export function leftAt(typed, start_ms, zone) {
  const minutes = readClock(typed);
  if (minutes === null) return null;
  const date = dateOf(start_ms, zone);
  const at_ms = instantOf(date, minutes, zone);
  // A start within the same minute is not a day ago.
  return at_ms >= Math.floor(start_ms / 60_000) * 60_000 ? at_ms : instantOf(laterDate(date, 1), minutes, zone);
}
