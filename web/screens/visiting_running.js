/**
 * A visit that runs: who is here, and the acts where the thumb is. Each tap is one Save, with its Undo.
 * Not for: what a tap writes (visiting_edits.js), or what it asks first (visiting_sheets.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('../notebook/types.d.ts').Wanted} Wanted
 * @typedef {import('./visiting_state.js').Running} State
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { choicesOf, nameOf } from '../names.js';
import { Chips } from '../parts/chips.js';
import { Page } from '../parts/page.js';
import { say, sayable } from '../parts/snackbar.js';
import { address, go } from '../route.js';
import { Wake } from '../sensing/wake.js';
import { useRecords } from '../session.js';
import { clock } from '../times.js';
import { saved } from '../words.js';
import { visit as words, write } from '../words_visit.js';
import { disturbedBy, endEdits, goneEdits, hereEdits, movedEdits, quietEdits, quietFrom, reactionEdits } from './visiting_edits.js';
import { Entries, Lost } from './visiting_entries.js';
import { HereSheet, NoticedSheet, PickSheet, WeatherSheet } from './visiting_sheets.js';
import { animalsByUse, msOf, perchesInSight, readVisit } from './visiting_state.js';
import { sunEventEdits } from './sun_event.js';

const NO_VANTAGE = 'none';

/** @param {{notebook: import('../session.js').Notebook, running: State}} props */
export function Running({ notebook, running }) {
  const { visit, site, zone, watch, here, vantages, last_ms } = running;
  const [open, setOpen] = useState(/** @type {'' | 'here' | 'gone' | 'noticed' | 'sun on' | 'sun off' | 'moved' | 'weather'} */ (''));
  const animals = useRecords(notebook, () => animalsByUse(notebook, site?.id), [site?.id]) ?? [];
  const now_ms = useMinute();
  const work = useRef(Promise.resolve());
  const perches = perchesInSight(running);
  const named = (/** @type {string | undefined} */ id) => nameIn([...animals, ...vantages, ...running.perches], id);
  const close = () => setOpen('');

  /**
   * One tap: its moment is that of the tap, its visit the one that stands when its turn comes.
   * @param {(running: State, at_ms: number) => Wanted[] | null} edits null: nothing is to be written
   * @param {(clock: string) => string} said
   * @param {() => void} [then]
   */
  const act = (edits, said, then) => {
    close();
    const at_ms = Date.now();
    work.current = work.current.then(async () => {
      try {
        const found = await readVisit(notebook, visit.id, { with_pins: false });
        const wanted = found === null ? null : edits(found, at_ms);
        if (wanted === null) return;
        const text = said(clock(at_ms, zone));
        const { group } = await notebook.save(wanted, { label: text });
        sayable(notebook, group, `${text} · ${saved.on_phone}`);
        then?.();
      } catch {
        say(saved.not_saved);
      }
    });
  };
  const gone = (/** @type {Rec} */ one) => act((state, at) => goneEdits(state, state.sightings.find(({ id }) => id === one.id) ?? one, at), (at) => words.left(named(one.values.species), at));
  const sun = (/** @type {string} */ pin, /** @type {boolean} */ is_on) => act((_, at_ms) => sunEventEdits({ pin, is_on, at_ms, zone }), (at) => words.sun_said(named(pin), is_on, at));
  const askSun = (/** @type {boolean} */ is_on) => (perches.length === 1 && perches[0] ? sun(perches[0].id, is_on) : setOpen(is_on ? 'sun on' : 'sun off'));
  const move = (/** @type {string | null} */ to) => act((state, at) => movedEdits(state, to, at), (at) => words.moved_to(to === null ? words.vantage_unknown : named(to), at));
  const quiet = () =>
    act(
      (state, at) => {
        const edits = quietEdits(state, at);
        if (edits === null && state.watch) say(words.was_quiet(clock(quietFrom(state.watch), zone)));
        return edits;
      },
      words.quiet_said,
    );
  const end = () => act((state, at) => endEdits(state, at), words.ended, () => go('visiting', { query: { visit: visit.id }, instead: true }));
  const set = (/** @type {Rec} */ rec, /** @type {Record<string, any>} */ more, /** @type {string} */ text) => act(() => [{ kind: rec.kind, record: rec.id, set: more }], () => text);

  const by = disturbedBy(running);
  const quiet_ms = watch === undefined ? NaN : quietFrom(watch);
  const tells = watch === undefined ? '' : by ? words.disturbed(clock(msOf(by.values.at), zone)) : quiet_ms > now_ms ? words.settles(clock(quiet_ms, zone)) : words.quiet_since(clock(quiet_ms, zone));
  const start_ms = msOf(visit.values.start);
  const lasts = words.lasts(Math.max(0, Math.floor((now_ms - start_ms) / 60_000)));
  return html`<${Page} title=${site ? nameOf(site) : words.title} kicker=${words.since(clock(start_ms, zone), lasts)} up="write">
    <p class="watching">${words.vantage} <b>${watch?.values.vantage ? named(watch.values.vantage) : words.vantage_unknown}</b>. ${tells}</p>
    <${Lost} notebook=${notebook} running=${running} />
    <section class="present" aria-live="polite">
      ${here.length === 0 ? html`<p class="soft">${words.none_here}</p>` : here.map((one) => html`<${Present} key=${one.id} one=${one} name=${named(one.values.species)} perches=${perches} zone=${zone} onPerch=${(/** @type {string | null} */ perch) => set(one, { perch }, perch === null ? words.on_what : named(perch))} onGone=${() => gone(one)} />`)}
    </section>
    <div class="acts">
      <button type="button" class="act other" onClick=${() => setOpen('weather')}>${words.set_weather}</button>
      <a class="act other" href=${address('note-here', { site: site?.id ?? '' })}>${write.acts.note}</a>
      <a class="act other" href=${address('photo-here', { pin: visit.id })}>${write.acts.photo}</a>
      <${Awake} />
      <a class="act other" href=${address('write', { aside: 'yes' })}>${words.aside}</a>
    </div>
    ${watch ? html`<${Watched} watch=${watch} running=${running} onSet=${(/** @type {Record<string, any>} */ more, /** @type {string} */ text) => set(watch, more, text)} />` : null}
    <${Entries} notebook=${notebook} running=${running} named=${named} />
  </${Page}>
  <div class="dock visit-acts" data-last=${last_ms}>
    ${tap(words.noticed, () => setOpen('noticed'))}${tap(words.sun_on, () => askSun(true))}${tap(words.sun_off, () => askSun(false))}
    ${tap(words.quiet, quiet)}${tap(words.moved, () => setOpen('moved'))}${tap(words.end, end)}
    ${tap(words.gone, () => (here.length === 1 && here[0] ? gone(here[0]) : setOpen('gone')), here.length === 0)}
    <button type="button" class="act main" onClick=${() => setOpen('here')}>${words.here}</button>
  </div>
  ${open === 'here' ? html`<${HereSheet} key=${animals.length > 0} animals=${animals} onClose=${close} onHere=${(/** @type {any} */ seen, /** @type {string} */ name, /** @type {Wanted[]} */ first) => act((state, at) => [...first, ...hereEdits(state, seen, at)], (at) => words.came(name, at))} />` : null}
  ${open === 'gone' ? html`<${PickSheet} title=${words.which_gone} choices=${here.map((one) => ({ value: one.id, label: `${named(one.values.species)}, ${words.since_clock(clock(msOf(one.values.time_in), zone))}` }))} onPick=${(/** @type {string} */ id) => { const one = here.find((each) => each.id === id); if (one) gone(one); }} onClose=${close} />` : null}
  ${open === 'noticed' ? html`<${NoticedSheet} here=${here} animals=${animals} named=${named} onClose=${close} onNoticed=${(/** @type {any} */ noticed) => act((state, at) => reactionEdits(state, noticed, at), () => words.noted(named(noticed.sighting?.values.species ?? noticed.species), noticed.what))} />` : null}
  ${open === 'sun on' || open === 'sun off' ? html`<${PickSheet} title=${words.which_sun(open === 'sun on')} choices=${choicesOf(perches)} empty=${words.no_perch} onPick=${(/** @type {string} */ id) => sun(id, open === 'sun on')} onClose=${close} />` : null}
  ${open === 'moved' ? html`<${PickSheet} title=${words.where_to} choices=${[...choicesOf(vantages.filter((one) => one.id !== watch?.values.vantage)), { value: NO_VANTAGE, label: words.vantage_unknown }]} onPick=${(/** @type {string} */ to) => move(to === NO_VANTAGE ? null : to)} onClose=${close} />` : null}
  ${open === 'weather' ? html`<${WeatherSheet} visit=${visit} onSave=${(/** @type {Record<string, any>} */ more) => set(visit, more, words.set_weather)} onClose=${close} />` : null}`;
}

