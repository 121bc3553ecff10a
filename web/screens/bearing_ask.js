/**
 * A direction asked for on the spot: the compass held by a tap, a compass word, degrees typed; made true while one
 * goes on, with what was read beside it. Not for: a bearing within a form (parts/field_bearing.js).
 *
 * @typedef {import('./pin_edits.js').Bearing} Bearing
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { CompassWords } from '../parts/compass_words.js';
import { readTyped, typedBearing, typedWays } from '../parts/field_bearing.js';
import { NumberBox } from '../parts/field_number.js';
import { Chips } from '../parts/chips.js';
import { useRecords, useSession } from '../session.js';
import { bearing, number } from '../units.js';
import { watchHeading } from '../sensing/heading.js';
import { field } from '../words.js';
import { line as words } from '../words_write.js';
import { trueFigure } from './pin_edits.js';
import { startsByItself } from './aiming.js';
import { fieldIn } from './pin_fields.js';
import { ShadowSheet } from './shadow_sheet.js';
import { bearingHeld, bearingTrue, isMagneticOnly, setHere } from './true_north.js';

/**
 * The hook of a direction: made true behind one's back, and held.
 * @param {import('../session.js').Notebook} notebook
 * @param {{lat: number, lon: number} | null} here where it is read
 * @param {any} value
 * @param {(value: any) => void} onValue
 * @param {ReturnType<typeof import('./aiming.js').useAim>} aim
 */
export function useBearing(notebook, here, value, onValue, aim) {
  const [turn, setTurn] = useState(0);
  const set = useRecords(notebook, () => setHere(notebook, here), [here?.lat, here?.lon, turn]) ?? null;
  useEffect(() => {
    if (!isMagneticOnly(value) || here === null) return undefined;
    let is_gone = false;
    void bearingTrue(notebook, value, here, { wait: true }).then((found) => {
      if (!is_gone && found.true_deg !== undefined) onValue(found);
    });
    return () => void (is_gone = true);
  }, [value?.read_deg, value?.reference, value?.true_deg, here?.lat, here?.lon]);
  // Asked for beforehand, so that it is at hand when a heading is held and saved with one tap.
  useEffect(() => {
    if (here !== null) void bearingTrue(notebook, { read_deg: 0, reference: 'magnetic' }, here, { wait: true });
  }, [here?.lat, here?.lon]);
  /** Hold the heading; null where there is none. @returns {Bearing | null} */
  const hold = () => {
    const { heading } = aim.hold();
    return heading === null ? null : bearingHeld(heading, set);
  };
  return { set, hold, again: () => setTurn(turn + 1) };
}

/**
 * @param {{notebook: import('../session.js').Notebook, id: string, label: string, here: {lat: number, lon: number} | null, value: any, onValue: (value: any) => void, aim: ReturnType<typeof import('./aiming.js').useAim>, said: ReturnType<typeof useBearing>, trouble?: string | undefined}} props
 */
