/**
 * What a kit makes of a distance and a background, alone or beside another: a table of figures.
 * Not for: where to stand (stand.js), or changing the kit.
 *
 * @typedef {import('../engine/asking.js').Plain} Plain
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { settingsOf } from '../engine/asking.js';
import { gatheringOf } from '../engine/gathering.js';
import { chosen } from '../engine/plans.js';
import { Chips } from '../parts/chips.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { useRecords } from '../session.js';
import { distance, number } from '../units.js';
import { kit as words, outing } from '../words_outing.js';
import { Age, Trouble, useAnswer, useEngine } from './answered.js';
import './outing_styles.js';

export const DISTANCES_M = [4, 8, 12, 16, 25, 40, 60];
export const GAPS_M = [1, 3, 6, 12, 25, 50, 100];

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, query }) {
  const held = useKits(notebook);
  const [first, setFirst] = useState(/** @type {string | null} */ (query.kit ?? null));
  const [beside, setBeside] = useState(/** @type {string | null} */ (null));
  const [species, setSpecies] = useState(/** @type {string | null} */ (null));
  const [typed_m, setDistance] = useState(/** @type {number | null} */ (null));
  const [gap_m, setGap] = useState(/** @type {number | 'sky'} */ (25));
  const is_ready = useEngine().phase === 'ready';
  const one = held?.kits.find((kit) => kit.id === (first ?? held.meant)) ?? held?.kits[0];
  const other = held?.kits.find((kit) => kit.id === beside && kit.id !== one?.id);
  const animal = held?.animals.find((each) => each.id === species) ?? held?.animals[0];
  const distance_m = typed_m ?? usualDistance(animal);
  const { said, busy, trouble, again } = useAnswer(
    async () => {
      if (!held || one === undefined || animal === undefined) return null;
      const kits = other === undefined ? [one] : [one, other];
      const request = { kits, species: animal, distance_m, gap_m, settings: held.settings };
      return { name: 'kit_table', request, how: { subject: ['kit', one.id, other?.id ?? '', animal.id, distance_m, gap_m].join('/') } };
    },
    [held, one, other, animal, distance_m, gap_m, is_ready],
  );
  if (held === undefined) return html`<${Page} title=${words.title} />`;
  if (one === undefined) return html`<${Page} title=${words.title}><${Empty} text=${words.none} act=${{ label: outing.kit_act, to: 'new/kit' }} /></${Page}>`;
  if (animal === undefined) return html`<${Page} title=${words.title}><${Empty} text=${outing.no_species} act=${{ label: outing.species_act, to: 'new/species' }} /></${Page}>`;
  const named = (/** @type {Plain[]} */ some) => some.map((each) => ({ value: each.id, label: each.name }));
  return html`<${Page} title=${words.title} more=${[{ label: words.edit, to: `edit/kit/${one.id}` }]} act=${{ label: words.stand, to: `stand?kit=${one.id}` }}>
    <${Age} said=${said} busy=${busy} />
    <section class="asked">
      ${held.kits.length > 1 ? html`<p class="soft">${words.title}</p><${Chips} label=${words.title} needed choices=${named(held.kits)} value=${one.id} onPick=${setFirst} />
        <p class="soft">${words.beside}</p><${Chips} label=${words.beside} choices=${named(held.kits.filter((kit) => kit.id !== one.id))} value=${other?.id} onPick=${setBeside} />` : null}
      <${Circumstances} animals=${held.animals} animal=${animal.id} onAnimal=${setSpecies} distance_m=${distance_m} onDistance=${setDistance} gap_m=${gap_m} onGap=${setGap} />
    </section>
    <${Trouble} trouble=${trouble} again=${again} />
    ${said ? html`<${Told} said=${said.answer} />` : null}
  </${Page}>`;
}

/**
 * Animal, distance and gap, by chip.
 * @param {{animals: Plain[], animal: string, onAnimal: (id: string) => void, distance_m: number, onDistance: (m: number) => void, gap_m: number | 'sky', onGap: (gap: number | 'sky') => void}} props
 */
