/**
 * The phone's compass in a field: on by a tap, off by the tap that holds it.
 * Not for: reading it (sensing/heading.js).
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { askToFeel, bearingOf, watchHeading } from '../sensing/heading.js';
import { bearing } from '../units.js';
import { field as words } from '../words.js';

/** @typedef {import('../sensing/heading.js').Heading} Heading */

/** @param {{label: string, onHold: (bearing: {read_deg: number, plus_minus_deg: number}) => void}} props */
export function HeldHeading({ label, onHold }) {
  const [shown, setShown] = useState(/** @type {Heading | string | null} */ (null));
  const watch = useRef(/** @type {ReturnType<typeof watchHeading> | null} */ (null));
  useEffect(() => () => watch.current?.stop(), []);
  const start = async () => {
    setShown('');
    if ((await askToFeel()) !== 'granted') return setShown('none');
    watch.current = watchHeading(setShown);
    return undefined;
  };
  const hold = () => {
    const held = watch.current?.hold();
    watch.current = null;
    setShown(null);
    if (held) onHold(bearingOf(held));
  };
  if (shown === null) return html`<button type="button" class="act large" onClick=${start}>${words.aim}<span class="hidden">: ${label}</span></button>`;
  if (typeof shown === 'string') return html`<p class="help" role="status">${shown === '' ? words.aim_help : words.no_compass}</p>`;
  return html`<button type="button" class="act large held" onClick=${hold}><span class="value">${bearing(shown.read_deg)}</span> ± ${Math.round(shown.plus_minus_deg)}°<span class="word">${words.held}</span></button>`;
}
