/** A code shown until an owner has typed it: the phone asks now and then, and is let in. */

import { askDoor } from '../door.js';
import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { Button } from '../parts/page.js';
import { pair as words } from '../words_door.js';

/**
 * @param {{shown: {device_code: string, user_code: string, expires_in: number, interval: number}, onPaired: (me: any) => void, onStopped: (trouble: any) => void}} props
 *   onStopped hears why it ended, or null where the person stopped it
 */
export function ShownCode({ shown, onPaired, onStopped }) {
  const [left_min, setLeft] = useState(Math.ceil(shown.expires_in / 60));
  const ends_ms = useRef(Date.now() + shown.expires_in * 1000);
  useEffect(() => {
    let stopped = false;
    let wait_ms = shown.interval * 1000;
    /** @type {ReturnType<typeof setTimeout>} */
    let timer;
    const ask = async () => {
      setLeft(Math.max(0, Math.ceil((ends_ms.current - Date.now()) / 60_000)));
      try {
        const said = await askDoor('pair/poll', { device_code: shown.device_code });
        if (!stopped) onPaired(said.me);
        return;
      } catch (trouble) {
        if (stopped) return;
        const { code, after_s } = /** @type {import('../door.js').DoorTrouble} */ (trouble);
        if (code === 'slow_down') wait_ms += 5000; // RFC 8628, 3.5
        else if (code !== 'authorization_pending' && code !== 'away' && code !== 'too_fast') {
          onStopped(trouble);
          return;
        }
        timer = setTimeout(ask, Math.max(wait_ms, after_s * 1000));
      }
    };
    timer = setTimeout(ask, wait_ms);
    return () => {
      stopped = true;
      clearTimeout(timer);
    };
  }, [shown.device_code]);
  return html`<section class="door-box door-stack">
    <h2>${words.shown}</h2>
    <p class="door-code">${shown.user_code}</p>
    <p>${words.shown_where}</p>
    <p class="soft" role="status">${words.waiting} ${words.ends(left_min)}</p>
    <${Button} act=${{ label: words.stop, onAct: () => onStopped(null) }} />
  </section>`;
}
