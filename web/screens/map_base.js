/**
 * Choosing a base map, and keeping an area of it for where there is no signal. Not for: drawing it.
 *
 * @typedef {import('../map/tile_store.js').Sheet} MapSheet
 * @typedef {import('../map/tile_store.js').Bounds} Bounds
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { isLand } from '../map/land_picture.js';
import { countTiles, dropKept, keepArea, keptOf, MOST_TILES, shared } from '../map/tile_store.js';
import { WORDS } from '../map/words.js';
import { bytes } from '../units.js';
import { Sheet } from './map_sheet.js';

const SAID = WORDS.base;
const TILE_BYTES = 20_000; // a PNG or JPEG of 256 pixels, until this map has shown what its own weigh

/**
 * @param {{sheets: MapSheet[], isReached: boolean, chosen: MapSheet | null, bounds: Bounds, zoom: number,
 *   onChoose: (sheet: MapSheet | null) => void, onShow: (sheet: MapSheet) => void, onClose: () => void}} props
 */
export function BaseSheet({ sheets, isReached, chosen, bounds, zoom, onChoose, onShow, onClose }) {
  const option = (/** @type {MapSheet | null} */ sheet) =>
    html`<label class="map-choice">
      <input
        type="radio"
        name="map-base"
        checked=${(sheet?.name ?? null) === (chosen?.name ?? null)}
        disabled=${sheet !== null && sheet.trouble !== null}
        onChange=${() => onChoose(sheet)}
      />
      <span>${sheet === null ? SAID.none : sheet.title}${sheet?.trouble && html`<br /><small>${sheet.trouble}</small>`}</span>
    </label>`;
  return html`<${Sheet} title=${SAID.heading} onClose=${onClose}>
    ${!isReached && html`<p>${SAID.unreachable}</p>`}
    ${isReached && sheets.length === 0 && html`<p>${SAID.nothing}</p>`}
    <fieldset class="map-options"><legend class="unseen">${SAID.heading}</legend>${option(null)}${sheets.map(option)}</fieldset>
    ${chosen !== null && !isLand(chosen) && html`<${Keeping} key=${chosen.name} sheet=${chosen} bounds=${bounds} zoom=${zoom} onShow=${() => onShow(chosen)} />`}
    ${chosen?.attribution && html`<p><small>${chosen.attribution}</small></p>`}
  <//>`;
}

/** @param {{sheet: MapSheet, bounds: Bounds, zoom: number, onShow: () => void}} props */
function Keeping({ sheet, bounds, zoom, onShow }) {
  const [kept, setKept] = useState({ tiles: 0, bytes: 0 });
  const [words, setWords] = useState('');
  const running = useRef(/** @type {AbortController | null} */ (null));
  useEffect(() => {
    void keptOf(sheet.name).then(setKept);
    return () => running.current?.abort();
  }, [sheet.name]);
  const area = sheet.bounds === null ? bounds : shared(sheet.bounds, bounds);
  if (area === null) {
    return html`<p>${SAID.outside}</p>
      <div class="map-row"><button type="button" onClick=${onShow}>${sheet.title}</button></div>`;
  }
  const least = Math.max(sheet.least_zoom, Math.min(sheet.most_zoom, Math.floor(zoom) - 2));
  const count = countTiles(area, least, sheet.most_zoom);
  const about = count * (kept.tiles > 0 ? kept.bytes / kept.tiles : TILE_BYTES);
  const keep = async () => {
    running.current = new AbortController();
    setWords(SAID.keeping(0, count));
    const done = await keepArea(sheet.name, area, least, sheet.most_zoom, {
      signal: running.current.signal,
      onProgress: ({ done: so_far, all }) => setWords(SAID.keeping(so_far, all)),
    });
    running.current = null;
    setWords(done.ended === 'unreachable' ? SAID.failed : done.ended === 'full' ? SAID.full : '');
    setKept(await keptOf(sheet.name));
  };
  const drop = async () => {
    await dropKept(sheet.name);
    setKept(await keptOf(sheet.name));
  };
  const isRunning = running.current !== null;
  return html`<p>${SAID.kept(kept.tiles, bytes(kept.bytes))}</p>
    <p>${count > MOST_TILES ? SAID.tooMany(count) : SAID.keepAbout(count, bytes(about))}</p>
    <p role="status">${words}</p>
    <div class="map-row">
      ${isRunning
        ? html`<button type="button" onClick=${() => running.current?.abort()}>${SAID.stop}</button>`
        : html`<button type="button" class="main-act" disabled=${count > MOST_TILES} onClick=${() => void keep()}>${SAID.keep}</button>`}
      ${kept.tiles > 0 && !isRunning && html`<button type="button" onClick=${() => void drop()}>${SAID.drop}</button>`}
    </div>`;
}
