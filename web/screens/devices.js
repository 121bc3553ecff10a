/** The devices that are in: seen when, taken off, named; and what happened at the door. */

import { askDoor, useDoor } from '../door.js';
import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { Empty } from '../parts/empty.js';
import { Facts } from '../parts/figure.js';
import { Button, Page } from '../parts/page.js';
import { Sheet } from '../parts/sheet.js';
import { say } from '../parts/snackbar.js';
import { moment } from '../times.js';
import { kinds } from '../words.js';
import { devices as words, door } from '../words_door.js';
import { AddDevice } from './devices_add.js';
import { DoorWords, Line, Sure } from './door_parts.js';

const MOST_SAVES = 20;
const when = (/** @type {string} */ at) => moment(Date.parse(at));

export function Screen() {
  const mine = useDoor('door');
  const { said, trouble, again } = useDoor('devices');
  const [adding, setAdding] = useState(false);
  const [open, setOpen] = useState(/** @type {any} */ (null));
  const [turn, setTurn] = useState(0);
  const is_owner = mine.said?.me?.role === 'owner';
  const done = () => {
    setOpen(null);
    setAdding(false);
    setTurn(turn + 1);
    again();
  };
  return html`<${Page} title=${door.devices} lead=${words.lead} act=${is_owner ? { label: words.add, onAct: () => setAdding(true) } : undefined} more=${is_owner ? [{ label: door.people, to: 'people' }] : []}>
    <${DoorWords} trouble=${trouble} again=${again} />
    ${said?.devices.length === 0 ? html`<${Empty} text=${words.none} />` : null}
    <ul class="rows">
      ${(said?.devices ?? []).map(
        (/** @type {any} */ one) => html`<li key=${one.id}><button type="button" class="row" onClick=${() => setOpen(one)}>
          <span class="row-title">${one.name}${one.this_one ? ` (${words.this_one})` : ''}</span>
          <span class="row-note">${one.person_name ?? ''}</span>
          <span class="row-state">${one.revoked_at ? words.off(when(one.revoked_at), one.wipe_asked_at !== null) : one.seen_at ? words.seen(when(one.seen_at)) : words.never}</span>
        </button></li>`,
      )}
    </ul>
    ${is_owner ? html`<${Events} key=${turn} />` : null}
    ${open ? html`<${Device} one=${open} is_owner=${is_owner} onClose=${() => setOpen(null)} onDone=${done} />` : null}
    ${adding ? html`<${AddDevice} onClose=${() => setAdding(false)} onDone=${done} />` : null}
  </${Page}>`;
}

/** @param {{one: any, is_owner: boolean, onClose: () => void, onDone: () => void}} props */
function Device({ one, is_owner, onClose, onDone }) {
  const [name, setName] = useState(one.name);
  const [sure, setSure] = useState(false);
  const wrote = useDoor(is_owner && one.changes > 0 ? `devices/${one.id}/wrote` : null).said?.saves;
  const attempt = (/** @type {string} */ act, /** @type {Record<string, unknown>} */ body, /** @type {(said: any) => string} */ told) =>
    askDoor(`devices/${one.id}/${act}`, body).then(
      (said) => {
        say(told(said));
        onDone();
      },
      (trouble) => say(trouble.message),
    );
  const off = (/** @type {boolean} */ wipe) => attempt('revoke', { wipe }, () => words.revoked);
  if (sure) {
    const undo = () => attempt('undo', {}, (said) => words.undone(said.undone, said.saves));
    return html`<${Sure} title=${words.undo} text=${words.undo_sure} onDo=${undo} onClose=${() => setSure(false)} />`;
  }
  return html`<${Sheet} title=${one.name} onClose=${onClose}><div class="door-stack">
    <${Facts} facts=${[[words.whose, one.person_name], [words.paired, when(one.paired_at)], [words.written, words.wrote(one.changes)]]} />
    ${one.revoked_at
      ? html`<p>${words.off(when(one.revoked_at), one.wipe_asked_at !== null)}</p>`
      : html`<${Line} id="device-name" label=${words.name} value=${name} onText=${setName} />
          <${Button} act=${{ label: words.rename, onAct: () => attempt('name', { name }, () => words.rename), disabled: name.trim() === '' || name === one.name }} />
          <p>${words.revoke_help}</p>
          <${Button} act=${{ label: words.revoke, onAct: () => off(false) }} kind="large" />
          <${Button} act=${{ label: words.revoke_wipe, onAct: () => off(true) }} />`}
    ${wrote ? html`<ul class="door-events">${wrote.slice(0, MOST_SAVES).map((/** @type {any} */ save) => html`<li key=${save.group}><b>${when(save.received_at)}</b> ${words.wrote(save.changes)}: ${save.kinds.map((/** @type {string} */ kind) => kinds[kind]?.one ?? kind).join(', ')}</li>`)}</ul>` : null}
    ${is_owner && one.changes > 0 ? html`<${Button} act=${{ label: words.undo, onAct: () => setSure(true) }} />` : null}
  </div></${Sheet}>`;
}

/** What happened at the door, the latest first. */
function Events() {
  const { said } = useDoor('audit');
  if (said === undefined || said.events.length === 0) return null;
  return html`<section><h2>${words.events}</h2><ul class="door-events">
    ${said.events.slice(0, 30).map(
      (/** @type {any} */ one) => html`<li key=${one.number}><b>${when(one.at)}</b> ${[one.device ?? one.person, one.says].filter(Boolean).join(' ')}${one.detail ? ` (${one.detail})` : ''}</li>`,
    )}
  </ul></section>`;
}
