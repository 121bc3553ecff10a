/**
 * Wind from, sky and shutter in one row: a tap opens one, a second tap types it. Also in the dark, also with
 * cold hands. Not for: what they do to the order (the engine).
 *
 * @typedef {import('../engine/plans.js').Typed} Typed
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { BEHAVIOURS, SKIES } from '../engine/asking.js';
import { Chips } from '../parts/chips.js';
import { ROSE } from '../rough.js';
import { moment } from '../times.js';
import { card as words } from '../words_outing.js';

const EIGHT = ROSE.filter((_, place) => place % 2 === 0).map(([letters]) => ({ value: letters, label: letters }));
const FORCES = words.forces.map(([value, label]) => ({ value, label }));

/** @param {{typed: Typed, card: any, onTyped: (more: Partial<Typed>) => void}} props */
export function Expected({ typed, card, onTyped }) {
  const [open, setOpen] = useState(/** @type {'' | 'wind' | 'sky' | 'behaviour'} */ (''));
  const { from, force } = partsOf(typed.wind);
  const close = (/** @type {Partial<Typed>} */ more) => {
    setOpen('');
    onTyped(more);
  };
  const put = (/** @type {string | null} */ next_from, /** @type {string | null} */ next_force) => onTyped({ wind: windOf(next_from, next_force) });
  const shutter = card?.arrivals[BEHAVIOURS.indexOf(typed.behaviour)]?.shutter;
  const fields = /** @type {const} */ ([
    ['wind', words.wind, typed.wind ?? words.not_typed],
    ['sky', words.sky, typed.sky ?? words.three],
    ['behaviour', words.shutter, [typed.behaviour, shutter].filter(Boolean).join(' ')],
  ]);
  return html`<section class="expected" aria-label=${words.typed}>
    <div class="expected-row">
      ${fields.map(([name, label, value]) => html`<button type="button" key=${name} aria-expanded=${open === name} onClick=${() => setOpen(open === name ? '' : name)}><small>${label}</small><b>${value}</b></button>`)}
    </div>
    ${open === 'wind'
      ? html`<${Chips} large label=${words.wind} choices=${EIGHT} value=${from} onPick=${(/** @type {string | null} */ one) => put(one, force === 'calm' ? null : force)} />
          <p class="soft">${words.force}</p>
          <${Chips} large label=${words.force} choices=${FORCES} value=${force} onPick=${(/** @type {string | null} */ one) => put(from, one)} />`
      : null}
    ${open === 'sky' ? html`<${Chips} large label=${words.sky} choices=${SKIES.map((value) => ({ value, label: value }))} value=${typed.sky} onPick=${(/** @type {string | null} */ sky) => close({ sky })} />` : null}
    ${open === 'behaviour' ? html`<${Chips} large needed label=${words.shutter} choices=${BEHAVIOURS.map((value) => ({ value, label: value }))} value=${typed.behaviour} onPick=${(/** @type {any} */ behaviour) => close({ behaviour })} />` : null}
    ${typed.at > 0 ? html`<p class="soft">${words.typed_at(moment(typed.at))}</p>` : null}
  </section>`;
}

/** Write a wind as the engine reads it; null where nothing is known. @param {string | null} from letters @param {string | null} force */
export function windOf(from, force) {
  if (force === 'calm') return 'calm';
  if (from === null) return null;
  return force === null ? from : `${from} ${force}`;
}

/** Read back what `windOf` wrote. @param {string | null} wind @returns {{from: string | null, force: string | null}} */
export function partsOf(wind) {
  if (wind === null) return { from: null, force: null };
  if (wind === 'calm') return { from: null, force: 'calm' };
  const [from = null, force = null] = wind.split(' ');
  return { from, force };
}
