/** UTC, large, to be photographed: it tells how far the camera's clock is off. */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { Page } from '../parts/page.js';
import { clockFace, everySecond } from '../sensing/camera_clock.js';
import { useStanding } from '../session.js';
import { camera_clock as words } from '../words.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const off_ms = useStanding(notebook)?.clock_off_ms ?? 0;
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
