/** UTC, large, to be photographed: it tells how far the camera's clock is off. */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { Page } from '../parts/page.js';
import { clockFace, everySecond } from '../sensing/camera_clock.js';
import { useStanding } from '../session.js';
import { camera_clock as words } from '../words.js';

const LEAST_MS = 1000; // below this it may be the way to the server that took its time

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const known_ms = useStanding(notebook)?.clock_off_ms ?? 0;
  const off_ms = Math.abs(known_ms) < LEAST_MS ? 0 : known_ms;
  const [face, setFace] = useState(() => clockFace(Date.now(), off_ms));
  useEffect(() => everySecond((now_ms) => setFace(clockFace(now_ms, off_ms)), { off_ms }), [off_ms]);
  return html`<${Page} title=${words.title} lead=${words.lead}>
    <div class="face" role="timer" aria-live="off">
      <p class="face-time">${face.time}</p>
      <p class="face-date">${face.date} <b>${words.utc}</b></p>
    </div>
    ${off_ms === 0 ? null : html`<p>${words.off(Math.round(off_ms / 1000))}</p>`}
  </${Page}>`;
}