/** @param {string} label @param {() => void} onClick @param {boolean} [disabled] */
function tap(label, onClick, disabled = false) {
  return html`<button type="button" class="act large" disabled=${disabled} onClick=${onClick}>${label}</button>`;
}

/**
 * What is watched, where the vantage does not tell: which perches, and whether by ear or heat in the dark.
 * @param {{watch: Rec, running: State, onSet: (more: Record<string, any>, text: string) => void}} props
 */
function Watched({ watch, running: { perches, sightlines }, onSet }) {
  const { vantage, perches: watched, in_the_dark } = watch.values;
  const is_told = vantage !== undefined && sightlines.length > 0;
  return html`<details class="opens watched"><summary>${words.watched}</summary>
    ${is_told || perches.length === 0 ? null : html`<p class="soft" id="watched">${words.perches_watched}</p><${Chips} large many labelled="watched" choices=${choicesOf(perches)} value=${watched} onPick=${(/** @type {string[]} */ some) => onSet({ perches: some.length > 0 ? some : null }, words.perches_watched)} />`}
    <p class="soft" id="in-dark">${words.in_dark}</p><${Chips} large labelled="in-dark" choices=${[{ value: true, label: words.by_ear }]} value=${in_the_dark} onPick=${(/** @type {boolean | null} */ one) => onSet({ in_the_dark: one }, words.by_ear)} />
  </details>`;
}

