/**
 * The light that a test shot measured, offered where it qualifies: whether it looks right, what filled the frame,
 * what was dialled. Taken only where a person wants it. Not for: the rule itself (photo_light.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 */

import { html } from '../doors/htm.js';
import { choicesOf } from '../names.js';
import { newId } from '../notebook/ids.js';
import { Chips } from '../parts/chips.js';
import { CompassWords } from '../parts/compass_words.js';
import { Stepper } from '../parts/stepper.js';
import { fieldsOf, useSession } from '../session.js';
import { number } from '../units.js';
import { photo as words } from '../words_visit.js';
import { isAtIsoLimit, lightOf } from './photo_light.js';

/** @param {Record<string, any>} values @param {Rec[]} kits @returns {import('./photo_light.js').Shot} */
function shotOf({ facts, tone, looks_right, compensation_ev, kit, is_fixed }, kits) {
  const { iso_base, iso_ceiling, transmission_ev } = kits.find((one) => one.id === kit)?.values ?? {};
  const said_ev = compensation_ev ?? facts.exposure.compensation_ev;
  return { ...facts.exposure, compensation_ev: said_ev, tone, looks_right, is_flash: facts.is_flash, is_fixed: is_fixed === true, iso_base, iso_ceiling, transmission_ev };
}

/** @param {{values: Record<string, any>, put: (more: Record<string, any>) => void, kits: Rec[], has_site: boolean}} props */
export function LightAsk({ values, put, kits, has_site }) {
  const { schema } = useSession();
  const { facts, tone, looks_right, kit, is_fixed, facing_deg, wants_light } = values;
  const { shutter_s, f_number, iso, compensation_ev: said_ev } = facts.exposure;
  const shot = shotOf(values, kits);
  const { ev100, why } = lightOf(shot);
  const tones = (fieldsOf(schema, 'light_reading').find((field) => field.name === 'tone')?.choices ?? []).map((value) => ({ value, label: value }));
  const shutter = shutter_s <= 0.5 ? `1/${number(1 / shutter_s, 0)}` : number(shutter_s, 1);
  return html`<section class="asks light-ask"><h2>${words.light}</h2>
    <p>${words.exposed(shutter, number(f_number, 1), number(iso, 0))}</p>
    ${facts.is_flash
      ? null
      : html`<p class="soft" id="looks">${words.looks}</p><${Chips} large labelled="looks" choices=${words.looks_like} value=${looks_right} onPick=${(/** @type {boolean | null} */ one) => put({ looks_right: one })} />
          <p class="soft" id="tone">${words.filled}</p><${Chips} large labelled="tone" choices=${tones} value=${tone} onPick=${(/** @type {string | null} */ one) => put({ tone: one })} />
          ${said_ev === undefined ? html`<div class="counted"><span>${words.dialled}</span><${Stepper} label=${words.dialled} value=${values.compensation_ev} step=${0.5} low=${-5} high=${5} onStep=${(/** @type {number} */ one) => put({ compensation_ev: one })} /></div>` : null}
          ${kits.length > 0 ? html`<p class="soft" id="with">${words.taken_with}</p><${Chips} large labelled="with" choices=${choicesOf(kits)} value=${kit} onPick=${(/** @type {string | null} */ one) => put({ kit: one })} />` : null}
          ${isAtIsoLimit(shot) ? html`<p class="soft" id="fixed">${words.fixed}</p><${Chips} large labelled="fixed" choices=${words.fixes} value=${is_fixed} onPick=${(/** @type {boolean | null} */ one) => put({ is_fixed: one })} />` : null}
          ${why === null && facts.bearing?.reference !== 'true' ? html`<p class="soft">${words.faced}</p><${CompassWords} label=${words.faced} deg=${facing_deg ?? undefined} onPick=${(/** @type {{deg: number} | null} */ one) => put({ facing_deg: one === null ? null : one.deg })} />` : null}`}
    ${why !== null
      ? html`<p role="status">${words.why[why]}</p>`
      : !has_site
        ? html`<p role="status">${words.light_needs}</p>`
        : html`<button type="button" class="act large" aria-pressed=${wants_light === true} onClick=${() => put({ wants_light: !wants_light })}>${wants_light ? words.with_light(number(ev100, 1)) : words.add_light(number(ev100, 1))}</button>`}
  </section>`;
}

/**
 * The reading that goes with a photo; null where none is wanted or it does not qualify.
 * @param {Record<string, any>} values
 * @param {{photo: string, site: string, perch: string | undefined, at: any, sky: string | undefined, kits: Rec[]}} about
 */
export function lightEdit(values, { photo, site, perch, at, sky, kits }) {
  if (!values.facts?.exposure || values.wants_light !== true) return null;
  const { ev100 } = lightOf(shotOf(values, kits));
  if (ev100 === null) return null;
  const { bearing } = values.facts;
  const looked_deg = bearing?.reference === 'true' ? bearing.read_deg : values.facing_deg;
  // What is seen is the side that looks back at the camera.
  const facing = typeof looked_deg === 'number' ? { facing_deg: (looked_deg + 180) % 360 } : {};
  const set = { site, at, ev100, source: 'test shot', photo, tone: values.tone, ...facing, ...(perch && { perch }), ...(sky && { sky }) };
  return { kind: 'light_reading', record: newId(Date.now()), set };
}
