/** The people of the notebook: what each may do, and at which sites. */

import { askDoor, useDoor } from '../door.js';
import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { Chips } from '../parts/chips.js';
import { Button, Page } from '../parts/page.js';
import { Sheet } from '../parts/sheet.js';
import { say } from '../parts/snackbar.js';
import { useRecords } from '../session.js';
import { door, people as words } from '../words_door.js';
import { DoorWords, Line, Sure } from './door_parts.js';

const NEW = { id: null, name: '', role: 'viewer', sites: null };
const MOST_SITES = 100;

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const { said, trouble, again } = useDoor('people');
  const sites = useRecords(notebook, () => notebook.all('site', { limit: MOST_SITES }));
  const [open, setOpen] = useState(/** @type {any} */ (null));
  const here = (said?.people ?? []).filter((/** @type {any} */ one) => one.removed_at === null);
  const done = () => {
    setOpen(null);
    again();
  };
  return html`<${Page} title=${door.people} lead=${words.lead} up="devices" act=${said === undefined ? undefined : { label: words.add, onAct: () => setOpen(NEW) }}>
    <${DoorWords} trouble=${trouble} again=${again} />
    <ul class="rows">
      ${here.map(
        (/** @type {any} */ one) => html`<li key=${one.id}><button type="button" class="row" onClick=${() => setOpen(one)}>
          <span class="row-title">${one.name}</span>
          <span class="row-note">${words.roles[one.role] ?? one.role}</span>
          <span class="row-state">${one.sites === null ? words.all : words.sites(one.sites.length)}</span>
        </button></li>`,
      )}
    </ul>
    ${open ? html`<${Person} key=${open.id} one=${open} sites=${sites ?? []} onClose=${() => setOpen(null)} onDone=${done} />` : null}
  </${Page}>`;
}

/** @param {{one: any, sites: import('../notebook/types.d.ts').Rec[], onClose: () => void, onDone: () => void}} props */
function Person({ one, sites, onClose, onDone }) {
  const [name, setName] = useState(one.name);
  const [role, setRole] = useState(one.role);
  const [some, setSome] = useState(/** @type {string[] | null} */ (one.sites));
  const [trouble, setTrouble] = useState(/** @type {any} */ (null));
  const [sure, setSure] = useState(false);
  const attempt = (/** @type {string} */ path, /** @type {Record<string, unknown>} */ body, /** @type {string} */ told) =>
    askDoor(path, body).then(
      () => {
        say(told);
        onDone();
      },
      (fault) => {
        setSure(false);
        setTrouble(fault);
      },
    );
  const save = () => attempt(one.id === null ? 'people' : `people/${one.id}`, { name, role, sites: role === 'owner' ? null : some }, words.saved);
  if (sure) return html`<${Sure} title=${words.remove} text=${words.remove_sure} onDo=${() => void attempt(`people/${one.id}/remove`, {}, words.removed)} onClose=${() => setSure(false)} />`;
  const choices = Object.entries(words.roles).map(([value, label]) => ({ value, label }));
  return html`<${Sheet} title=${one.id === null ? words.add : one.name} onClose=${onClose}><div class="door-stack">
    <${DoorWords} trouble=${trouble} />
    <${Line} id="person-name" label=${words.name} value=${name} onText=${setName} />
    <p class="field-name" id="person-role">${words.role}</p>
    <${Chips} labelled="person-role" needed choices=${choices} value=${role} onPick=${setRole} />
    ${role === 'owner'
      ? null
      : html`<p class="field-name" id="person-scope">${words.scope}</p>
          <${Chips} labelled="person-scope" needed choices=${[{ value: 'all', label: words.all }, { value: 'some', label: words.some }]} value=${some === null ? 'all' : 'some'} onPick=${(/** @type {string} */ value) => setSome(value === 'all' ? null : [])} />
          ${some === null ? null : html`<${Chips} label=${words.some} many choices=${sites.map((site) => ({ value: site.id, label: String(site.values.name ?? '') }))} value=${some} onPick=${setSome} />`}
          <p class="help">${words.scope_help}</p>`}
    <${Button} act=${{ label: words.save, onAct: () => void save(), disabled: name.trim() === '' }} kind="main" />
    ${one.id === null ? null : html`<${Button} act=${{ label: words.remove, onAct: () => setSure(true) }} />`}
  </div></${Sheet}>`;
}
