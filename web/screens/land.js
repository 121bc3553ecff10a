/**
 * What the land says of a site: relief, first light, and places to sit, each a tap away from being a vantage.
 * Everything shown is on this phone. Not for: working any of it out (the laptop does).
 *
 * @typedef {import('../session.js').Notebook} Notebook
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { newId } from '../notebook/ids.js';
import { atSite, plain, settingsOf } from '../engine/asking.js';
import { gatheringOf } from '../engine/gathering.js';
import { Chips } from '../parts/chips.js';
import { Empty } from '../parts/empty.js';
import { Facts } from '../parts/figure.js';
import { Button, Page } from '../parts/page.js';
import { Photo } from '../parts/photo.js';
import { say, sayable } from '../parts/snackbar.js';
import { useRecords } from '../session.js';
import { dateOf } from '../times.js';
import { bearing, distance, number } from '../units.js';
import { land as words } from '../words_land.js';
import { Trouble, useAnswer, useEngine } from './answered.js';
import './book_styles.js';

const ORDER = ['finder result', 'first light', 'relief'];

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, query }) {
  const [picked, setPicked] = useState(/** @type {string | null} */ (null));
  const found = useRecords(notebook, read);
  if (found === undefined) return html`<${Page} title=${words.title} />`;
  const { sites, layers } = found;
  const with_layers = sites.find((one) => layers.some((layer) => layer.values.site === one.id));
  const site = sites.find((one) => one.id === (picked ?? query?.site)) ?? with_layers ?? sites[0];
  const mine = layers.filter((one) => one.values.site === site?.id).sort((one, other) => ORDER.indexOf(one.values.kind) - ORDER.indexOf(other.values.kind));
  return html`<${Page} title=${words.title}>
    ${sites.length > 1 ? html`<${Chips} label=${words.site} needed choices=${sites.map((one) => ({ value: one.id, label: one.values.name }))} value=${site?.id} onPick=${setPicked} />` : null}
    ${mine.length === 0 ? html`<${Empty} text=${words.none} />` : null}
    ${mine.map((layer) => html`<${Layer} key=${layer.id} notebook=${notebook} layer=${layer} />`)}
    <p><a href="/plain/land">${words.ask}</a></p>
  </${Page}>`;
}

/** @param {Notebook} notebook */
async function read(notebook) {
  const [sites, layers] = await Promise.all([notebook.all('site'), notebook.all('layer')]);
  return { sites, layers };
}

/** @param {{notebook: Notebook, layer: Rec}} props */
function Layer({ notebook, layer }) {
  const { title, kind, blob, made_from: made } = layer.values;
  const [came, setCame] = useState(0);
  useEffect(() => {
    let isGone = false;
    // Opened before it was brought: fetched now, while the laptop is reached.
    const bring = async () => {
      if ((await notebook.blob(blob)) !== undefined) return;
      await notebook.fetchBlob(blob);
      if (!isGone) setCame(1);
    };
    bring().catch(() => {});
    return () => {
      isGone = true;
    };
  }, [notebook, blob]);
  return html`<section>
    <h2>${title ?? kind}</h2>
    <div class="land-picture picture told"><${Photo} key=${came} notebook=${notebook} sha256=${blob} alt=${title ?? kind} missing=${words.not_here} /></div>
    <p class="soft">${words.legend[kind] ?? ''} ${words.made_from}: ${made}</p>
    ${layer.values.spots?.length ? html`<${Places} notebook=${notebook} layer=${layer} />` : null}
  </section>`;
}

