/** A phone whose clock is off: said plainly, and the times of this trip shifted by one tap. */

import { html } from '../doors/htm.js';
import { shifted, tripTimes } from '../notebook/trip.js';
import { Button } from '../parts/page.js';
import { sayable } from '../parts/snackbar.js';
import { useRecords } from '../session.js';
import { moment, ownZone, written } from '../times.js';
import { clock as words } from '../words_book.js';

/** @param {{notebook: import('../session.js').Notebook, off_ms: number}} props off_ms: server time − phone time */
export function ClockOff({ notebook, off_ms }) {
  const times = useRecords(notebook, () => tripTimes(notebook));
  const minutes = Math.round(off_ms / 60_000);
  const shift = async () => {
    const edits = shifted(times ?? [], minutes * 60_000, (at_ms, zone) => written(at_ms, zone ?? ownZone()));
    const saved = await notebook.save(edits, { label: words.label });
    sayable(notebook, saved.group, words.shifted);
  };
  const first = times?.[0];
  const last = times?.at(-1);
  return html`<section class="undecided"><h2>${words.title}</h2>
    <p>${words.off(span(Math.abs(minutes)), minutes > 0)}</p>
    ${first && last
      ? html`<p>${words.trip(times.length, moment(first.at_ms, first.value.zone), moment(last.at_ms, last.value.zone))}</p><${Button} act=${{ label: words.shift(`${minutes > 0 ? '+' : '−'}${span(Math.abs(minutes))}`), onAct: shift }} kind="large" />`
      : html`<p class="soft">${words.none}</p>`}
  </section>`;
}

/** @param {number} minutes */
function span(minutes) {
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  return [hours > 0 ? `${hours} ${words.hours}` : '', rest > 0 || hours === 0 ? `${rest} ${words.minutes}` : ''].filter(Boolean).join(' ');
}
