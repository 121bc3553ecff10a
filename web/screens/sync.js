/**
 * Where everything stands: one honest line, what keeps it from going on, what waits and why.
 * Not for: doing it (notebook/sync.js).
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { Button, Page } from '../parts/page.js';
import { Facts } from '../parts/figure.js';
import { useStanding } from '../session.js';
import { moment } from '../times.js';
import { sync as shared, where } from '../words.js';
import { rescue, sync as words } from '../words_book.js';
import { door } from '../words_door.js';
import { ClockOff } from './sync_clock.js';
import { Room } from './sync_room.js';
import { Waiting } from './sync_waiting.js';
import './book_styles.js';

const SHIFTED_MS = 600_000; // less is not worth shifting a trip's times for

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const state = useStanding(notebook);
  const [asked, setAsked] = useState(false);
  if (state === undefined) return html`<${Page} title=${words.title} />`;
  const busy = asked || state.sync.phase === 'syncing';
  const now = async () => {
    setAsked(true);
    await notebook.sync.now();
    setAsked(false);
  };
  return html`<${Page} title=${words.title} act=${{ label: busy ? words.busy : words.now, onAct: now, disabled: busy }} more=${[{ label: rescue.title, to: 'rescue' }]}>
    ${state.fresh === 'lost' || (state.fresh === 'new' && state.last_sync === null) ? html`<section class="undecided" role="alert"><p>${state.fresh === 'lost' ? words.lost : words.fresh}</p><${Button} act=${{ label: words.read, onAct: () => read(notebook) }} kind="large" /></section>` : null}
    <section><p class="honest" role="status">${shared.line(state)}</p>${why(state)}</section>
    ${Math.abs(state.clock_off_ms ?? 0) > SHIFTED_MS ? html`<${ClockOff} notebook=${notebook} off_ms=${state.clock_off_ms} />` : null}
    ${state.parked > 0 || state.conflicts > 0
      ? html`<section class="acts">
          ${state.parked > 0 ? html`<${Button} act=${{ label: `${words.parked}: ${state.parked}`, to: 'parked' }} kind="large" />` : null}
          ${state.conflicts > 0 ? html`<${Button} act=${{ label: `${words.conflicts}: ${state.conflicts}`, to: 'conflicts' }} kind="large" />` : null}
        </section>`
      : null}
    <${Waiting} notebook=${notebook} />
    <${Room} notebook=${notebook} state=${state} />
    <section><h2>${words.states}</h2><${Facts} facts=${[[`${where.phone}, ${where.server}, ${where['backed up']}`, words.state_help], [words.last, state.last_sync === null ? words.never : moment(state.last_sync)]]} /></section>
  </${Page}>`;
}

/** Say why it does not go on. @param {import('../notebook/types.d.ts').NotebookState} state */
function why({ sync, last_sync }) {
  if (sync.trouble === null) return html`<p class="soft">${words.on_open}</p>`;
  const next = sync.phase !== 'waiting' ? '' : sync.next_at === null ? words.on_return : words.next(moment(sync.next_at));
  return html`<p>${sync.trouble === 'unpaired' && last_sync === null ? words.not_paired : words.reasons[sync.trouble]}</p>
    ${sync.message ? html`<p class="soft">${words.server_says}: ${sync.message}</p>` : null}
    ${sync.trouble === 'unpaired' ? html`<${Button} act=${{ label: door.pair, to: 'pair' }} kind="large" />` : null}
    ${next ? html`<p class="soft">${next}</p>` : null}`;
}

/** @param {import('../session.js').Notebook} notebook */
async function read(notebook) {
  await notebook.acknowledgeFresh();
  void notebook.sync.now();
}
