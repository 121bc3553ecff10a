/**
 * The watches of a visit that count for no perch, since nobody said from where they were kept; a tap says it.
 * Not for: moving on (visiting_running.js).
 *
 * @typedef {import('./visiting_state.js').Running} State
 */

import { html } from '../doors/htm.js';
import { nameOf } from '../names.js';
import { Chips } from '../parts/chips.js';
import { Button } from '../parts/page.js';
import { say, sayable } from '../parts/snackbar.js';
import { clock } from '../times.js';
import { saved } from '../words.js';
import { visit as words } from '../words_visit.js';
import { msOf } from './visiting_state.js';

/** Answer the watches that the engine counts for no perch: nothing ties them to one. @param {Pick<State, 'watches'>} running */
export function lostOf({ watches }) {
  return watches.filter(({ values: v }) => !v.vantage && !v.perches?.length && !v.trail_camera);
}

/** @param {{notebook: import('../session.js').Notebook, running: State}} props */
export function Lost({ notebook, running }) {
  const { vantages, zone } = running;
  const choices = vantages.map((one) => ({ value: one.id, label: nameOf(one) }));
  const put = async (/** @type {import('../notebook/types.d.ts').Rec} */ watch, /** @type {string} */ vantage) => {
    try {
      const { group } = await notebook.save([{ kind: 'watch', record: watch.id, set: { vantage }, over: watch }], { label: words.vantage });
      sayable(notebook, group);
    } catch {
      say(saved.not_saved);
    }
  };
  return lostOf(running).map(
    (watch) => html`<section key=${watch.id}><p class="caution">${words.lost(clock(msOf(watch.values.start), zone))}</p>
      ${choices.length > 0 ? html`<${Chips} large label=${words.vantage} choices=${choices} value=${null} onPick=${(/** @type {string} */ one) => put(watch, one)} />` : html`<${Button} act=${{ label: words.new_vantage, to: 'vantage-here' }} />`}</section>`,
  );
}
