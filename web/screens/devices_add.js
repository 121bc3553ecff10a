/** Letting a device in: the code that it shows, which device that is, whose it will be. */

import { askDoor, useDoor } from '../door.js';
import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { Chips } from '../parts/chips.js';
import { Button } from '../parts/page.js';
import { Sheet } from '../parts/sheet.js';
import { say } from '../parts/snackbar.js';
import { devices as words, door, people as persons } from '../words_door.js';
import { DoorWords, Line, useAttempt } from './door_parts.js';

/** @param {{onClose: () => void, onDone: () => void}} props */
export function AddDevice({ onClose, onDone }) {
  const { said } = useDoor('people');
  const [code, setCode] = useState('');
  const [found, setFound] = useState(/** @type {any} */ (null));
  const [person, setPerson] = useState(/** @type {string | null} */ (null));
  const { trouble, busy, attempt } = useAttempt();
  const look = () => attempt(async () => setFound(await askDoor('pair/look', { user_code: code })));
  const end = (/** @type {string} */ act, /** @type {string} */ told) =>
    attempt(async () => {
      await askDoor(`pair/${act}`, { user_code: code, ...(act === 'grant' ? { person } : {}) });
      say(told);
      onDone();
    });
  const here = (said?.people ?? []).filter((/** @type {any} */ one) => one.removed_at === null);
  return html`<${Sheet} title=${words.add} onClose=${onClose}><div class="door-stack">
    <${DoorWords} trouble=${trouble} />
    ${found === null
      ? html`<${Line} id="add-code" label=${words.code} value=${code} onText=${setCode} help=${words.code_help} />
          <${Button} act=${{ label: words.look, onAct: look, disabled: busy || code.trim() === '' }} kind="main" />`
      : html`<p><b>${words.found(found.name, found.address)}</b></p>
          <p class="door-code">${code.toUpperCase()}</p>
          ${found.known_as ? html`<p>${words.found_known(found.known_as)}</p>` : null}
          <p>${words.compare}</p>
          <p class="field-name" id="add-person">${words.person}</p>
          <${Chips} large labelled="add-person" needed choices=${here.map((/** @type {any} */ one) => ({ value: one.id, label: `${one.name} (${persons.roles[one.role] ?? one.role})` }))} value=${person} onPick=${setPerson} />
          <p><a href="#/people">${persons.add}: ${door.people}</a></p>
          <${Button} act=${{ label: words.grant, onAct: () => void end('grant', words.granted), disabled: busy || person === null }} kind="main" />
          <${Button} act=${{ label: words.deny, onAct: () => void end('deny', words.denied), disabled: busy }} />`}
  </div></${Sheet}>`;
}