export function BearingAsk({ notebook, id, label, here, value, onValue, aim, said, trouble }) {
  const [is_shadow, setShadow] = useState(false);
  const by_word = value?.how === 'compass word' ? value.read_deg : undefined;
  const { heading } = aim;
  const is_mute = useMute();
  /** @param {number | string | null} read_deg */
  const type = (read_deg) => onValue(read_deg === null ? null : typedBearing(read_deg, value));
  const how = fieldIn(useSession().schema, 'measurement', 'bearing').fields?.find((one) => one.name === 'how');
  const ways = typedWays(how?.choices);
  const hold = () => {
    const held = said.hold();
    if (held !== null) onValue(held);
  };
  const is_number = typeof value?.read_deg === 'number';
  return html`<div class=${trouble ? 'field bad' : 'field'} role="group" aria-labelledby=${`${id}-name`} data-field=${id}>
    <p class="field-name" id=${`${id}-name`}>${label}</p>
    <output class="told-bearing" for=${id}>${is_number ? told(value) : ''}</output>
    ${heading !== null
      ? html`<button type="button" class="act large held" onClick=${hold}><span class="value">${bearing(heading.read_deg)}</span> ± ${Math.round(heading.plus_minus_deg)}°<span class="word">${field.held}</span></button>`
      : html`<button type="button" class="act large" onClick=${() => void aim.start()}>${is_number ? words.aim_again : field.aim}<span class="hidden">: ${label}</span></button>`}
    <p class="help" role="status">${aim.trouble ? words.no_compass[aim.trouble] : aim.is_on && heading === null ? field.aim_help : ''}</p>
    <details class="other-ways" open=${by_word !== undefined || trouble !== undefined || aim.trouble !== '' || is_mute}>
      <summary>${words.other_ways}</summary>
      <${CompassWords} label=${label} deg=${typeof by_word === 'number' ? by_word : undefined} onPick=${(/** @type {{deg: number, plus_minus_deg: number} | null} */ picked) =>
        onValue(picked === null ? null : { read_deg: picked.deg, reference: 'true', how: 'compass word', plus_minus_deg: picked.plus_minus_deg })} />
      <div class="exact"><${NumberBox} id=${id} value=${by_word === undefined ? value?.read_deg : null} label=${`${label}, ${field.exact}`} placeholder=${field.exact} invalid=${trouble !== undefined} describedBy=${trouble ? `${id}-wrong` : null} onValue=${type} /><span class="unit">°</span></div>
      ${is_number && by_word === undefined && value.how !== 'sun shadow'
        ? html`<${Chips} needed label=${words.reference} value=${value.reference} choices=${/** @type {const} */ (['magnetic', 'true']).map((word) => ({ value: word, label: field.reference[word] }))}
            onPick=${(/** @type {'true' | 'magnetic'} */ reference) => onValue({ read_deg: value.read_deg, reference, how: value.how, ...(value.plus_minus_deg !== undefined && { plus_minus_deg: value.plus_minus_deg }) })} />
          ${ways.includes(value.how) ? html`<${Chips} needed label=${how?.label} value=${value.how} choices=${ways.map((word) => ({ value: word, label: word }))} onPick=${(/** @type {string} */ word) => onValue(readTyped(value, word))} />` : null}`
        : null}
    </details>
    ${here === null ? null : html`<button type="button" class="act other" onClick=${() => (aim.stop(), setShadow(true))}>${said.set ? words.shadow_set : words.shadow}</button>`}
    <p class="wrong" id=${`${id}-wrong`} role="alert">${trouble ?? ''}</p>
    ${is_shadow && here !== null
      ? html`<${ShadowSheet} notebook=${notebook} here=${here} isSet=${said.set !== null} onSet=${() => (said.again(), setShadow(false))} onClose=${() => setShadow(false)} />`
      : null}
  </div>`;
}

/** The hook of a phone without a compass, felt for before any tap where that is allowed. */
function useMute() {
  const [is_mute, setMute] = useState(globalThis.DeviceOrientationEvent === undefined);
  useEffect(() => {
    /** @type {ReturnType<typeof watchHeading> | undefined} */
    let felt;
    let is_gone = false;
    void startsByItself().then((may) => {
      if (!may || is_gone) return;
      felt = watchHeading((read) => {
        if (typeof read !== 'string') felt?.stop();
        else if (read === 'none') setMute(true);
      });
    });
    return () => {
      is_gone = true;
      felt?.stop();
    };
  }, []);
  return is_mute;
}

/** @param {Bearing} value */
function told(value) {
  const figure = trueFigure(value);
  const read = value.reference === 'magnetic' ? `${number(value.read_deg, 0)}° ${words.magnetic}` : '';
  const is_true = figure.is_known ? `${bearing(figure.true_deg)} ${words.true}` : words.not_yet_true;
  return [read, `${is_true} ± ${Math.max(1, Math.round(value.plus_minus_deg ?? figure.plus_minus_deg))}°`].filter(Boolean).join(' → ');
}
