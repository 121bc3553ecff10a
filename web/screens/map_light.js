/**
 * The map with sightlines that answer for a chosen moment, by the cards of the site that was last in hand.
 * Not for: the map itself (map.js).
 */

import { html } from '../doors/htm.js';
import { useCallback } from '../doors/preact.js';
import { cardRequest } from '../engine/asking.js';
import { engine } from '../engine/engine.js';
import { gatheringOf } from '../engine/gathering.js';
import { answerAt } from '../engine/moments.js';
import { cardSubject, chosen, meantAt } from '../engine/plans.js';
import { withPresence } from '../engine/presence.js';
import { useEngine } from './answered.js';
import { Screen as MapScreen } from './map.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params, query }) {
  const is_ready = useEngine().phase === 'ready';
  const answerFor = useCallback((/** @type {import('../engine/moments.js').Asked} */ asked) => answer(notebook, asked), [notebook, is_ready]);
  return html`<${MapScreen} notebook=${notebook} params=${params} query=${query} answerFor=${answerFor} />`;
}

/** @param {import('../session.js').Notebook} notebook @param {import('../engine/moments.js').Asked} asked */
async function answer(notebook, asked) {
  const gathering = gatheringOf(notebook);
  const [everywhere, wished, opened] = await Promise.all([gathering.everywhere(), chosen(notebook), notebook.setting('outing_opened')]);
  const sites = everywhere.site ?? [];
  const here = sites.find((one) => one.id === (opened?.site ?? wished.site)) ?? sites[0];
  if (here === undefined) return null;
  const records = await gathering.at(here.id);
  const { species, also, kit } = meantAt(records, here.id, wished);
  if (species === undefined || kit === undefined) return null;
  const cardOf = async (/** @type {import('../engine/moments.js').Session} */ { date, session }) => {
    const wanted = { site: here.id, species, also, kit, on: date, session };
    const said = await engine().ask('outing_card', cardRequest(records, await withPresence(records, wanted)), { subject: cardSubject(wanted), until: date }).catch(() => null);
    return said?.answer ?? null;
  };
  return answerAt(cardOf, here.zone, asked);
}
