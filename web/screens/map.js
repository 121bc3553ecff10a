/**
 * The map: full screen, one sheet from below with what was touched, pins put down under a cross.
 * Not for: how it is drawn (`map/`).
 *
 * @typedef {import('../map/site_map.js').Touched} Touched
 * @typedef {import('../map/placing.js').PinKind} PinKind
 * @typedef {{what: PinKind | 'move', id?: string}} Placing
 * @typedef {import('../types.d.ts').ScreenProps & {answerFor?: import('./map_moment.js').AnswerFor}} Props
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { editsForPin, isSomewhere, nearestSite, siteAt, underCross } from '../map/placing.js';
import { readPlaces, remember, remembered } from '../map/reading.js';
import { SiteMap } from '../map/site_map.js';
import { mapStyles } from '../map/styles.js';
import { landSheets } from '../map/land_picture.js';
import { askSheets } from '../map/tile_store.js';
import { WORDS } from '../map/words.js';
import { newId } from '../notebook/ids.js';
import { useComing } from '../parts/empty.js';
import { useHeading } from '../parts/page.js';
import { say, sayable } from '../parts/snackbar.js';
import { positionOf } from '../sensing/fix.js';
import { go } from '../route.js';
import { useRecords } from '../session.js';
import { ownZone } from '../times.js';
import { distance } from '../units.js';
import { BaseSheet } from './map_base.js';
import { useFix } from './map_fix.js';
import { Moment } from './map_moment.js';
import { PlaceSheet } from './map_place.js';
import { PinSheet, SeveralSheet, SightSheet } from './map_sheet.js';

const REST_MS = 120;
const FIX_PX = 3; // moved by less, the cross still stands on the fix

/** @param {Props} props */
export function Screen({ notebook, params, query, answerFor }) {
  const heading = useHeading(WORDS.map);
  const box = useRef(/** @type {HTMLElement | null} */ (null));
  const [map, setMap] = useState(/** @type {SiteMap | null} */ (null));
  const [view, setView] = useState({ centre: { lat: 0, lon: 0 }, zoom: 17 });
  const [touched, setTouched] = useState(/** @type {Touched} */ (null));
  const [placing, setPlacing] = useState(/** @type {Placing | null} */ (query?.place === 'perch' || query?.place === 'vantage' ? { what: query.place } : null));
  const [isBase, setBase] = useState(false);
  const [base, setBaseMap] = useState(/** @type {import('../map/tile_store.js').Sheet | null} */ (null));
  const [sheets, setSheets] = useState(/** @type {import('../map/tile_store.js').Sheet[]} */ ([]));
  const [isReached, setReached] = useState(true);
  const [isLost, setLost] = useState(false);
  const [lit, setLit] = useState(/** @type {import('../engine/moments.js').Lines | null} */ (null));
  const places = useRecords(notebook, readPlaces);
  const coming = useComing(notebook);
  const fix = useFix((found, isFirst) => {
    map?.lines.stand(found);
    if (map !== null && isFirst && (isMeant.current || !isSomewhere(cross(map)))) map.look_at(found);
    else if (map !== null && fix.isFollowed(map)) map.look_at(found, map.map.getZoom());
  });
  const aim = params.id ?? query?.pin;
  const aimed = useRef(/** @type {string | undefined} */ (undefined));
  const settling = useRef(0);
  const tapped = useRef(/** @type {(touched: Touched, at: {lat: number, lon: number}) => void} */ (setTouched));
  // While a pin is being placed a tap brings the cross there.
  tapped.current = (what, at) => (placing === null ? setTouched(what) : map?.look_at(at, map.map.getZoom()));
  const isMeant = useRef(true); // where one is was asked for by a tap, not by the map itself
  // Words follow when the map has come to rest, not with every step of it.
  const moved = (/** @type {typeof view} */ to) => {
    clearTimeout(settling.current);
    settling.current = window.setTimeout(() => setView(to), REST_MS);
  };

  // Made once, when its style sheets are there: without them the library measures nothing rightly.
  useEffect(() => {
    /** @type {SiteMap | undefined} */
    let made;
    let isGone = false;
    void Promise.all([mapStyles(), remembered(notebook)]).then(([, { centre, zoom }]) => {
      if (isGone || box.current === null) return;
      const start = { centre: centre ?? { lat: 0, lon: 0 }, zoom: zoom ?? 17 };
      made = new SiteMap(box.current, start, { onTouch: (...one) => tapped.current(...one), onMove: moved, onMissed: () => setReached(false) });
      setView(start);
      setMap(made);
    });
    return () => {
      isGone = true;
      clearTimeout(settling.current);
      if (made !== undefined) void remember(notebook, made.view());
      made?.close();
    };
  }, [notebook]);

  useEffect(() => {
    if (map === null || places === undefined) return;
    map.show(places.pins, places.sights, places.outlines);
    const first = places.pins.find((pin) => pin.id === aim);
    // Once: what is written later must not take one back there.
    if (first !== undefined && aimed.current !== aim) {
      aimed.current = aim;
      setTouched({ pins: [first.id] });
      map.look_at(first);
    } else if (first === undefined && view.centre.lat === 0 && view.centre.lon === 0) map.wholeOf(around());
  }, [map, places]);
  useEffect(() => {
    if (map === null || places?.pins.length !== 0 || isSomewhere(cross(map))) return;
    isMeant.current = false;
    fix.start();
  }, [map, places === undefined]);

  const here = places && siteAt(places.sites, view.centre);
  const site = here ?? (places && nearestSite(places.sites, view.centre));
  const origin = here?.values.centre ?? places?.pins[0];
  // Metres from a point far off say nothing: where there is no place yet, the grid goes along.
  const degree = origin === undefined && `${view.centre.lat.toFixed(0)} ${view.centre.lon.toFixed(0)}`;
  useEffect(() => map?.gridFrom(origin ?? view.centre), [map, here?.id, places === undefined, degree]);
  useEffect(() => map?.lines.light(lit && lit.states), [map, lit]);
  const chosen = touched === null ? '' : 'pins' in touched ? (touched.pins.length === 1 ? touched.pins[0] : '') : touched.sightline;
  useEffect(() => {
    map?.choose(chosen ?? '');
    const pin = places?.pins.find((one) => one.id === chosen);
    // After the sheet has risen, for it may have covered what was touched.
    if (map !== null && pin !== undefined) requestAnimationFrame(() => requestAnimationFrame(() => map.reveal(pin)));
  }, [map, chosen]);
  useEffect(() => map?.useBase(base), [map, base]);
  useEffect(() => {
    void (async () => {
      const kept = await remembered(notebook);
      const found = await askSheets().catch(() => null);
      setReached(found !== null);
      const known = [...(await landSheets(notebook)), ...(found ?? kept.sheets ?? [])];
      setSheets(known);
      setBaseMap(known.find((sheet) => sheet.name === kept.base && sheet.trouble === null) ?? null);
      if (found !== null) await remember(notebook, { sheets: found });
    })();
  }, [notebook]);

  /** The pins of the site one looks at, or of the nearest one; all of them where none has any. */
  const around = () => {
    const mine = site ? places?.pins.filter((pin) => places.recs.get(pin.id)?.values.site === site.id) : [];
    const found = mine?.length ? mine : (places?.pins ?? []);
    // A car park half an hour away would leave nothing to see of what the site is about.
    const heart = found.filter((pin) => pin.kind === 'perch' || pin.kind === 'vantage');
    return heart.length > 0 ? heart : found;
  };
  const close = () => {
    setTouched(null);
    setPlacing(null);
    setBase(false);
    fix.stop();
  };
  /** @param {Placing} wanted */
  const place = (wanted) => {
    setTouched(null);
    setPlacing(wanted);
  };
  /** @param {import('../notebook/types.d.ts').Wanted[]} edits @param {string} words */
  const save = async (edits, words) => {
    try {
      const { group } = await notebook.save(edits, { label: words });
      sayable(notebook, group);
      return true;
    } catch {
      say(WORDS.notSaved);
      return false;
    }
  };
  const confirm = async () => {
    if (map === null || places === undefined || placing === null) return;
    const { centre } = map.view();
    const standing = fix.best !== null && fix.isFollowed(map, FIX_PX) ? positionOf(fix.best) : null;
    const position = standing ?? fix.typedAt(centre) ?? cross(map);
    if (position.source === 'map' && !isSomewhere(position)) return setLost(true);
    fix.stop();
    if (placing.what === 'move') {
      const rec = places.recs.get(placing.id ?? '');
      if (rec && (await save([{ kind: rec.kind, record: rec.id, set: { position }, over: rec }], WORDS.move))) settled(rec.id);
      return;
    }
    if (query?.for !== undefined) {
      // Asked for by a screen on which something is half-written: the place goes there.
      const kept = await notebook.draft(query.for);
      await notebook.keepDraft(query.for, { values: { ...kept?.values, way: 'here', position, place: '' }, at: Date.now() });
      return go(query.for, { instead: true });
    }
    const names = places.pins.filter((pin) => pin.kind === placing.what).map((pin) => pin.name);
    const made = editsForPin(placing.what, position, { sites: places.sites, names, zone: ownZone(), newId: () => newId(Date.now()) });
    if (await save(made.edits, WORDS.kinds[placing.what])) settled(made.id);
  };
  /** @param {string} id */
  const settled = (id) => {
    setPlacing(null);
    setTouched({ pins: [id] });
  };
  const askFix = () => {
    isMeant.current = true;
    if (fix.isAsking) fix.stop();
    else fix.start();
  };

  const pinById = (/** @type {string} */ id) => places?.pins.find((pin) => pin.id === id);
  const sheet = () => {
    if (map === null || places === undefined) return null;
    if (placing !== null) {
      return html`<${PlaceSheet} what=${placing.what} name=${placing.id && pinById(placing.id)?.name} centre=${view.centre} fixWords=${fix.words} isLost=${isLost && !isSomewhere(cross(map))} isAsking=${fix.isAsking}
        onNudge=${(/** @type {number} */ e, /** @type {number} */ n) => map.nudge(e, n)}
        onTyped=${(/** @type {{lat: number, lon: number}} */ at) => (fix.type(at), map.look_at(at))} onFix=${askFix} onConfirm=${confirm} onClose=${close} />`;
    }
    if (isBase) {
      return html`<${BaseSheet} sheets=${sheets} isReached=${isReached} chosen=${base} bounds=${map.bounds()} zoom=${view.zoom}
        onChoose=${(/** @type {any} */ one) => (setBaseMap(one), void remember(notebook, { base: one?.name ?? null }))}
        onShow=${(/** @type {any} */ one) => map.wholeOf([{ lat: one.bounds.south_deg, lon: one.bounds.west_deg }, { lat: one.bounds.north_deg, lon: one.bounds.east_deg }])} onClose=${close} />`;
    }
    if (touched === null) return null;
    if ('sightline' in touched) {
      const sight = places.sights.find((one) => one.id === touched.sightline);
      return sight && html`<${SightSheet} sight=${sight} rec=${places.recs.get(sight.id)} state=${lit?.states[sight.id]} barred=${lit?.barred[sight.id]} onClose=${close} />`;
    }
    const pins = touched.pins.flatMap((id) => pinById(id) ?? []);
    const [pin] = pins;
    if (pin === undefined) return null;
    if (pins.length > 1) {
      const nearer = map.map.getZoom() >= map.map.getMaxZoom() ? null : () => (setTouched(null), map.look_at(pin, view.zoom + 2));
      return html`<${SeveralSheet} pins=${pins} onPin=${(/** @type {any} */ one) => setTouched({ pins: [one.id] })} onNearer=${nearer} onClose=${close} />`;
    }
    const mine = places.sights.filter((one) => one.vantage.id === pin.id);
    return html`<${PinSheet} pin=${pin} rec=${places.recs.get(pin.id)} sights=${places.sights} onSight=${(/** @type {any} */ one) => setTouched({ sightline: one.id })}
      onLookFrom=${() => map.wholeOf([pin, ...mine.map((one) => one.perch)])} onMove=${() => (map.look_at(pin), place({ what: 'move', id: pin.id }))} onClose=${close} />`;
  };
  const raised = sheet();
  return html`<main id="page" class="map-screen" aria-busy=${map === null || places === undefined ? 'true' : undefined}>
    <h1 class="unseen" tabindex="-1" ref=${heading}>${WORDS.map}</h1>
    <div class="map-top">
    <div class="map-ground" ref=${box} tabindex="0" role="application" aria-label=${WORDS.map}></div>
    ${placing !== null && html`<svg class="map-cross" viewBox="-32 -32 64 64" aria-hidden="true"><path class="halo" d="M-30 0H-6M6 0H30M0 -30V-6M0 6V30" /><path class="ink" d="M-30 0H-6M6 0H30M0 -30V-6M0 6V30" /></svg>`}
    ${map !== null && html`<p class="map-square">
      ${base === null ? WORDS.square(distance(map.square_m())) : html`<i class="map-bar" style=${{ width: `${map.square_m() * map.lines.px_per_m()}px` }}></i>${WORDS.bar(distance(map.square_m()))}`}
      ${places?.pins.some((pin) => pin.letter) && html`<br />${WORDS.letters}`}
    </p>`}
    <div class="map-buttons">
      <button type="button" onClick=${() => map?.zoomBy(1)}>${WORDS.nearer}</button>
      <button type="button" onClick=${() => map?.zoomBy(-1)}>${WORDS.wider}</button>
      ${placing === null &&
      html`<button type="button" onClick=${() => map?.wholeOf(around())}>${WORDS.wholeSite}</button>
      <button type="button" onClick=${askFix}>${fix.isAsking ? WORDS.fix.enough : WORDS.whereIAm}</button>
      <button type="button" onClick=${() => (close(), setBase(true))}>${WORDS.baseMap}</button>`}
    </div>
    </div>
    <div class="map-foot">
      <p class="map-said" role="status">${placing === null && fix.words}</p>
      ${answerFor && site && (places?.sights.length ?? 0) > 0 && placing === null && !isBase && html`<${Moment} answerFor=${answerFor} site=${site.id} zone=${site.values.zone ?? ownZone()} onLines=${setLit} />`}
      ${raised ?? html`${places?.pins.length === 0 && html`<p class="map-said">${coming ?? WORDS.empty}</p>`}
        <div class="map-row map-acts">
          <button type="button" class="main-act" onClick=${() => place({ what: 'perch' })}>${WORDS.perchHere}</button>
          <button type="button" onClick=${() => place({ what: 'vantage' })}>${WORDS.vantageHere}</button>
          <button type="button" onClick=${() => place({ what: 'landmark' })}>${WORDS.otherPin}</button>
        </div>`}
    </div>
  </main>`;
}

/** Answer where the cross stands, and how surely. @param {SiteMap} map */
const cross = (map) => underCross(map.view().centre, map.lines.px_per_m());
