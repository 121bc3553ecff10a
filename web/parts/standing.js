/**
 * Where one stands: one fix, its accuracy shown and getting better, which no Save waits for; asked for again by
 * a tap, and typed where there is none. Not for: taking the fix (sensing/fix.js), or filling it in later (late_pin.js).
 *
 * @typedef {import('../sensing/fix.js').Fix} Fix
 * @typedef {{lat: number, lon: number, accuracy_m?: number, source?: string}} Position
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { typed as readPosition, written } from '../map/coordinates.js';
import { positionOf, takeFix } from '../sensing/fix.js';
import { distance } from '../units.js';
import { field, here as words, trouble as trouble_words } from '../words.js';
import { Typed } from './typed.js';

/**
 * The hook. `handOver`, at a Save without a position, answers what is still being taken: the first usable fix comes
 * in though the screen goes; with a position the fix ends with the screen. `drop` gives it up, since the place is known otherwise; `has_failed`: asked, and none was had.
 * @param {(position: ReturnType<typeof positionOf>) => void} onBetter
 */
export function useHere(onBetter) {
  const [said, setSaid] = useState('');
  const [is_asking, setAsking] = useState(false);
  const [has_failed, setFailed] = useState(false);
  const now = useRef({ taken: /** @type {ReturnType<typeof takeFix> | null} */ (null), is_given: false, is_broken: false, onBetter });
  now.current.onBetter = onBetter;
  useEffect(() => {
    // A phone that is put away stops looking; whoever takes it out again still wants to know.
    const seen = () => document.visibilityState === 'visible' && now.current.is_broken && take();
    document.addEventListener('visibilitychange', seen);
    return () => {
      document.removeEventListener('visibilitychange', seen);
      if (!now.current.is_given) now.current.taken?.stop();
    };
  }, []);
  const take = () => {
    now.current.taken?.stop();
    now.current.is_broken = false;
    setAsking(true);
    setFailed(false);
    setSaid(words.asking);
    const taken = takeFix({ onBetter: (fix) => (setSaid(words.better), now.current.onBetter(positionOf(fix))) });
    now.current.taken = taken;
    void taken.done.then((answer) => {
      if (now.current.taken !== taken) return;
      now.current.taken = null;
      now.current.is_broken = answer === 'stopped';
      setAsking(false);
      setFailed(typeof answer === 'string');
      setSaid(typeof answer === 'string' ? words.no_fix(answer) : '');
    });
  };
  const stop = () => now.current.taken?.stop();
  const drop = () => {
    const { taken } = now.current;
    Object.assign(now.current, { taken: null, is_broken: false });
    taken?.stop();
    setAsking(false);
    setFailed(false);
    setSaid('');
  };
  const handOver = () => {
    now.current.is_given = true;
    now.current.taken?.hurry();
    return now.current.taken?.done ?? null;
  };
  return { said, is_asking, has_failed, take, stop, drop, handOver };
}

/**
 * What is known of where one stands, and the tap that asks for it.
 * @param {{here: ReturnType<typeof useHere>, position: Position | null, again: () => void, children?: import('../types.d.ts').Children}} props
 */
export function Standing({ here, position, again, children = null }) {
  const ask = position ? field.here_again : here.has_failed ? words.try_again : field.here;
  const act = here.is_asking
    ? position && html`<button type="button" class="act other" onClick=${here.stop}>${field.here_stop}</button>`
    : html`<button type="button" class=${position ? 'act other' : 'act large'} onClick=${again}>${ask}</button>`;
  return html`<div class="standing">
    <p class="standing-figure">${position && (position.accuracy_m === undefined ? `${written(position)},` : html`<b>± ${distance(position.accuracy_m)}</b>`)} <span role="status">${here.said || (position?.source ?? '')}</span></p>
    ${act}${children}
  </div>`;
}

/**
 * The same for what a screen keeps half-written: `position`, `stood` as the phone had it, and `place` as typed.
 * @param {{here: ReturnType<typeof useHere>, values: Record<string, any>, put: (more: Record<string, any>) => void, trouble?: string | undefined}} props
 */
export function Placing({ here, values, put, trouble }) {
  const { position = null, stood = null, place = '' } = values;
  const again = () => {
    if (place !== '') put({ place: '', position: stood });
    here.take();
  };
  const type = (/** @type {string} */ text) => {
    const read = placeOf(text);
    if (read !== null) here.drop();
    put({ place: text, position: read ?? stood });
  };
  return html`<${Standing} here=${here} position=${position} again=${again}>
    ${here.has_failed && position === null ? html`<p class="help">${words.without}</p>` : null}
    <details class="other-ways standing-typed" open=${here.has_failed || place !== ''}>
      <summary>${words.type}</summary>
      <div class=${trouble ? 'field bad' : 'field'}>
        <label class="field-name" for="place">${field.typed_position}</label><p class="help" id="place-help">${field.typed_position_help}</p>
        <${Typed} id="place" value=${place} invalid=${trouble !== undefined} describedBy=${trouble ? 'place-wrong' : 'place-help'} onText=${type} />
        <p class="wrong" id="place-wrong" role="alert">${trouble ?? ''}</p>
      </div>
    </details>
  </${Standing}>`;
}

/** Answer a typed place as a position, null while it is none. @param {string} text */
export function placeOf(text) {
  const read = readPosition(text);
  return read && { ...read, source: 'typed' };
}

/** Answer what is wrong with a typed place, by field. @param {string | undefined} text @returns {Record<string, string>} */
export function placeTroubles(text = '') {
  return text.trim() === '' || placeOf(text) !== null ? {} : { place: trouble_words.not_position(text) };
}
