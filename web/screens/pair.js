/**
 * Pairing this phone: what it is now, a code to be shown, a printed one to be typed, and what is left to a
 * phone that was taken off. Not for: letting others in (devices.js).
 */

import { askDoor, useDoor } from '../door.js';
import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { Facts } from '../parts/figure.js';
import { Button, Page } from '../parts/page.js';
import { say } from '../parts/snackbar.js';
import { go } from '../route.js';
import { useOffline } from '../update.js';
import { door, pair as words } from '../words_door.js';
import { DoorWords, Line, Sure, useAttempt } from './door_parts.js';
import { ShownCode } from './pair_code.js';
import { Gone } from './pair_gone.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, query }) {
  const { said, trouble, again } = useDoor('door');
  const paired = (/** @type {any} */ me) => {
    say(words.paired_now(me.name));
    void notebook.sync.now();
    go('sync', { instead: true });
  };
  if (said === undefined) {
    return html`<${Page} title=${door.pair} lead=${words.lead}>${trouble === null ? html`<p class="soft">${door.asking}</p>` : html`<${DoorWords} trouble=${trouble} again=${again} />`}</${Page}>`;
  }
  if (said.paired) return html`<${Page} title=${door.pair}><${Mine} me=${said.me} again=${again} /></${Page}>`;
  return html`<${Page} title=${door.pair} lead=${words.lead}>
    ${said.code === 'not_paired' ? null : html`<${Gone} notebook=${notebook} says=${said.message} wipe=${said.wipe === true} />`}
    <${Padlock} help=${said.help} />
    <${Ways} device=${notebook.device} once=${query.once ?? ''} onPaired=${paired} />
  </${Page}>`;
}

/** Who this phone is paired as. @param {{me: any, again: () => void}} props */
function Mine({ me, again }) {
  const [sure, setSure] = useState(false);
  if (me.at_the_machine) return html`<p>${words.at_machine}</p><${Button} act=${{ label: door.devices, to: 'devices' }} kind="large" />`;
  const leave = async () => {
    setSure(false);
    await askDoor('door/leave', {}).then(() => say(words.left), (trouble) => say(trouble.message));
    again();
  };
  return html`<p>${words.paired_as(me.name, words.roles[me.role] ?? me.role)} ${words.may[me.role] ?? ''} ${me.sites === null ? '' : words.some_sites(me.sites.length)}</p>
    <${Facts} facts=${[[words.name, me.device_name]]} />
    <section class="acts"><${Button} act=${{ label: door.devices, to: 'devices' }} kind="large" /><${Button} act=${{ label: words.leave, onAct: () => setSure(true) }} /></section>
    ${sure ? html`<${Sure} title=${words.leave} text=${words.leave_sure} label=${words.leave} onDo=${leave} onClose=${() => setSure(false)} />` : null}`;
}

/** Say what keeps the app from working without signal. @param {{help: string | undefined}} props */
function Padlock({ help }) {
  const { state } = useOffline();
  const [refused, setRefused] = useState(false);
  useEffect(() => {
    if (state !== 'not_yet') return;
    // Behind a warning that was clicked away the app opens, and yet the browser keeps nothing of it.
    navigator.serviceWorker.register('sw.js', { updateViaCache: 'none' }).catch(() => setRefused(true));
  }, [state]);
  const is_apple = 'standalone' in navigator && /** @type {any} */ (navigator).standalone === false;
  return html`
    ${refused || state === 'insecure' || state === 'unable' ? html`<section class="undecided" role="alert"><p>${words.padlock}</p>${help ? html`<p>${words.padlock_help} <b>${help}</b></p>` : null}</section>` : null}
    ${is_apple ? html`<section class="undecided"><p>${words.standalone}</p></section>` : null}`;
}

/** @param {{device: string, once: string, onPaired: (me: any) => void}} props */
function Ways({ device, once, onPaired }) {
  const guess = words.guesses.find(([sign]) => sign.test(navigator.userAgent))?.[1] ?? '';
  const [name, setName] = useState(guess);
  const [typed, setTyped] = useState('');
  const [shown, setShown] = useState(/** @type {any} */ (null));
  const { trouble, setTrouble, busy, attempt } = useAttempt();
  const start = () => attempt(async () => setShown(await askDoor('pair/start', { device, name })));
  const claim = (/** @type {string} */ secret) => attempt(async () => onPaired((await askDoor('pair/claim', { typed: secret, device, name })).me));
  const stopped = (/** @type {any} */ why) => {
    setShown(null);
    setTrouble(why);
  };
  if (shown !== null) return html`<${ShownCode} shown=${shown} onPaired=${onPaired} onStopped=${stopped} />`;
  return html`<div class="door-stack">
    <${DoorWords} trouble=${trouble} />
    <${Line} id="pair-name" label=${words.name} value=${name} onText=${setName} help=${words.name_help} />
    ${once
      ? html`<section class="door-box door-stack"><p>${words.linked}</p><${Button} act=${{ label: words.claim_link, onAct: () => claim(once), disabled: busy }} kind="main" /></section>`
      : html`<${Button} act=${{ label: words.show, onAct: start, disabled: busy || name.trim() === '' }} kind="large" />
          <section class="door-box door-stack">
            <${Line} id="pair-typed" label=${words.typed} value=${typed} onText=${setTyped} help=${words.typed_help} />
            <${Button} act=${{ label: words.claim, onAct: () => claim(typed), disabled: busy || typed.trim() === '' || name.trim() === '' }} />
          </section>`}
  </div>`;
}
