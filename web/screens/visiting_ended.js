/**
 * A visit that has ended: what it was, frames and keepers and what failed, all of it optional.
 * Not for: the record's own page.
 *
 * @typedef {import('./visiting_state.js').Running} State
 */

import { html } from '../doors/htm.js';
import { nameOf } from '../names.js';
import { Form } from '../parts/form.js';
import { Page } from '../parts/page.js';
import { address, go } from '../route.js';
import { useRecords } from '../session.js';
import { clock, day } from '../times.js';
import { form } from '../words.js';
import { ending as words } from '../words_visit.js';
import { Entries, Lost, lostOf } from './visiting_entries.js';
import { animalsByUse, msOf } from './visiting_state.js';

/** @param {{notebook: import('../session.js').Notebook, running: State}} props */
export function Ended({ notebook, running }) {
  const { visit, site, zone, sightings, vantages, perches } = running;
  const animals = useRecords(notebook, () => animalsByUse(notebook)) ?? [];
  const named = (/** @type {string | undefined} */ id) => {
    const found = [...animals, ...vantages, ...perches].find((one) => one.id === id);
    return found === undefined ? '' : nameOf(found);
  };
  const [start_ms, end_ms] = [msOf(visit.values.start), msOf(visit.values.end)];
  const span = `${day(start_ms, zone)} ${clock(start_ms, zone)}–${clock(end_ms, zone)}`;
  return html`<${Page} title=${words.title} kicker=${`${site ? nameOf(site) : ''} · ${span}`} up="write" act=${{ label: form.save, form: 'form' }} more=${[{ label: words.later, to: 'write' }]}>
    <p class="verdict">${sightings.length > 0 ? words.seen(sightings.length) : `${words.blank}${lostOf(running).length > 0 ? '' : ` ${words.worth}`}`}</p>
    <${Lost} notebook=${notebook} running=${running} />
    <section><h2>${words.told}</h2>
      <${Form} key=${visit.id} kind="visit" record=${visit} zone=${zone} fields=${['failed_by', 'frames', 'keepers', 'note']} open=${['failed_by', 'frames', 'keepers', 'note']} onSaved=${() => go('write', { instead: true })} />
    </section>
    <${Entries} notebook=${notebook} running=${running} named=${named} />
    <p><a class="act other" href=${address(`visit/${visit.id}`)}>${words.page}</a></p>
  </${Page}>`;
}
