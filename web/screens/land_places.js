/**
 * The places to sit that the finder chose, each with its figures; one tap makes one a vantage with its sightline,
 * with no network. Not for: the picture they stand on (`land`).
 *
 * @typedef {import('../session.js').Notebook} Notebook
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 */

import { html } from '../doors/htm.js';
import { newId } from '../notebook/ids.js';
import { Facts } from '../parts/figure.js';
import { Button } from '../parts/page.js';
import { say, sayable } from '../parts/snackbar.js';
import { useRecords } from '../session.js';
import { bearing, distance, number } from '../units.js';
import { land as words } from '../words_land.js';

/** @param {{notebook: Notebook, layer: Rec}} props */
export function Places({ notebook, layer }) {
  const perches = useRecords(notebook, () => notebook.all('perch'));
  const name = (/** @type {string} */ id) => perches?.find((one) => one.id === id)?.values.name ?? '';
  /** @type {any[]} */
  const spots = layer.values.spots;
  return html`<h3>${words.places}</h3>
    <p>${words.planning}</p>
    ${spots.map(
      (spot, place) => html`<div class="land-place" key=${place}>
        <h3>${words.place(place + 1, name(spot.perch))}</h3>
        <${Facts} facts=${factsOf(spot)} />
        <${Button} act=${{ label: words.sit, onAct: () => void sit(notebook, layer, place, name(spot.perch)) }} kind="large" />
      </div>`,
    )}`;
}

/** @param {any} spot @returns {[string, string][]} */
function factsOf(spot) {
  const gap = spot.sky_behind ? words.sky : spot.gap_m === undefined ? '' : distance(spot.gap_m);
  return [
    [words.good, words.good_said(spot.good_clear_min ?? 0, spot.good_mixed_min ?? 0, spot.good_overcast_min ?? 0)],
    [words.distance, distance(spot.distance_m)],
    [words.bearing, bearing(spot.bearing_deg)],
    [words.tilt, spot.tilt_deg === undefined ? '' : `${number(spot.tilt_deg, 1)}°`],
    [words.gap, spot.gap_at_least ? words.at_least(gap) : gap],
    [words.slope, spot.slope_deg === undefined ? '' : `${number(spot.slope_deg, 0)}°`],
    [words.winds, spot.bad_winds ?? ''],
    [words.walk, spot.walk_m === undefined || spot.walk_seen_percent === undefined ? '' : words.walk_said(distance(spot.walk_m), spot.walk_seen_percent)],
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
