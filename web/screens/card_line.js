/**
 * One sightline of a card: a line and its strip, opened for its reasons, and once more for every figure down to
 * what it was worked out from. Not for: the order (the engine's).
 *
 * @typedef {{start: string, end: string} | null} Ends
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { CASES, caseOf } from '../engine/moments.js';
import { Facts } from '../parts/figure.js';
import { Strip } from '../parts/strip.js';
import { address } from '../route.js';
import { bearing, distance, number } from '../units.js';
import { strip as strip_words } from '../words.js';
import { card as words } from '../words_outing.js';

/** @param {{line: any, card: any, ends: Ends}} props */
export function Line({ line, card, ends }) {
  const [open, setOpen] = useState(false);
  const [why, setWhy] = useState(false);
  return html`<article class="line">
    <button type="button" class="line-head" aria-expanded=${open} onClick=${() => setOpen(!open)}>
      <span class="rank">${line.rank ?? ''}</span><span class="line-name">${line.name}</span>
      <span class="line-best">${line.best_words}</span>
      ${line.presence ? html`<span class="line-best">${line.presence}</span>` : null}
    </button>
    ${ends ? html`<${LightStrip} line=${line} sky=${caseOf(card)} ends=${ends} zone=${card.title.zone} marks=${line.marks} />` : null}
    ${open ? html`<${Reasons} line=${line} card=${card} ends=${ends} />` : null}
    ${open ? html`<button type="button" class="act large" aria-expanded=${why} onClick=${() => setWhy(!why)}>${why ? words.less : words.why}</button>` : null}
    ${open && why ? html`<${Inputs} line=${line} />` : null}
  </article>`;
}

/** @param {{line: any, sky: string, ends: NonNullable<Ends>, zone: string, label?: string, marks?: boolean[]}} props marks: one a watched morning, true where it was seen */
export function LightStrip({ line, sky, ends, zone, label = line.name, marks = [] }) {
  const { clears } = line;
  const at = clears && { at: clears.at.utc, plus_minus_min: clears.plus_minus_min ?? 0 };
  return html`<${Strip} stretches=${stretchesOf(line.stretches[sky])} clears=${at} start=${ends.start} end=${ends.end} zone=${zone} label=${label} presence=${marks.length > 0 ? marks : undefined} />`;
}

/** What the pattern says, in words, stretch by stretch. @param {{stretches: any[]}} props */
export function Stretches({ stretches = [] }) {
  const told = stretches.filter((one) => one.state !== 'dark');
  if (told.length === 0) return html`<p class="stretches">${strip_words.dark}</p>`;
  return html`<p class="stretches">${told.map((one) => html`<span key=${one.from.utc}><b>${one.from.clock}</b> ${one.words ?? strip_words[/** @type {'good'} */ (one.state)]}</span>`)}</p>`;
}

/** @param {any[]} stretches */
export function stretchesOf(stretches = []) {
  return stretches.map((one) => ({ from: one.from.utc, to: one.to.utc, state: one.state, words: one.words }));
}

/** @param {{line: any, card: any, ends: Ends}} props */
function Reasons({ line, card, ends }) {
  const listed = (/** @type {string[]} */ some) => (some.length === 0 ? null : some.join(' '));
  return html`<div class="reasons">
    <${Facts} facts=${[
      ['', line.clears_words],
      ['', [line.stay, line.left, line.expected].filter(Boolean).join('; ')],
      ['', line.line_words],
      ['', [line.level, line.background].filter(Boolean).join('; ')],
      [words.good, words.minutes(line.good_min)],
      [words.winds, line.bad_winds],
      [words.for, listed(line.for)],
      [words.against, listed(line.against)],
      [words.notes, listed(line.notes)],
    ]} />
    ${ends ? CASES.map((sky) => html`<p class="soft">${words.skies[sky]}</p><${LightStrip} key=${sky} line=${line} sky=${sky} ends=${ends} zone=${card.title.zone} label=${`${line.name}, ${words.skies[sky]}`} /><${Stretches} stretches=${line.stretches[sky]} />`) : null}
  </div>`;
}

/** Every figure down to its inputs. @param {{line: any}} props */
function Inputs({ line }) {
  const { clears, light, line: measured } = line;
  const said = words.inputs;
  /** @type {[string, any][]} */
  const facts = [];
  if (clears) {
    facts.push([said.sun, `${clears.at.clock}, ${number(clears.altitude_deg, 1)}° up in ${bearing(clears.azimuth_deg)}`]);
    if (clears.limb) facts.push([said.limb, clears.limb.clock]);
    if (clears.assumed_level) facts.push(['', said.assumed]);
  }
  facts.push([said.needs, light.shutters.map((/** @type {string} */ shutter, /** @type {number} */ place) => `${shutter}: EV ${number(light.needs_ev100[place], 2)}`).join(' · ')]);
  if (light.by_hand) facts.push(['', said.by_hand]);
  facts.push([said.sky_left, `${Math.round(light.sky_factor * 100)} %`], [said.ground, `${Math.round(light.ground_reflectance * 100)} %`]);
  if (light.canopy_loss_ev) facts.push([said.leaves, `${number(light.canopy_loss_ev, 2)} ${words.stops}`]);
  const corrected = Object.entries(light.correction_ev).filter(([, ev]) => ev !== 0);
  if (corrected.length > 0) facts.push([said.correction, corrected.map(([sky, ev]) => `${sky} ${number(Number(ev), 2)} ${words.stops}`).join(' · ')]);
  facts.push([said.line, `${bearing(measured.bearing_deg)} ± ${measured.bearing_plus_minus_deg}°, ${distance(measured.distance_m)} ± ${distance(measured.distance_plus_minus_m)}`]);
  if (measured.tilt_deg !== null) facts.push([said.tilt, `${number(measured.tilt_deg, 1)}°`]);
  facts.push([said.gap, measured.sky_behind ? words.sky_behind : measured.gap_m === null ? null : distance(measured.gap_m)]);
  return html`<section class="inputs"><h3>${words.details}</h3>
    <${Facts} facts=${facts} />
    <ul>${line.details.map((/** @type {string} */ one) => html`<li>${one}</li>`)}</ul>
    <p><a class="act" href=${address(`sightline/${line.id}`)}>${words.measured}</a></p>
  </section>`;
}
