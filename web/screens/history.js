/** Every change of one record: who, when, what; each Save undone by one tap. */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { DELETED } from '../notebook/merge.js';
import { stampMs } from '../notebook/stamp.js';
import { Page } from '../parts/page.js';
import { said } from '../parts/said.js';
import { say, sayable } from '../parts/snackbar.js';
import { fieldsOf, useRecords, useSession } from '../session.js';
import { moment } from '../times.js';
import { where } from '../words.js';
import { history as words } from '../words_book.js';
import { labelOf, useRecord } from './facts.js';
import { titlesOf } from '../titles.js';

/**
 * @typedef {import('../notebook/types.d.ts').HistoryItem} HistoryItem
 * @typedef {import('../notebook/types.d.ts').Change} Change
 */

const PAGE = 50;
const AHEAD_MS = 300_000;

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params }) {
  const { id = '' } = params;
  const { schema } = useSession();
  const titles = titlesOf(notebook);
  const [wanted, setWanted] = useState(PAGE);
  const found = useRecord(notebook, id);
  const items = useRecords(notebook, async () => {
    const all = await notebook.history(id);
    const named = all.slice(0, wanted).map(({ change }) => ({ ...NOTHING, id: change.record, kind: change.kind, values: change.set }));
    await titles.learn(named);
    return all;
  }, [id, wanted]);
  const zone = found?.zone;
  const undo = async (/** @type {string} */ group) => {
    const { group: made, left } = await notebook.undo(group, { label: words.undone });
    if (made === undefined) say(words.nothing_left);
    else sayable(notebook, made, left.length === 0 ? words.undone : words.undone_in_part);
  };
  return html`<${Page} title=${words.title} kicker=${found?.title ?? ''} lead=${words.lead} up=${`record/${id}`}>
    ${items?.length === 0 ? html`<p>${words.none}</p>` : null}
    <ol class="story">${(items ?? []).slice(0, wanted).map((item) => html`<li key=${item.change.id}>${told(item)}</li>`)}</ol>
    ${items && items.length > wanted ? html`<button type="button" class="act large" onClick=${() => setWanted(wanted + PAGE)}>${words.more}</button>` : null}
  </${Page}>`;

  /** @param {HistoryItem} item */
  function told({ change, mine, where: stands, parked }) {
    const undoable = parked === undefined && change.group !== undefined;
    const ahead = stampMs(change.hlc) > Date.now() + AHEAD_MS ? ` · ${words.ahead}` : '';
    return html`
      <p class="story-head"><b>${whenOf(change)}</b> <span>${whoOf(change.device, mine)}</span> <span class="soft">${stands === 'parked' ? words.parked : where[stands]}${ahead}</span></p>
      <dl class="story-set">${Object.entries(change.set).map(([register, value]) => html`<div key=${register}>
        <dt>${labelOf(schema, change.kind, register)}</dt>
        <dd>${register === DELETED ? (value ? words.removed : words.restored) : value === null ? words.cleared : said(fieldsOf(schema, change.kind).find((field) => field.name === register), value, { names: titles, zone })}</dd>
      </div>`)}</dl>
      ${parked?.message ? html`<p>${parked.message}</p>` : null}
      ${undoable ? html`<button type="button" class="act" onClick=${() => undo(/** @type {string} */ (change.group))}>${words.undo}</button>` : null}`;
  }
}

const NOTHING = /** @type {any} */ ({ heads: {}, screen: {} });

/** Write when a change was made, on its writer's clock. @param {{wall?: number | undefined, tz_min?: number | undefined}} change */
export function whenOf({ wall }) {
  return wall === undefined ? '' : moment(wall);
}

/** Write who made a change. @param {string | undefined} device @param {boolean} mine */
export function whoOf(device, mine) {
  if (mine) return words.this_phone;
  return device === undefined ? words.server : words.other_phone(device.slice(-4));
}