/**
 * One animal that is here.
 * @param {{one: Rec, name: string, perches: Rec[], zone: string, onPerch: (perch: string | null) => void, onGone: () => void}} props
 */
function Present({ one, name, perches, zone, onPerch, onGone }) {
  const { count, time_in, perch } = one.values;
  return html`<div class="present-one">
    <p class="present-name"><b>${count > 1 ? `${count} ` : ''}${name}</b> ${words.since_clock(clock(msOf(time_in), zone))}</p>
    <button type="button" class="act large" aria-label=${words.goes(name)} onClick=${onGone}>${words.gone}</button>
    ${perches.length > 0 ? html`<${Chips} large label=${words.on_what} choices=${choicesOf(perches)} value=${perch} onPick=${onPerch} />` : null}
  </div>`;
}

/** The phone's screen kept on, by a tap alone. */
function Awake() {
  const [is_awake, setAwake] = useState(false);
  const wake = useRef(/** @type {Wake | null} */ (null));
  wake.current ??= new Wake(setAwake);
  useEffect(() => () => void wake.current?.letGo(), []);
  if (!wake.current.isPossible) return null;
  const turn = async () => {
    if (is_awake) await wake.current?.letGo();
    else if (!(await wake.current?.keep())) say(words.not_awake);
  };
  return html`<button type="button" class="act other" aria-pressed=${is_awake} onClick=${turn}>${is_awake ? words.awake_on : words.awake}</button>`;
}

/** The hook of the present minute. */
function useMinute() {
  const [now_ms, setNow] = useState(() => Date.now());
  useEffect(() => {
    const timer = setInterval(() => setNow(Date.now()), 20_000);
    return () => clearInterval(timer);
  }, []);
  return Math.max(now_ms, Date.now());
}

/** @param {Rec[]} some @param {string | undefined} id */
function nameIn(some, id) {
  const found = some.find((one) => one.id === id);
  return found === undefined ? '' : nameOf(found);
}