/** @param {{notebook: Notebook, layer: Rec}} props */
function Places({ notebook, layer }) {
  const is_ready = useEngine().phase === 'ready';
  const at = layer.values.site;
  const { said, trouble, again } = useAnswer(async () => {
    const records = await gatheringOf(notebook).at(at);
    const site = records.site?.find((one) => one.id === at);
    if (site === undefined) return null;
    const date = dateOf(Date.now(), site.zone);
    const { perches, permissions, sightlines, watches, sightings, reactions } = atSite(records, at);
    const request = { layer: plain(layer), site, animals: records.species, settings: settingsOf(records), perches, permissions, sightlines, watches, sightings, reactions, date };
    return { name: 'kept_places', request, how: { subject: `spared/${layer.id}`, until: date } };
  }, [layer.id, is_ready]);
  const perches = useRecords(notebook, () => notebook.all('perch'));
  const name = (/** @type {string} */ id) => perches?.find((one) => one.id === id)?.values.name ?? '';
  /** @type {any[]} */
  const spots = layer.values.spots;
  /** @type {(string | null)[]} */
  const why = said?.answer.places ?? [];
  const out = why.filter(Boolean);
  return html`<h3>${words.places}</h3>
    <${Trouble} trouble=${trouble} again=${again} />
    ${out.length > 0 ? html`<p class="verdict">${words.left_out(out.length)} ${[...new Set(out)].join(' ')}</p>` : null}
    ${out.length < spots.length ? html`<p>${words.planning}</p>` : null}
    ${spots.map((spot, place) =>
      why[place] !== null
        ? null
        : html`<section key=${place}>
        <h3>${words.place(place + 1, name(spot.perch))}</h3>
        <${Facts} facts=${factsOf(spot)} />
        <${Button} act=${{ label: words.sit, onAct: () => void sit(notebook, layer, place, name(spot.perch)) }} kind="large" />
      </section>`,
    )}`;
}

/** @param {any} spot @returns {[string, string][]} */
function factsOf(spot) {
  const gap = spot.sky_behind ? words.sky : spot.gap_m === undefined ? '' : distance(spot.gap_m);
  return [
    [words.good, words.good_said(spot.good_clear_min ?? 0, spot.good_mixed_min ?? 0, spot.good_overcast_min ?? 0)],
    [words.distance, distance(spot.distance_m) + (spot.plus_minus_m ? words.measure(distance(spot.plus_minus_m)) : '')],
    [words.bearing, bearing(spot.bearing_deg)],
    [words.tilt, spot.tilt_deg === undefined ? '' : `${number(spot.tilt_deg, 1)}°`],
    [words.gap, spot.gap_at_least ? words.at_least(gap) : gap],
    [words.slope, spot.slope_deg === undefined ? '' : `${number(spot.slope_deg, 0)}°`],
    [words.winds, spot.bad_winds ?? ''],
    [words.walk, spot.walk_m === undefined ? '' : words.walk_said(distance(spot.walk_m), spot.walk_by, spot.walk_seen_percent)],
  ];
}

/** @param {Notebook} notebook @param {Rec} layer @param {number} place @param {string} perch */
async function sit(notebook, layer, place, perch) {
  const spot = layer.values.spots[place];
  const vantage = newId(Date.now());
  /** @type {Record<string, any>} */
  const made = {
    site: layer.values.site,
    name: words.named(place + 1, perch).slice(0, 80),
    cover: 'open',
    position: { lat: spot.position.lat, lon: spot.position.lon, source: 'map' },
    lens_height_m: spot.lens_height_m ?? null,
    slope_deg: spot.slope_deg ?? null,
    ground_elevation: spot.ground_m === undefined ? null : { m: spot.ground_m, how: 'terrain' },
  };
  /** @type {Record<string, any>} */
  const line = { vantage, perch: spot.perch, light_wanted: layer.values.light_wanted ?? null };
  if (spot.sky_behind) line.gap = { sky: true };
  else if (spot.gap_m !== undefined) line.gap = { m: spot.gap_m, how: 'map' };
  try {
    const { group } = await notebook.save(
      [
        { kind: 'vantage', record: vantage, set: known(made) },
        { kind: 'sightline', set: known(line) },
      ],
      { label: words.sat },
    );
    sayable(notebook, group);
  } catch {
    say(words.not_saved);
  }
}

/** @param {Record<string, any>} values */
function known(values) {
  return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== null));
}
