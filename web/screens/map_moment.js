/**
 * The moment for which the sightlines show their light, chosen in steps. It is there only where the light can
 * be answered. Not for: computing it.
 *
 * @typedef {{at_ms: number, toward?: 'sun clears' | 'best'}} Asked `toward`: the next such moment after it
 * @typedef {import('../engine/moments.js').Lines & {at_ms: number, words?: string, about: string}} Answered
 * @typedef {(asked: Asked, site: string) => Promise<Answered | null>} AnswerFor null where it cannot say
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { moment } from '../times.js';
import { WORDS } from '../map/words.js';

const { moment: SAID } = WORDS;
const MINUTE_MS = 60_000;

/**
 * @param {{answerFor: AnswerFor, site: string, zone: string, onLines: (lines: Answered | null) => void}} props site: the one in view
 */
export function Moment({ answerFor, site, zone, onLines }) {
  const [isThere, setThere] = useState(true); // until it is known: what came later would move the map under a finger
  const [shown, setShown] = useState(/** @type {Answered | null} */ (null));
  const asked = useRef(0);

  const ask = async (/** @type {Asked} */ wanted) => {
    const mine = ++asked.current;
    const answer = await answerFor(wanted, site).catch(() => null);
    return mine === asked.current ? answer : undefined;
  };
  const put = (/** @type {Answered | null} */ answer) => {
    setShown(answer);
    onLines(answer);
  };
  useEffect(() => {
    void ask({ at_ms: shown?.at_ms ?? Date.now() }).then((answer) => {
      if (answer === undefined) return;
      setThere(answer !== null);
      if (shown !== null) put(answer);
    });
    return () => onLines(null);
  }, [answerFor, site]);

  /** @param {Asked} wanted */
  const choose = async (wanted) => {
    const answer = await ask(wanted);
    if (answer) put(answer);
  };
  const step = (/** @type {number} */ minutes) => () => {
    const from = shown?.at_ms ?? Math.floor(Date.now() / MINUTE_MS) * MINUTE_MS;
    void choose({ at_ms: from + minutes * MINUTE_MS });
  };
  const off = () => {
    asked.current += 1;
    put(null);
  };
  if (!isThere) return null;
  const toward = (/** @type {'sun clears' | 'best'} */ what) => () => void choose({ at_ms: shown?.at_ms ?? Date.now(), toward: what });
  return html`<section class="map-moment" aria-label=${SAID.heading}>
    <p role="status">${shown !== null && html`${SAID.heading} <b>${moment(shown.at_ms, zone)}</b> ${shown.words ?? ''} <small>${shown.about}</small>`}</p>
    ${shown !== null && html`<p class="soft"><small>${SAID.key}</small></p>`}
    ${shown !== null &&
    html`<div class="map-row">
      <button type="button" onClick=${step(-15)} aria-label=${`${SAID.earlier15} ${SAID.minutes}`}>${SAID.earlier15}</button>
      <button type="button" onClick=${step(-1)} aria-label=${`${SAID.earlier1} ${SAID.minutes}`}>${SAID.earlier1}</button>
      <button type="button" onClick=${step(1)} aria-label=${`${SAID.later1} ${SAID.minutes}`}>${SAID.later1}</button>
      <button type="button" onClick=${step(15)} aria-label=${`${SAID.later15} ${SAID.minutes}`}>${SAID.later15}</button>
      <button type="button" onClick=${off}>${SAID.off}</button>
    </div>`}
    <div class="map-row">
      <button type="button" onClick=${() => void choose({ at_ms: Date.now() })}>${shown === null ? SAID.lightNow : SAID.now}</button>
      <button type="button" onClick=${toward('sun clears')}>${SAID.sunClears}</button>
      <button type="button" onClick=${toward('best')}>${SAID.best}</button>
    </div>
  </section>`;
}
