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
import { siteAt } from '../map/placing.js';
import { nameOf } from '../names.js';
import { Typed } from '../parts/typed.js';
import { compassPoint } from '../rough.js';
import { useRecords, useSession } from '../session.js';
import { distance } from '../units.js';
import { list } from '../words.js';
import { near as words } from '../words_write.js';
import { ownVisit } from './visiting_state.js';

const SHOWN = 6;
const MOST = 60;

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
 * Those of the site one is at come first; of other sites none is shown until all are asked for, and then apart.
 * @param {{label: string, recs: readonly Rec[], from: {lat: number, lon: number} | null | undefined, site?: string | undefined, chosen: readonly string[], onPick: (id: string) => void, id: string, empty?: string, note?: (rec: Rec) => string}} props
 *   from: where one stands, or what they are to be near to; site: the one that is meant, where that is known;
 *   onPick: hears the tapped one; whether that chooses or lets go is the caller's
 */
export function PickNear({ label, recs, from, site, chosen, onPick, id, empty = words.none, note = () => '' }) {
  const { notebook } = useSession();
  const where = useRecords(notebook, () => sitesOf(notebook));
  const [is_all, setAll] = useState(false);
  const [typed, setTyped] = useState('');
  if (recs.length === 0) return html`<p class="soft">${empty}</p>`;
  const own = site ?? (from ? where && siteAt(where.sites, from)?.id : where?.home);
  const isOwn = (/** @type {Rec} */ rec) => !own || rec.values.site === own || rec.values.site === undefined;
  const all = nearestFirst(recs, from);
  const mine = all.filter(({ rec }) => isOwn(rec));
  const others = all.filter(({ rec }) => !isOwn(rec));
  const first = mine.length > 0 ? mine : others;
  const wanted = typed.trim().toLowerCase();
  const fits = (/** @type {Near} */ { rec }) => nameOf(rec).toLowerCase().includes(wanted);
  // What is chosen stays in sight, wherever it lies.
  const shown = is_all ? mine.filter(fits) : all.filter((one) => chosen.includes(one.rec.id) || first.slice(0, SHOWN).includes(one));
  const apart = is_all ? others.filter(fits) : [];
  const siteOf = (/** @type {Rec} */ rec) => (isOwn(rec) ? undefined : where?.sites.find((one) => one.id === rec.values.site));
  const row = (/** @type {Near} */ one) => {
    const far_site = siteOf(one.rec);
    return html`<button type="button" class="near-one" key=${one.rec.id} aria-pressed=${chosen.includes(one.rec.id)} onClick=${() => onPick(one.rec.id)}>
      <span>${nameOf(one.rec)}</span> <small>${[howFar(one), far_site && nameOf(far_site), note(one.rec)].filter(Boolean).join(' · ')}</small>
    </button>`;
  };
  return html`<div class="near" id=${id} role="group" aria-label=${label} aria-busy=${where === undefined}>
    ${is_all ? html`<${Typed} id=${`${id}-search`} kind="search" value=${typed} label=${list.search} placeholder=${list.search} onText=${setTyped} />` : null}
    ${where === undefined ? null : shown.slice(0, MOST).map(row)}
    ${apart.length > 0 && mine.length > 0 ? html`<p class="soft">${words.others}</p>` : null}
    ${apart.slice(0, MOST).map(row)}
    ${!is_all && recs.length > shown.length ? html`<button type="button" class="act other" onClick=${() => setAll(true)}>${words.more(recs.length)}</button>` : null}
  </div>`;
}

/** All sites, and the one of one's own visit, else of the last one. @param {import('../session.js').Notebook} notebook */
async function sitesOf(notebook) {
  const [sites, running, [last]] = await Promise.all([notebook.all('site'), ownVisit(notebook), notebook.all('visit', { limit: 1 })]);
  return { sites, home: (running ?? last)?.values.site };
}
