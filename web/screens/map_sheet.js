/**
 * The one sheet from below: what was touched, its facts, and two or three acts. Not for: the map itself.
 *
 * @typedef {import('../map/pins.js').Pin} Pin
 * @typedef {import('../map/pins.js').Sight} Sight
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {{label: string, onAct: () => void, isMain?: boolean}} SheetAct
 */

import { html } from '../doors/htm.js';
import { useEffect, useLayoutEffect, useRef } from '../doors/preact.js';
import { figuresOf } from '../map/figures.js';
import { kindWord } from '../map/mark_layer.js';
import { drawing, svgOf } from '../map/marks.js';
import { WORDS } from '../map/words.js';
import { go } from '../route.js';
import { distance } from '../units.js';
import { routeOf } from './index.js';
import { Came } from './perch_came.js';

const MOST_LISTED = 12;

/**
 * @param {{title: string, kind?: string, mark?: import('../map/marks.js').Mark, acts?: SheetAct[], after?: any, onClose: () => void, children?: any}} props after: what is needed more rarely than the acts
 */
export function Sheet({ title, kind, mark, acts = [], after, onClose, children }) {
  const heading = useRef(/** @type {HTMLHeadingElement | null} */ (null));
  // A person who cannot see the sheet rise must land in it, before the next key.
  useLayoutEffect(() => heading.current?.focus({ preventScroll: true }), [title]);
  const key = (/** @type {KeyboardEvent} */ event) => event.key === 'Escape' && onClose();
  return html`<section class="map-sheet" aria-label=${title} onKeyDown=${key}>
    <div class="map-sheet-head">
      ${mark && html`<${Picture} mark=${mark} />`}
      <h2 ref=${heading} tabindex="-1">${title}${kind && html` <small>${kind}</small>`}</h2>
      <button type="button" class="map-close" onClick=${onClose}>${WORDS.close}</button>
    </div>
    ${children}
    ${acts.length > 0 &&
    html`<div class="map-row">
      ${acts.map((act) => html`<button type="button" class=${act.isMain ? 'main-act' : ''} onClick=${act.onAct}>${act.label}</button>`)}
    </div>`}
    ${after}
  </section>`;
}

/** A mark beside its name. @param {{mark: import('../map/marks.js').Mark}} props */
function Picture({ mark }) {
  const box = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => box.current?.replaceChildren(svgOf(drawing(mark))), [mark]);
  return html`<span class="map-picture" ref=${box}></span>`;
}

/**
 * @param {{pin: Pin, rec: Rec | undefined, sights: Sight[], onSight: (sight: Sight) => void, onLookFrom: () => void, onMove: () => void, onClose: () => void}} props
 */
export function PinSheet({ pin, rec, sights, onSight, onLookFrom, onMove, onClose }) {
  const mine = sights.filter((one) => one.perch.id === pin.id || one.vantage.id === pin.id);
  const kind = pin.kind === 'hazard' ? 'landmark' : pin.kind;
  const acts = {
    open: { label: WORDS.acts.open, onAct: () => go(pathOf(kind, pin.id)) },
    note: noteOn(pin.id, rec),
    sightline: { label: WORDS.acts.sightline, onAct: () => go('sightline-here', { query: { [kind]: pin.id } }) },
    lookFrom: { label: WORDS.acts.lookFrom, onAct: onLookFrom, isMain: true },
    move: { label: WORDS.move, onAct: onMove },
  };
  const offered =
    pin.kind === 'vantage'
      ? [acts.lookFrom, acts.sightline, acts.open]
      : pin.kind === 'perch'
        ? [{ ...acts.sightline, isMain: true }, lightOf({ perch: pin.id }), acts.note, acts.open]
        : [acts.open, acts.note];
  const list =
    mine.length > 0 &&
    html`<ul class="map-list" aria-label=${WORDS.sightlinesHere}>
      ${mine.slice(0, MOST_LISTED).map((one) => {
        const other = one.perch.id === pin.id ? one.vantage : one.perch;
        const words = `${one.perch.id === pin.id ? '← ' : '→ '}${other.name}`;
        return html`<li><button type="button" onClick=${() => onSight(one)}>${words} <small>${figuresOf(one).join(' · ')}</small></button></li>`;
      })}
    </ul>`;
  return html`<${Sheet} title=${pin.name} kind=${kindWord(pin)} mark=${pin} acts=${[...offered, acts.move]} after=${list} onClose=${onClose}>
    <p>${facts(pin, rec).join(' · ')}</p>
    ${pin.kind === 'perch' ? html`<${Came} perch=${pin.id} site=${rec?.values.site} />` : null}
  <//>`;
}

