/**
 * Cards and cells of the coming fourteen days computed while nothing else is to do, and kept: they are there
 * when there is no signal and the engine sleeps. The nearest come first; what is current is not done again.
 * Not for: showing them.
 *
 * @typedef {import('../notebook/notebook.js').Notebook} Notebook
 * @typedef {import('./engine.js').Engine} Engine
 */

import { dateOf, laterDate } from '../times.js';
import { SESSIONS, cardRequest, choiceRequest } from './asking.js';
import { gatheringOf } from './gathering.js';
import { NoAnswer } from './engine.js';
import { DAYS_AHEAD, cardSubject, cellSubject, chosen, meantAt } from './plans.js';
import { withPresence } from './presence.js';

const SETTLE_MS = 20_000;
const BREATH_MS = 50;
const MOST_SITES = 12;

/** Keep them computed. Answers how to stop. @param {Notebook} notebook @param {Engine} engine */
export function keepAhead(notebook, engine) {
  let is_stopped = false;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  const stop = () => is_stopped || document.visibilityState === 'hidden';
  const soon = (/** @type {number} */ ms) => {
    clearTimeout(timer);
    timer = setTimeout(() => void computeAhead(notebook, engine, stop).catch(() => {}), ms);
  };
  const ended = notebook.subscribe(({ kinds }) => kinds.size > 0 && soon(SETTLE_MS));
  const seen = () => document.visibilityState === 'visible' && soon(SETTLE_MS);
  document.addEventListener('visibilitychange', seen);
  soon(0);
  return () => {
    is_stopped = true;
    clearTimeout(timer);
    ended();
    document.removeEventListener('visibilitychange', seen);
  };
}

/**
 * Compute what is not current once over. Answers how many answers are kept for the coming days.
 * @param {Notebook} notebook
 * @param {Engine} engine
 * @param {() => boolean} [stop]
 * @param {number} [days]
 */
export async function computeAhead(notebook, engine, stop = () => false, days = DAYS_AHEAD) {
  await engine.answers.dropBefore(laterDate(dateOf(Date.now(), 'UTC'), -2)).catch(() => {});
  let kept = 0;
  for await (const { name, request, subject, on } of asksAhead(notebook, engine, days)) {
    if (stop()) return kept;
    try {
      await engine.ask(name, request, { subject, until: on, behind: true });
      kept += 1;
    } catch (trouble) {
      // Where nobody can answer one, nobody can answer the rest; a refusal is said where a person opens it.
      if (trouble instanceof NoAnswer) return kept;
    }
    await new Promise((resolve) => setTimeout(resolve, BREATH_MS));
  }
  return kept;
}

/** What the coming days ask, the nearest first. @param {Notebook} notebook @param {Engine} engine @param {number} days */
export async function* asksAhead(notebook, engine, days) {
  const gathering = gatheringOf(notebook);
  const [{ site: sites = [] }, meant] = await Promise.all([gathering.everywhere(), chosen(notebook)]);
  const order = [...sites].sort((one, other) => Number(other.id === meant.site) - Number(one.id === meant.site)).slice(0, MOST_SITES);
  for (let ahead = 0; ahead < days; ahead += 1) {
    for (const site of order) {
      const records = await gathering.at(site.id);
      const { species, also, kit } = meantAt(records, site.id, meant);
      if (species === undefined || kit === undefined || (records.sightline ?? []).length === 0) continue;
      const on = laterDate(dateOf(Date.now(), site.zone), ahead);
      for (const session of SESSIONS) {
        const wanted = { site: site.id, species, also, kit, on, session };
        const known = await withPresence(records, wanted, { behind: true, asking: engine });
        yield { name: 'outing_card', request: cardRequest(records, known), subject: cardSubject(wanted), on };
        yield { name: 'choice_table', request: choiceRequest(records, known, 1), subject: cellSubject(wanted), on };
      }
    }
  }
}
