/**
 * Putting a pin under the cross in the middle of the map: by a tap, by moving the map, by steps, by typing, or by
 * where one stands. Nothing of it needs a drag. Not for: saving the pin.
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { typed, written } from '../map/coordinates.js';
import { WORDS } from '../map/words.js';
import { Typed } from '../parts/typed.js';
import { distance } from '../units.js';
import { Sheet } from './map_sheet.js';

const STEPS_M = [0.5, 2, 10];

/**
 * @param {{what: 'perch' | 'vantage' | 'landmark' | 'move', name?: string, centre: {lat: number, lon: number}, fixWords: string, isLost: boolean, isAsking: boolean,
 *   onNudge: (east_m: number, north_m: number) => void, onTyped: (place: {lat: number, lon: number}) => void,
 *   onFix: () => void, onConfirm: () => void, onClose: () => void}} props
 */
export function PlaceSheet({ what, name, centre, fixWords, isLost, isAsking, onNudge, onTyped, onFix, onConfirm, onClose }) {
  const [step_m, setStep] = useState(2);
  const [text, setText] = useState('');
  const [isWrong, setWrong] = useState(false);
  const confirm = what === 'perch' ? WORDS.perchHere : what === 'vantage' ? WORDS.vantageHere : what === 'landmark' ? WORDS.landmarkHere : WORDS.moveHere;
  const acts = [
    { label: confirm, onAct: onConfirm, isMain: true },
    { label: isAsking ? WORDS.fix.enough : WORDS.whereIAm, onAct: onFix },
  ];
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    const place = typed(text);
    setWrong(place === null);
    if (place !== null) onTyped(place);
  };
  const nudge = (/** @type {'north' | 'south' | 'west' | 'east'} */ way, /** @type {number} */ east, /** @type {number} */ north) =>
    html`<button type="button" onClick=${() => onNudge(east * step_m, north * step_m)}>${WORDS.nudge[way]}</button>`;
  const otherWays = html`<details>
      <summary>${WORDS.typed}</summary>
      <div class="map-row">${nudge('north', 0, 1)}${nudge('south', 0, -1)}${nudge('west', -1, 0)}${nudge('east', 1, 0)}</div>
      <fieldset class="map-row">
        <legend>${WORDS.nudge.step}</legend>
        ${STEPS_M.map(
          (one) => html`<label class="map-choice"><input type="radio" name="map-step" checked=${one === step_m} onChange=${() => setStep(one)} />${distance(one)}</label>`,
        )}
      </fieldset>
      <form class="map-row" onSubmit=${send}>
        <${Typed} id="map-typed" label=${WORDS.typed} invalid=${isWrong} describedBy="map-typed-wrong" placeholder=${WORDS.typedHint} value=${text} onText=${setText} />
        <button type="submit">${WORDS.typedGo}</button>
      </form>
      <p id="map-typed-wrong" role="alert">${isWrong ? WORDS.typedWrong : ''}</p>
    </details>`;
  return html`<${Sheet} title=${WORDS.place[what]} kind=${name} acts=${acts} after=${otherWays} onClose=${onClose}>
    <p><span class="map-spot">${written(centre)}</span> <span role="status">${fixWords}</span></p>
    <p role="alert">${isLost && WORDS.lost}</p>
  <//>`;
}
