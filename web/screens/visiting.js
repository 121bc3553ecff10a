/**
 * A visit: not begun, running, left without an end, or just ended; which of them, the notebook says.
 * Not for: each of those (visiting_start, visiting_running, visiting_left, visiting_ended).
 */

import { html } from '../doors/htm.js';
import { Page } from '../parts/page.js';
import { useRecords } from '../session.js';
import { visit as words } from '../words_visit.js';
import { Ended } from './visiting_ended.js';
import { Left, isForgotten } from './visiting_left.js';
import { Running } from './visiting_running.js';
import { Start } from './visiting_start.js';
import { ownVisit, readVisit } from './visiting_state.js';
import './visit_styles.js';

/** @param {import('../types.d.ts').ScreenProps} props `query.visit`: another one than that which runs on this phone */
export function Screen({ notebook, query }) {
  const found = useRecords(notebook, () => look(notebook, query.visit), [query.visit]);
  if (found === undefined) return html`<${Page} title=${words.title} up="write" />`;
  const { running, still_ms } = found;
  if (running === null) return html`<${Start} notebook=${notebook} query=${query} />`;
  if (running.visit.values.end !== undefined) return html`<${Ended} notebook=${notebook} running=${running} />`;
  if (isForgotten(running, still_ms, Date.now())) return html`<${Left} notebook=${notebook} running=${running} />`;
  return html`<${Running} notebook=${notebook} running=${running} key=${running.visit.id} />`;
}

/** @param {import('../session.js').Notebook} notebook @param {string | undefined} wanted */
async function look(notebook, wanted) {
  const id = wanted ?? (await ownVisit(notebook))?.id;
  const running = id === undefined ? null : await readVisit(notebook, id);
  const still = await notebook.setting('still_here');
  return { running, still_ms: still?.visit === running?.visit.id ? Number(still?.at) : NaN };
}
