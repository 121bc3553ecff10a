/**
 * Ready to leave? Everything that must be on this phone before the signal ends, each with its own word.
 * Not for: mending any of it (each line leads where that is done).
 *
 * @typedef {{name: string, said: string, good: boolean | null, to?: string, open?: string}} Check good: null where it is not known, or `open`
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { asksAhead, computeAhead } from '../engine/ahead.js';
import { engine } from '../engine/engine.js';
import { Page } from '../parts/page.js';
import { address } from '../route.js';
import { useStanding } from '../session.js';
import { dateOf, moment } from '../times.js';
import { useOffline } from '../update.js';
import { age, engine as engine_words, ready as words } from '../words_outing.js';
import { useEngine } from './answered.js';
import './outing_styles.js';

const CLOCK_MS = 5000; // a shutter's worth of light does not move in less
const LEAST_FREE_BYTES = 200e6;
const ENOUGH_BATTERY = 0.5;
const DAY_MS = 86_400_000;
const LEAST_DAYS = 2;

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const state = useStanding(notebook);
  const offline = useOffline();
  const here = useEngine();
  const [phone, setPhone] = useState(/** @type {Awaited<ReturnType<typeof ofPhone>> | null} */ (null));
  const [kept, setKept] = useState(/** @type {Awaited<ReturnType<typeof ofKept>> | null} */ (null));
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    let is_stopped = false;
    void ofKept(notebook).then((found) => !is_stopped && setKept(found));
    const look = () => void ofPhone().then((found) => !is_stopped && setPhone(found));
    look();
    const timer = setInterval(look, 5000);
    return () => {
      is_stopped = true;
      clearInterval(timer);
    };
  }, [busy, here.phase]);
  if (state === undefined || phone === null) return html`<${Page} title=${words.title} up="outing" />`;
  const compute = async () => {
    setBusy(true);
    await engine().wake();
    await computeAhead(notebook, engine()).catch(() => {});
    setBusy(false);
  };
  const act = { label: busy ? words.computing : words.compute, onAct: compute, disabled: busy };
  return html`<${Page} title=${words.title} lead=${words.lead} up="outing" act=${act}>
    <ul class="rows checks">${checksOf(state, offline, here, phone, kept).map((one) => html`<li key=${one.name}>${line(one)}</li>`)}</ul>
    <p class="tell">${words.tell}</p>
  </${Page}>`;
}

/** @param {Check} check */
function line({ name, said, good, to, open = words.unknown }) {
  const content = html`<span class="row-title">${name}</span><span class="row-note">${said}</span><span class=${good ? 'row-state' : 'row-state open'}>${good === null ? open : good ? words.yes : words.look}</span>`;
  return to === undefined ? html`<div class="row">${content}</div>` : html`<a class="row" href=${address(to)}>${content}</a>`;
}

/**
 * @param {import('../notebook/types.d.ts').NotebookState} state
 * @param {{state: string, version: string}} offline
 * @param {import('../engine/engine.js').EngineState} here
 * @param {Awaited<ReturnType<typeof ofPhone>>} phone
 * @param {Awaited<ReturnType<typeof ofKept>> | null} kept
 * @returns {Check[]}
 */
function checksOf(state, offline, here, phone, kept) {
  const is_kept = offline.state === 'ready';
  const waits = state.waiting_changes + state.waiting_photos;
  const ago_ms = state.last_sync === null ? Infinity : Date.now() - state.last_sync;
  const is_recent = ago_ms < DAY_MS;
  const whole = state.last_sync === null ? words.never : `${words.whole(moment(state.last_sync))}, ${age.of(ago_ms)}`;
  const off_ms = state.clock_off_ms;
  const agrees = off_ms !== null && Math.abs(off_ms) < CLOCK_MS;
  return [
    { name: words.app, said: `${is_kept ? words.app_ready : offline.state === 'insecure' ? words.app_insecure : words.app_not}${offline.version ? ` · ${offline.version}` : ''}`, good: is_kept, to: 'phone' },
    { name: words.notebook, said: waits > 0 ? `${whole}; ${words.waiting(state.waiting_changes, state.waiting_photos)}` : whole, good: is_recent && waits === 0, to: 'sync' },
    { name: engine_words.name, said: engine_words.standing(here), good: here.phase === 'ready' },
    { name: words.cards, said: kept === null ? words.unknown : kept.cards === 0 ? words.no_cards : `${words.ahead(kept.days, kept.cards)}, ${kept.are_current ? '' : `${words.not_current}, `}${words.oldest(age.of(Date.now() - kept.oldest))}`, good: kept && kept.days >= LEAST_DAYS && kept.are_current, to: 'choice' },
    { name: words.map, said: kept?.tiles ? words.map_kept(kept.tiles) : words.map_none, good: kept?.tiles ? true : null, to: 'map', open: words.optional },
    { name: words.space, said: phone.free_bytes === null ? words.unknown : words.free(phone.free_bytes), good: phone.free_bytes === null ? null : phone.free_bytes > LEAST_FREE_BYTES },
    { name: words.kept, said: state.persisted ? words.protected : words.unprotected, good: state.persisted === true, to: 'phone' },
    { name: words.clock, said: off_ms === null ? words.clock_unknown : `${agrees ? words.clock_right : words.clock_off(off_ms / 1000)}${state.last_sync === null ? '' : `, ${words.compared(age.of(ago_ms))}`}`, good: off_ms === null ? null : agrees && is_recent, to: 'sync' },
    { name: words.battery, said: phone.battery === null ? words.battery_unknown : words.charge(phone.battery.level, phone.battery.charging), good: phone.battery === null ? null : phone.battery.level >= ENOUGH_BATTERY || phone.battery.charging },
  ];
}

/** What the phone itself tells. */
async function ofPhone() {
  const estimate = await navigator.storage?.estimate?.().catch(() => undefined);
  /** @type {{getBattery?: () => Promise<{level: number, charging: boolean}>}} */
  const power = /** @type {any} */ (navigator);
  const battery = (await power.getBattery?.().catch(() => null)) ?? null;
  return {
    free_bytes: estimate?.quota === undefined ? null : Math.max(0, estimate.quota - (estimate.usage ?? 0)),
    battery: battery && { level: battery.level, charging: battery.charging },
  };
}

/** The cards and the tiles kept. are_current: those of the next days answer what is written down now. @param {import('../session.js').Notebook} notebook */
async function ofKept(notebook) {
  const today = dateOf(Date.now());
  const cards = await engine().answers.under('card/').catch(() => []);
  const coming = cards.filter((one) => (one.until ?? '') >= today && !one.subject.endsWith('/discreet'));
  let are_current = true;
  for await (const { subject, ...call } of asksAhead(notebook, engine(), LEAST_DAYS)) are_current &&= (await engine().stored(subject, call))?.is_current === true;
  // A cache is opened before its first tile comes.
  let tiles = 0;
  for (const key of 'caches' in globalThis ? await caches.keys() : []) if (key.startsWith('map-')) tiles += (await (await caches.open(key)).keys()).length;
  return { cards: coming.length, days: new Set(coming.map((one) => one.until)).size, oldest: Math.min(...coming.map((one) => one.at)), are_current, tiles };
}