/** The page of a record; its form, where it has no page of its own. @param {string} kind @param {string} id */
function pathOf(kind, id) {
  return routeOf([kind, id]) === null ? `edit/${kind}/${id}` : `${kind}/${id}`;
}

/** @param {Record<string, string>} query @returns {SheetAct} */
function lightOf(query) {
  return { label: WORDS.acts.light, onAct: () => go('light', { query }) };
}

/** @param {string} pin @param {Rec | undefined} rec @returns {SheetAct} */
function noteOn(pin, rec) {
  const site = rec?.values.site;
  return { label: WORDS.acts.note, onAct: () => go('new/note', { query: site === undefined ? { pin } : { pin, site } }) };
}

/** @param {Pin} pin @param {Rec | undefined} rec */
function facts(pin, rec) {
  const values = rec?.values ?? {};
  return [
    values.kind,
    values.cover !== 'hide' && values.cover,
    values.support,
    values.height_m !== undefined && distance(values.height_m),
    values.note,
    pin.accuracy_m === null ? WORDS.unsureUnknown : WORDS.unsure(distance(pin.accuracy_m)),
  ].filter(Boolean);
}

/** @param {{sight: Sight, rec: Rec | undefined, state: import('../map/light_lines.js').State | undefined, barred?: string, onClose: () => void}} props */
export function SightSheet({ sight, rec, state, barred, onClose }) {
  const values = rec?.values ?? {};
  const title = WORDS.from(sight.vantage.name, sight.perch.name);
  const isBlind = !sight.isMeasured && sight.plus_minus_deg >= 180;
  const known = sight.isMeasured ? WORDS.measured : isBlind ? WORDS.noBearing : WORDS.fromPins(Math.max(1, Math.round(sight.plus_minus_deg)));
  const acts = [
    { ...lightOf({ sightline: sight.id }), isMain: true },
    noteOn(sight.id, rec),
    { label: WORDS.acts.year, onAct: () => go(pathOf('sightline', sight.id)) },
  ];
  return html`<${Sheet} title=${title} kind=${WORDS.kinds.sightline} acts=${acts} onClose=${onClose}>
    <p class="map-figures">${figuresOf(sight).join(' · ')}</p>
    <p>${[known, values.background, values.tone, barred ? WORDS.notOffered(barred) : state && WORDS.states[state]].filter(Boolean).join(' · ')}</p>
  <//>`;
}

/** Several pins in one spot. @param {{pins: Pin[], onPin: (pin: Pin) => void, onNearer: (() => void) | null, onClose: () => void}} props */
export function SeveralSheet({ pins, onPin, onNearer, onClose }) {
  const acts = onNearer === null ? [] : [{ label: WORDS.acts.nearer, onAct: onNearer, isMain: true }];
  return html`<${Sheet} title=${WORDS.several(pins.length)} acts=${acts} onClose=${onClose}>
    <ul class="map-list">
      ${pins.slice(0, MOST_LISTED).map(
        (pin) => html`<li><button type="button" onClick=${() => onPin(pin)}>${pin.name} <small>${kindWord(pin)}</small></button></li>`,
      )}
    </ul>
    ${pins.length > MOST_LISTED && html`<p>${WORDS.morePlaces(pins.length - MOST_LISTED)}</p>`}
  <//>`;
}
