/**
 * Where one stands, while one writes: one fix, its accuracy shown and getting better, which the Save does not
 * wait for. Not for: taking the fix (sensing/fix.js), or filling it in later (late_pin.js).
 *
 * @typedef {import('../sensing/fix.js').Fix} Fix
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { positionOf, takeFix } from '../sensing/fix.js';
import { distance } from '../units.js';
import { field } from '../words.js';
import { here as words } from '../words_write.js';

/**
 * The hook. `handOver` answers the fix that is still being taken, and leaves it running when the screen goes.
 * @param {(position: ReturnType<typeof positionOf>) => void} onBetter
 */
export function useHere(onBetter) {
  const [said, setSaid] = useState('');
  const [is_asking, setAsking] = useState(false);
  const now = useRef({ taken: /** @type {ReturnType<typeof takeFix> | null} */ (null), is_given: false, onBetter });
  now.current.onBetter = onBetter;
  useEffect(
    () => () => {
      if (!now.current.is_given) now.current.taken?.stop();
    },
    [],
  );
  const take = () => {
    now.current.taken?.stop();
    setAsking(true);
    setSaid(words.asking);
    const taken = takeFix({ onBetter: (fix) => (setSaid(words.better), now.current.onBetter(positionOf(fix))) });
    now.current.taken = taken;
    void taken.done.then((answer) => {
      if (now.current.taken !== taken) return;
      now.current.taken = null;
      setAsking(false);
      setSaid(typeof answer === 'string' ? (answer === 'stopped' ? words.stopped : field.no_fix(answer)) : '');
    });
  };
  const stop = () => now.current.taken?.stop();
  const handOver = () => {
    now.current.is_given = true;
    return now.current.taken?.done ?? null;
  };
  return { said, is_asking, take, stop, handOver };
}

/**
 * What is known of where one stands.
 * @param {{here: ReturnType<typeof useHere>, position: {accuracy_m?: number, source?: string} | null, again: () => void}} props
 */
export function Standing({ here, position, again }) {
  const act = here.is_asking
    ? position && html`<button type="button" class="act other" onClick=${here.stop}>${field.here_stop}</button>`
    : html`<button type="button" class="act other" onClick=${again}>${position ? field.here_again : field.here}</button>`;
  return html`<div class="standing">
    <p class="standing-figure">${position ? html`<b>${position.accuracy_m === undefined ? words.there : `± ${distance(position.accuracy_m)}`}</b>` : null} <span role="status">${here.said || (position?.source ?? '')}</span></p>
    ${act}
  </div>`;
}
