/** What this phone is set to: look, hand, units, clock; and what it promises. */

import { html } from '../doors/htm.js';
import { Chips } from '../parts/chips.js';
import { Facts } from '../parts/figure.js';
import { Page } from '../parts/page.js';
import { Stepper } from '../parts/stepper.js';
import { setPhone, usePhone } from '../phone.js';
import { useStanding } from '../session.js';
import { useOffline } from '../update.js';
import { bytes } from '../units.js';
import { setup as words } from '../words.js';

/** @param {Record<string, string>} named */
const choices = (named) => Object.entries(named).map(([value, label]) => ({ value, label }));

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const phone = usePhone();
  const state = useStanding(notebook);
  const offline = useOffline();
  /** @param {string} title @param {string} name @param {Record<string, string>} named @param {(value: any) => any} [read] */
  const choice = (title, name, named, read = (value) => value) => html`<section class="field" role="group" aria-labelledby=${`set-${name}`}>
    <h2 class="field-name" id=${`set-${name}`}>${title}</h2>
    <${Chips} large labelled=${`set-${name}`} choices=${choices(named)} value=${String(phone[/** @type {'look'} */ (name)])} needed onPick=${(/** @type {string} */ value) => setPhone({ [name]: read(value) })} />
  </section>`;
  const kept = state?.persisted === null || state === undefined ? '' : words.protected[state.persisted ? 'true' : 'false'];
  return html`<${Page} title=${words.title} lead=${words.lead} act=${{ label: words.clock_screen, to: 'camera-clock' }}>
    ${choice(words.look, 'look', words.looks)}
    ${phone.look === 'night'
      ? html`<section class="field"><h2 class="field-name">${words.dim}</h2><${Stepper} label=${words.dim} value=${Math.round(phone.dim * 10)} low=${0} high=${9} onStep=${(/** @type {number} */ value) => setPhone({ dim: value / 10 })} /><p class="help">${words.night_note}</p></section>`
      : null}
    ${choice(words.hand, 'hand', words.hands)}
    ${choice(words.units, 'units', words.unit_names)}
    ${choice(words.clock, 'hours', words.clocks, Number)}
    <section class="field">
      <h2 class="field-name">${words.about}</h2>
      <p>${words.offline[offline.state]}</p>
      ${kept ? html`<p>${kept}</p>` : null}
      <${Facts} facts=${[
        [words.version, offline.version],
        ['Kept here', state?.quota ? bytes(state.quota.usage_bytes) : ''],
      ]} />
      <p><a href="vendor/licences.txt">${words.licences}</a></p>
    </section>
  </${Page}>`;
}