export function Circumstances({ animals, animal, onAnimal, distance_m, onDistance, gap_m, onGap }) {
  const metres = (/** @type {number[]} */ some) => some.map((m) => ({ value: m, label: distance(m) }));
  return html`
    <p class="soft">${words.species}</p><${Chips} label=${words.species} needed choices=${animals.map((one) => ({ value: one.id, label: one.name }))} value=${animal} onPick=${onAnimal} />
    <p class="soft">${words.distance}</p><${Chips} label=${words.distance} needed choices=${metres(DISTANCES_M)} value=${distance_m} onPick=${onDistance} />
    <p class="soft">${words.gap}</p><${Chips} label=${words.gap} needed choices=${[...metres(GAPS_M), { value: 'sky', label: words.sky }]} value=${gap_m} onPick=${onGap} />`;
}

/** A distance to begin with that is not nearer than one goes. @param {Plain | undefined} animal */
export function usualDistance(animal) {
  const keep_m = animal?.keep_distance_open_m ?? 0;
  return DISTANCES_M.find((m) => m >= Math.max(12, keep_m)) ?? 60;
}

/** The hook of kits, animals and settings. @param {import('../session.js').Notebook} notebook */
export function useKits(notebook) {
  return useRecords(notebook, async () => {
    const [records, wished] = await Promise.all([gatheringOf(notebook).everywhere(), chosen(notebook)]);
    return { kits: records.kit ?? [], animals: records.species ?? [], settings: settingsOf(records), meant: wished.kit };
  });
}

/** @param {{said: any}} props */
function Told({ said }) {
  const { kits } = said;
  const row = (/** @type {string} */ name, /** @type {(kit: any, place: number) => unknown} */ of) => html`<tr><th scope="row">${name}</th>${kits.map((/** @type {any} */ kit, /** @type {number} */ place) => html`<td>${of(kit, place)}</td>`)}</tr>`;
  const head = html`<thead><tr><td></td>${kits.map((/** @type {any} */ kit) => html`<th scope="col">${kit.name}<small>${kit.focal_mm} mm f/${number(kit.f_number, 1)}</small></th>`)}</tr></thead>`;
  const table = (/** @type {string} */ title, /** @type {string} */ note, /** @type {unknown} */ rows) => html`<section><h2>${title}${note ? html`<small>${note}</small>` : null}</h2><div class="scroll" tabindex="0" role="region" aria-label=${title}><table class="kits-table">${head}<tbody>${rows}</tbody></table></div></section>`;
  return html`<div class="card">
    ${table(words.here, '', html`
      ${words.rows.map(([key, name]) => (kits.some((/** @type {any} */ kit) => kit[key]) ? row(name, (kit) => kit[key]) : null))}
      ${row(words.frame, (kit) => `${distance(kit.frame_width_m)} × ${distance(kit.frame_height_m)}`)}
      ${row(words.animal, (kit) => `${number(kit.subject_percent, 1)} % ${words.animal_share}`)}
      ${row(words.reach, (kit) => (kit.reach_m === null ? words.too_small : distance(kit.reach_m)))}
      ${row(words.diffraction, (kit) => `${number(kit.diffraction_px, 1)} px`)}
      ${row(words.hand_held, (kit) => kit.hand_held)}
      ${row(words.iso, (kit) => number(kit.iso_ceiling, 0))}`)}
    ${table(words.wanted, '', kits[0].wanted.map((/** @type {any} */ one, /** @type {number} */ place) => row(`${one.behaviour} ${one.shutter}`, (kit) => `${words.from_ev} ${number(kit.wanted[place].needs_ev100, 1)}`)))}
    ${table(words.shutters, words.ev, kits[0].shutters.map((/** @type {any} */ one, /** @type {number} */ place) => row(`EV ${one.ev100}`, (kit) => kit.shutters[place].shutter)))}
    ${kits.map((/** @type {any} */ kit) => (kit.frames.length === 0 ? null : html`<section><h2>${words.frames}<small>${kit.name}</small></h2><ul class="plain-list">${kit.frames.map((/** @type {any} */ one) => html`<li>${one.words}</li>`)}</ul></section>`))}</div>`;
}
