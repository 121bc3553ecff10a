/**
 * On how many watched dawns and dusks the animal meant here came to a perch: a line on the map's sheet.
 * Not for: its routine (routine.js).
 */

import { html } from '../doors/htm.js';
import { useContext } from '../doors/preact.js';
import { gatheringOf } from '../engine/gathering.js';
import { chosen, meantAt } from '../engine/plans.js';
import { withPresence } from '../engine/presence.js';
import { SessionContext, useRecords } from '../session.js';
import { routine as words } from '../words_routine.js';

/** @param {{perch: string, site: string | undefined}} props */
export function Came({ perch, site }) {
  const session = useContext(SessionContext);
  return session === null || site === undefined ? null : html`<${Told} notebook=${session.notebook} perch=${perch} site=${site} />`;
}

/** @param {{notebook: import('../session.js').Notebook, perch: string, site: string}} props */
function Told({ notebook, perch, site }) {
  const said = useRecords(notebook, () => cameTo(notebook, perch, site), [perch, site]);
  return said ? html`<p class="came">${said}</p>` : null;
}

/** @param {import('../session.js').Notebook} notebook @param {string} perch @param {string} site */
async function cameTo(notebook, perch, site) {
  const [records, wished] = await Promise.all([gatheringOf(notebook).at(site), chosen(notebook)]);
  const { species } = meantAt(records, site, wished);
  const name = records.species?.find((one) => one.id === species)?.name;
  if (species === undefined || name === undefined) return null;
  const { presences } = await withPresence(records, { site, species, kit: '' });
  const known = /** @type {any} */ (presences[species]);
  const [dawn, dusk] = [known?.dawn.perches[perch]?.there, known?.dusk.perches[perch]?.there];
  return dawn || dusk ? words.came(name, dawn ?? null, dusk ?? null) : null;
}
