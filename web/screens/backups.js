/** How the notebook's backups stand: what is being done, when the last was made, whether it can be restored. */

import { askDoor, useDoor } from '../door.js';
import { html } from '../doors/htm.js';
import { useEffect } from '../doors/preact.js';
import { Facts } from '../parts/figure.js';
import { Page } from '../parts/page.js';
import { say } from '../parts/snackbar.js';
import { moment } from '../times.js';
import { backups as words, door } from '../words_door.js';
import { DoorWords } from './door_parts.js';

const LOOK_MS = 1500;
const when = (/** @type {string} */ at) => moment(Date.parse(at));

export function Screen() {
  const { said, trouble, again } = useDoor('backups');
  const busy = said?.running ?? null;
  useEffect(() => {
    if (busy === null) return undefined;
    const timer = setTimeout(again, LOOK_MS);
    return () => clearTimeout(timer);
  }, [said]);
  const ask = (/** @type {string} */ path) =>
    askDoor(path, {}).then(
      () => setTimeout(again, LOOK_MS / 3),
      (fault) => say(fault.message),
    );
  const is_set = said !== undefined && said.into !== null;
  const acts = is_set ? { act: { label: words.now, onAct: () => ask('backups'), disabled: busy !== null }, more: [{ label: words.try, onAct: () => ask('backups/drill'), disabled: busy !== null || said.made.length === 0 }] } : {};
  return html`<${Page} title=${door.backups} lead=${words.lead} ...${acts}>
    <${DoorWords} trouble=${trouble} again=${again} />
    ${said === undefined ? null : is_set ? html`<${Standing} said=${said} />` : html`<p>${words.none_set}</p><p class="door-box"><code>${said.start}</code></p>`}
  </${Page}>`;
}

/** @param {{said: any}} props */
function Standing({ said }) {
  const { running, last } = said;
  const told = (/** @type {any} */ one) => (one === undefined ? words.never : html`${when(one.at)}: ${one.says}`);
  return html`
    ${running ? html`<section class="door-box" role="status"><p><b>${words.running[running.what] ?? running.what}</b> ${words.progress(running.part, running.done, running.of)}</p><progress class="door-progress" max=${Math.max(1, running.of)} value=${running.done}></progress></section>` : null}
    <${Facts} facts=${[
      [words.into, said.into],
      [words.every, words.hours(said.every_h)],
      [words.next, Date.parse(said.next_at) <= Date.now() ? words.soon : when(said.next_at)],
      [words.last, told(last.backup)],
      [words.drill, told(last.drill)],
    ]} />
    <p class="soft">${words.try_help}</p>
    ${said.made.length === 0 ? null : html`<section><h2>${words.made}</h2><ul class="door-events">${said.made.map((/** @type {any} */ one) => html`<li key=${one.at}><b>${when(one.at)}</b> ${words.changes(one.seq)}, ${one.on_another_disk ? words.elsewhere : words.beside}</li>`)}</ul></section>`}`;
}
