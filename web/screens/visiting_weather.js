/** The weather of a visit by tapping: sky, where the wind is from, force, temperature, mist, snow; all optional. */

import { html } from '../doors/htm.js';
import { Chips } from '../parts/chips.js';
import { CompassWords } from '../parts/compass_words.js';
import { Stepper } from '../parts/stepper.js';
import { fieldsOf, useSession } from '../session.js';
import { quantity } from '../units.js';
import { visit as words } from '../words_visit.js';

const MILD_C = 8; // where the steps begin

/**
 * @param {{values: Record<string, any>, onValue: (more: Record<string, any>) => void}} props registers of a visit; null: taken back
 */
export function Weather({ values: v, onValue }) {
  const { schema } = useSession();
  const choices = (/** @type {string} */ name) => (fieldsOf(schema, 'visit').find((field) => field.name === name)?.choices ?? []).map((value) => ({ value, label: value }));
  const put = (/** @type {string} */ name) => (/** @type {any} */ value) => onValue({ [name]: value });
  return html`<div class="weather">
    <h3 id="w-sky">${words.sky}</h3><${Chips} large labelled="w-sky" choices=${choices('sky')} value=${v.sky} onPick=${put('sky')} />
    <h3>${words.wind}</h3><${CompassWords} label=${words.wind} deg=${v.wind_from_deg ?? undefined} onPick=${(/** @type {{deg: number} | null} */ one) => onValue({ wind_from_deg: one === null ? null : one.deg })} />
    <h3>${words.force}</h3><${Stepper} label=${words.force} value=${v.wind_force} low=${0} high=${12} from=${2} onStep=${put('wind_force')} />
    <h3>${words.temperature}</h3><${Stepper} label=${words.temperature} value=${v.temperature_c} low=${-60} high=${60} from=${MILD_C} shown=${(/** @type {number} */ one) => quantity(one, '°C', 0)} onStep=${put('temperature_c')} />
    <h3 id="w-mist">${words.mist}</h3><${Chips} large labelled="w-mist" choices=${[{ value: true, label: words.yes }, { value: false, label: words.no }]} value=${v.mist} onPick=${put('mist')} />
    <h3 id="w-snow">${words.snow}</h3><${Chips} large labelled="w-snow" choices=${choices('snow')} value=${v.snow} onPick=${put('snow')} />
  </div>`;
}
