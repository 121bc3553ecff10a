/**
 * A visit begins: with one tap, or with whatever is known of it first. The site is the one where the phone
 * stands, else where one was last; nothing waits for the position. Not for: what happens in it.
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {{site?: string | null, vantage?: string | null, more: Record<string, any>}} Begun
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { lineBetween } from '../map/geometry.js';
import { siteAt } from '../map/placing.js';
import { choicesOf } from '../names.js';
import { Chips } from '../parts/chips.js';
import { Empty } from '../parts/empty.js';
import { useHalfWritten } from '../parts/half_written.js';
import { Button, Page } from '../parts/page.js';
import { sayable, say } from '../parts/snackbar.js';
import { takeFix } from '../sensing/fix.js';
import { useRecords } from '../session.js';
import { ownZone } from '../times.js';
import { saved } from '../words.js';
import { visit as words, write } from '../words_visit.js';
import { startEdits } from './visiting_edits.js';
import { Weather } from './visiting_weather.js';

const DRAFT = 'visiting';
const SITES_SHOWN = 6;
const AT_VANTAGE_M = 25; // as well as a phone knows under trees; common practice, no source
const VISITS_LOOKED_AT = 40;

/** @param {Pick<import('../types.d.ts').ScreenProps, 'notebook' | 'query'>} props `query.site`, `query.vantage`: meant */
export function Start({ notebook, query }) {
  const [begun, setBegun] = useState(/** @type {Begun} */ ({ more: {} }));
  const [is_all, setAll] = useState(false);
  const [busy, setBusy] = useState(false);
  const fix = useFix();
  const sites = useRecords(notebook, () => sitesByUse(notebook));
  const guess = sites === undefined ? null : guessed(sites, query.site, fix);
  const site = begun.site ?? guess?.site?.id;
  const vantages = useRecords(notebook, async () => (site === undefined ? [] : vantagesByUse(notebook, site)), [site]) ?? [];
  const near = vantages.filter((one) => fix !== null && farFrom(one, fix) <= AT_VANTAGE_M);
  const vantage = begun.vantage === undefined ? (query.vantage ?? (near.length === 1 ? near[0]?.id : undefined)) : begun.vantage;
  useHalfWritten(begun.site !== undefined || begun.vantage !== undefined || Object.keys(begun.more).length > 0);
  useEffect(() => {
    notebook.draft(DRAFT).then((kept) => kept && setBegun(kept.values), () => {});
  }, []);
  if (sites === undefined) return html`<${Page} title=${words.title} up="write" />`;
  if (sites.length === 0) return html`<${Page} title=${words.title} up="write"><${Empty} text=${words.no_site} act=${{ label: write.title, to: 'write' }} sample /></${Page}>`;
  /** @param {Partial<Begun>} more */
  const put = (more) => {
    const next = { ...begun, ...more };
    setBegun(next);
    notebook.keepDraft(DRAFT, { values: next, at: Date.now() }).catch(() => say(saved.not_saved));
  };
  const start = async () => {
    if (busy || site === undefined) return;
    setBusy(true);
    const at_ms = Date.now();
    const here = sites.find((one) => one.id === site);
    const more = Object.fromEntries(Object.entries(begun.more).filter(([, value]) => value !== null && value !== undefined));
    const { edits } = startEdits({ site, zone: here?.values.zone ?? ownZone(), vantage, at_ms, more });
    try {
      const { group } = await notebook.save(edits, { label: words.started, draft: DRAFT });
      sayable(notebook, group, `${words.started} · ${saved.on_phone}`);
    } catch {
      say(saved.not_saved);
    } finally {
      setBusy(false);
    }
  };
  const chosen = sites.find((one) => one.id === site);
  const first = [...(chosen ? [chosen] : []), ...sites.filter((one) => one !== chosen)];
  const shown = is_all ? first : first.slice(0, SITES_SHOWN);
  const why = begun.site === undefined && guess !== null ? words.guessed[guess.why] : '';
  return html`<${Page} title=${words.title} up="write" act=${{ label: words.start, onAct: start, disabled: busy || site === undefined }}>
    <section><h2 id="visit-site">${words.site}${why ? html` <small>${why}</small>` : null}</h2>
      <${Chips} large needed labelled="visit-site" choices=${choicesOf(shown)} value=${site} onPick=${(/** @type {string} */ one) => put({ site: one, vantage: undefined })} />
      ${shown.length < sites.length ? html`<${Button} act=${{ label: words.other_sites, onAct: () => setAll(true) }} />` : null}
    </section>
    ${vantages.length === 0
      ? null
      : html`<section><h2 id="visit-from">${words.vantage}</h2>
          <${Chips} large labelled="visit-from" choices=${choicesOf(vantages)} value=${vantage} onPick=${(/** @type {string | null} */ one) => put({ vantage: one })} />
        </section>`}
    <details class="opens"><summary>${words.weather}</summary><${Weather} values=${begun.more} onValue=${(/** @type {Record<string, any>} */ more) => put({ more: { ...begun.more, ...more } })} /></details>
  </${Page}>`;
}

/** One fix while the screen is open; null until there is one. */
function useFix() {
  const [fix, setFix] = useState(/** @type {import('../sensing/fix.js').Fix | null} */ (null));
  useEffect(() => {
    const taken = takeFix({ onBetter: setFix, good_m: 15 });
    return taken.stop;
  }, []);
  return fix;
}

/** Sites, that of the last visit first. @param {import('../session.js').Notebook} notebook */
async function sitesByUse(notebook) {
  const [sites, visits] = await Promise.all([notebook.all('site'), notebook.all('visit', { limit: VISITS_LOOKED_AT })]);
  const order = visits.map((one) => one.values.site);
  const place = (/** @type {Rec} */ one) => (order.includes(one.id) ? order.indexOf(one.id) : Infinity);
  return sites.sort((one, other) => (place(one) === place(other) ? other.when - one.when : place(one) - place(other)));
}

/**
 * @param {Rec[]} sites by use
 * @param {string | undefined} asked
 * @param {{lat: number, lon: number} | null} fix
 * @returns {{site: Rec | undefined, why: 'asked' | 'fix' | 'last' | 'only'}}
 */
function guessed(sites, asked, fix) {
  const wanted = sites.find((one) => one.id === asked);
  if (wanted !== undefined) return { site: wanted, why: 'asked' };
  const stood = fix === null ? null : siteAt(sites, fix);
  if (stood !== null) return { site: stood, why: 'fix' };
  return { site: sites[0], why: sites.length === 1 ? 'only' : 'last' };
}

/** Vantages of a site, the last used first. @param {import('../session.js').Notebook} notebook @param {string} site */
async function vantagesByUse(notebook, site) {
  const [vantages, watches] = await Promise.all([notebook.all('vantage', { site }), notebook.all('watch', { limit: VISITS_LOOKED_AT })]);
  const order = watches.map((one) => one.values.vantage);
  const place = (/** @type {Rec} */ one) => (order.includes(one.id) ? order.indexOf(one.id) : Infinity);
  return vantages.sort((one, other) => (place(one) === place(other) ? other.when - one.when : place(one) - place(other)));
}

/** @param {Rec} vantage @param {{lat: number, lon: number}} fix */
function farFrom({ values: { position } }, fix) {
  return Number.isFinite(position?.lat) && Number.isFinite(position?.lon) ? lineBetween(position, fix).distance_m : Infinity;
}
