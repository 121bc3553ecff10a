/**
 * The map with sightlines that answer for a chosen moment, by the cards of the site in view and what was typed for
 * them. Not for: the map itself (map.js).
 */

import { html } from '../doors/htm.js';
import { useCallback } from '../doors/preact.js';
import { cardRequest } from '../engine/asking.js';
import { NoAnswer, engine } from '../engine/engine.js';
import { gatheringOf } from '../engine/gathering.js';
import { answerAt, caseOf } from '../engine/moments.js';
import { besides, cardSubject, chosen, meantAt, notCounted, typedFor } from '../engine/plans.js';
import { withPresence } from '../engine/presence.js';
import { card as words } from '../words_outing.js';
import { ageOf, anyOf, useEngine } from './answered.js';
import { Screen as MapScreen } from './map.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params, query }) {
  const is_ready = useEngine().phase === 'ready';
  const answerFor = useCallback((/** @type {import('../engine/moments.js').Asked} */ asked, /** @type {string} */ site) => answer(notebook, asked, site), [notebook, is_ready]);
  return html`<${MapScreen} notebook=${notebook} params=${params} query=${query} answerFor=${answerFor} />`;
}

/** @param {import('../session.js').Notebook} notebook @param {import('../engine/moments.js').Asked} asked @param {string} site */
async function answer(notebook, asked, site) {
  const [records, wished] = await Promise.all([gatheringOf(notebook).at(site), chosen(notebook)]);
  const here = records.site?.find((one) => one.id === site);
  const { species, also, kit } = meantAt(records, site, wished);
  if (here === undefined || species === undefined || kit === undefined) return null;
  const cardOf = async (/** @type {import('../engine/moments.js').Session} */ { date, session }) => {
    const typed = await typedFor(notebook, site, date, session);
    const wanted = { ...typed, site, species, also, kit, on: date, session };
    const said = await engine()
      .ask('outing_card', cardRequest(records, await withPresence(records, wanted)), { subject: cardSubject(wanted), until: date })
      .catch((trouble) => (trouble instanceof NoAnswer ? anyOf(besides(wanted)) : null));
    if (said === null) return null;
    const card = said.answer;
    const sky = card.asked.sky ?? `${words.not_typed}, ${words.skies[/** @type {'clear'} */ (caseOf(card))]}`;
    return { card, about: [`${words.sky}: ${sky}`, ...ageOf(said, notCounted(card, typed))].join(' · ') };
  };
  return answerAt(cardOf, here.zone, asked);
}
