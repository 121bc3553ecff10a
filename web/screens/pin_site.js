/**
 * To which site a new pin belongs, and the pins that still wait for a position.
 * Not for: deciding it where nobody chose (pin_edits.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 */

import { html } from '../doors/htm.js';
import { nextName, siteAt } from '../map/placing.js';
import { WORDS as MAP } from '../map/words.js';
import { choicesOf, nameOf } from '../names.js';
import { Chips } from '../parts/chips.js';
import { Button } from '../parts/page.js';
import { say } from '../parts/snackbar.js';
import { Typed } from '../parts/typed.js';
import { takeFix } from '../sensing/fix.js';
import { ownZone } from '../times.js';
import { here, kinds } from '../words.js';
import { pin as words } from '../words_write.js';
import { fillPinLater } from './late_pin.js';
import { nearestFirst } from './near.js';

const OFFERED = 3;

/**
 * @param {{sites: readonly Rec[], position: {lat: number, lon: number} | null, chosen: string | null | undefined, site_name: string | undefined, put: (more: Record<string, any>) => void}} props
 */
export function SiteAsk({ sites, position, chosen, site_name, put }) {
  const sorted = nearestFirst(sites.map(asPin), position).map((one) => one.rec);
  const picked = sorted.find((one) => one.id === chosen);
  const offered = [...new Set([...sorted.slice(0, OFFERED), ...(picked ? [picked] : [])])];
  const is_new = chosen === 'new' || (!chosen && position !== null && siteAt(sites, position) === null);
  const name = nextName(MAP.newSite, sites.map((one) => String(one.values.name ?? '')));
  const choices = [...choicesOf(offered), { value: 'new', label: words.new_site }];
  return html`<div class="field"><p class="field-name">${words.site}</p>
    ${sites.length > 0 ? html`<${Chips} label=${words.site} choices=${choices} value=${is_new ? 'new' : chosen} onPick=${(/** @type {string | null} */ site) => put({ site })} />` : null}
    ${is_new
      ? html`<p class="help" role="status">${chosen === 'new' ? '' : words.new_site_here(site_name?.trim() || name)}</p>
          <label class="field-name" for="site_name">${words.new_site_name}</label>
          <${Typed} id="site_name" value=${site_name ?? ''} placeholder=${words.name_else(name)} onText=${(/** @type {string} */ text) => put({ site_name: text })} />`
      : chosen || position !== null
        ? null
        : html`<p class="help">${words.site_later}</p>`}
  </div>`;
}

/** A site as the lists of pins look at one. @param {Rec} rec @returns {Rec} */
function asPin(rec) {
  return { ...rec, values: { ...rec.values, position: rec.values.centre } };
}

/** Pins saved without a position, to be given one. @param {{notebook: import('../session.js').Notebook, recs: readonly Rec[]}} props */
export function Waiting({ notebook, recs }) {
  if (recs.length === 0) return null;
  return html`<section class="waiting"><h2>${words.without}</h2>
    <ul class="rows">${recs.map(
      (rec) => html`<li key=${rec.id} class="waiting-one"><a href=${`#/${rec.kind}/${rec.id}`}>${nameOf(rec)}</a><${Button} act=${{ label: words.take_now, onAct: () => void standAt(notebook, rec) }} /></li>`,
    )}</ul>
  </section>`;
}

/** Take a position for a pin that has none. @param {import('../session.js').Notebook} notebook @param {Rec} rec */
export async function standAt(notebook, rec) {
  say(here.asking);
  const { done } = takeFix();
  const answer = await fillPinLater(notebook, { id: rec.id, label: kinds[rec.kind]?.one ?? rec.kind, zone: ownZone() }, done);
  const why = await done;
  if (answer !== 'left alone') say(answer === 'filled' ? words.filled(nameOf(rec)) : here.no_fix(typeof why === 'string' ? why : ''));
}
