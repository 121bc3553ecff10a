/**
 * Pins to choose from, the nearest first, each with how far and which way it lies.
 * Not for: links within a form (parts/field_link.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {{rec: Rec, distance_m: number | null, true_deg: number | null}} Near
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { lineBetween } from '../map/geometry.js';
import { nameOf } from '../names.js';
import { Typed } from '../parts/typed.js';
import { compassPoint } from '../rough.js';
import { distance } from '../units.js';
import { list } from '../words.js';
import { near as words } from '../words_write.js';

const SHOWN = 6;

/**
 * Sort pins by their distance; what has no position, or where nobody knows where one stands, comes as it came.
 * @param {readonly Rec[]} recs
 * @param {{lat: number, lon: number} | null | undefined} from
 * @returns {Near[]}
 */
export function nearestFirst(recs, from) {
  const found = recs.map((rec) => {
    const { position } = rec.values;
    if (!from || !Number.isFinite(position?.lat) || !Number.isFinite(position?.lon)) return { rec, distance_m: null, true_deg: null };
    const { distance_m, true_deg } = lineBetween(from, position);
    return { rec, distance_m, true_deg };
  });
  return found.sort((one, other) => (one.distance_m ?? Infinity) - (other.distance_m ?? Infinity) || 0);
}

/** Say how far and which way. @param {Pick<Near, 'distance_m' | 'true_deg'>} near */
export function howFar({ distance_m, true_deg }) {
  if (distance_m === null) return '';
  return `${distance(distance_m)}${true_deg === null || distance_m < 1 ? '' : ` ${compassPoint(true_deg)[0]}`}`;
}

/**
 * @param {{label: string, found: readonly Near[], chosen: readonly string[], onPick: (id: string) => void, id: string, empty?: string, note?: (rec: Rec) => string}} props
 *   onPick: hears the tapped one; whether that chooses or lets go is the caller's
 */
export function PickNear({ label, found, chosen, onPick, id, empty = words.none, note = () => '' }) {
  const [is_all, setAll] = useState(false);
  const [typed, setTyped] = useState('');
  if (found.length === 0) return html`<p class="soft">${empty}</p>`;
  const wanted = typed.trim().toLowerCase();
  const fits = found.filter(({ rec }) => nameOf(rec).toLowerCase().includes(wanted));
  // What is chosen stays in sight, wherever it lies.
  const shown = is_all ? fits.slice(0, 60) : found.filter(({ rec }, place) => place < SHOWN || chosen.includes(rec.id));
  return html`<div class="near" id=${id} role="group" aria-label=${label}>
    ${is_all ? html`<${Typed} id=${`${id}-search`} kind="search" value=${typed} label=${list.search} placeholder=${list.search} onText=${setTyped} />` : null}
    ${shown.map(
      (one) => html`<button type="button" class="near-one" key=${one.rec.id} aria-pressed=${chosen.includes(one.rec.id)} onClick=${() => onPick(one.rec.id)}>
        <span>${nameOf(one.rec)}</span> <small>${[howFar(one), note(one.rec)].filter(Boolean).join(' · ')}</small>
      </button>`,
    )}
    ${!is_all && found.length > shown.length ? html`<button type="button" class="act other" onClick=${() => setAll(true)}>${words.more(found.length)}</button>` : null}
  </div>`;
}
