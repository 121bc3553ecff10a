/**
 * The compass set by a shadow, step by step, with the eyes on the ground.
 * Not for: the reckoning (true_north.js).
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { NoAnswer, Refusal } from '../engine/engine.js';
import { Sheet } from '../parts/sheet.js';
import { say } from '../parts/snackbar.js';
import { bearing } from '../units.js';
import { field } from '../words.js';
import { shadow as words } from '../words_write.js';
import { startsByItself, useAim } from './aiming.js';
import { setByShadow, unset } from './true_north.js';

/** @param {{notebook: import('../session.js').Notebook, here: {lat: number, lon: number}, isSet: boolean, onSet: () => void, onClose: () => void}} props */
export function ShadowSheet({ notebook, here, isSet, onSet, onClose }) {
  const aim = useAim();
  const [trouble, setTrouble] = useState('');
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    void startsByItself().then((may) => void (may && aim.start()));
  }, []);
  const hold = async () => {
    const { heading } = aim.hold();
    if (heading === null) return;
    setBusy(true);
    try {
      const found = await setByShadow(notebook, heading, here);
      say(words.done(found.correction_deg, found.plus_minus_deg));
      onSet();
    } catch (fault) {
      setTrouble(fault instanceof Refusal ? fault.sentences.join(' ') : fault instanceof NoAnswer ? words.no_engine : words.failed);
    } finally {
      setBusy(false);
    }
  };
  const forget = async () => {
    await unset(notebook);
    onSet();
  };
  const { heading } = aim;
  return html`<${Sheet} title=${words.title} onClose=${onClose}>
    <p class="caution">${words.caution}</p>
    <ol class="steps-told">${words.steps.map((step) => html`<li>${step}</li>`)}</ol>
    <p class="wrong" role="alert">${trouble}</p>
    ${heading !== null
      ? html`<button type="button" class="act large held" onClick=${hold}><span class="value">${bearing(heading.read_deg)}</span><span class="word">${words.hold}</span></button>`
      : html`<button type="button" class="act large" disabled=${busy} onClick=${() => (setTrouble(''), void aim.start())}>${busy ? words.busy : field.aim}</button>
          <p class="help" role="status">${aim.trouble ? words.no_compass : aim.is_on ? field.aim_help : ''}</p>`}
    ${isSet ? html`<button type="button" class="act other" onClick=${forget}>${words.forget}</button>` : null}
  </${Sheet}>`;
}
