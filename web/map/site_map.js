/**
 * The map put together: ground, lines, marks, keys, and what was touched. Everything that is read from a
 * notebook or said in a sheet stays outside. Not for: the screen around it (`screens/map`).
 *
 * @typedef {import('./pins.js').Pin} Pin
 * @typedef {import('./pins.js').Sight} Sight
 * @typedef {import('./pins.js').Outline} Outline
 * @typedef {import('./base.js').Look} Look
 * @typedef {import('./tile_store.js').Sheet} Sheet
 * @typedef {{lat: number, lon: number}} Place
 * @typedef {{pins: string[]} | {sightline: string} | null} Touched null: the ground
 * @typedef {{onTouch?: (touched: Touched, at: Place) => void, onMove?: (view: {centre: Place, zoom: number}) => void, onMissed?: () => void}} Hearers
 */

import { L } from '../doors/leaflet.js';
import { BaseMap } from './base.js';
import { lineBetween, nudged } from './geometry.js';
import { Grid } from './grid.js';
import { square_m } from './grid_lines.js';
import { LineLayer } from './line_layer.js';
import { MarkLayer } from './mark_layer.js';

const STEP_PX = 90;
const SITE_ZOOM = 19;
const EDGE_PX = 40;
const BUTTONS_PX = 152;
const ON_AIM_PX = 1.5;
/** The library's own timers (a turned wheel, a new size) fire up to so long after the last touch. */
const LAST_TIMER_MS = 1000;
const MOST_ZOOM = 23;
const ARROWS = /** @type {Record<string, [number, number]>} */ ({
  ArrowUp: [0, -STEP_PX],
  ArrowDown: [0, STEP_PX],
  ArrowLeft: [-STEP_PX, 0],
  ArrowRight: [STEP_PX, 0],
});

export class SiteMap {
  /** @type {BaseMap | null} */
  #base = null;
  /** Where the middle was put: the map itself stands on whole pixels. @type {Place | null} */
  #aimed = null;
  #isClosed = false;

  /**
   * @param {HTMLElement} container
   * @param {{centre: Place, zoom: number}} view
   * @param {Hearers} [hearers]
   */
  constructor(container, { centre, zoom }, { onTouch = () => {}, onMove = () => {}, onMissed } = {}) {
    this.container = container;
    this.onMissed = onMissed;
    this.map = L.map(container, {
      center: [centre.lat, centre.lon],
      zoom,
      minZoom: 3,
      maxZoom: MOST_ZOOM,
      zoomControl: false,
      attributionControl: false,
      // Nothing here is to be done by two taps or a long press, which gloves and wet glass make by themselves.
      doubleClickZoom: false,
      boxZoom: false,
      keyboard: false,
      fadeAnimation: false,
      zoomAnimation: false,
      markerZoomAnimation: false,
      inertia: !globalThis.matchMedia?.('(prefers-reduced-motion: reduce)').matches,
    });
    this.grid = new Grid(centre, () => this.#inksOfGrid()).addTo(this.map);
    this.lines = new LineLayer(this.map, () => this.#inks());
    this.marks = new MarkLayer(this.map);
    this.map.on('click', ({ originalEvent, containerPoint, latlng }) => {
      const pins = this.marks.at(originalEvent.target);
      const sight = pins === null ? this.lines.at(containerPoint) : null;
      onTouch(pins !== null ? { pins } : sight !== null ? { sightline: sight.id } : null, { lat: latlng.lat, lon: latlng.lng });
    });
    // What the keyboard reaches must not lie under an edge.
    this.marks.pane.addEventListener('focusin', ({ target }) => {
      if (!(target instanceof Element) || !target.matches(':focus-visible')) return;
      const pin = this.marks.pinAt(target);
      if (pin !== null) this.reveal(pin);
    });
    this.map.on('moveend', () => this.#isClosed || onMove(this.view()));
    container.addEventListener('keydown', (event) => this.#key(event));
    this.watch = new ResizeObserver(() => this.map.invalidateSize({ animate: false }));
    this.watch.observe(container);
    this.looks = new MutationObserver(() => this.relook());
    this.looks.observe(document.documentElement, { attributes: true, attributeFilter: ['data-look'] });
    this.marks.draw();
  }

  /** @param {readonly Pin[]} pins @param {readonly Sight[]} sights @param {readonly Outline[]} outlines */
  show(pins, sights, outlines) {
    this.lines.show(pins, sights, outlines);
    this.marks.show(pins);
  }

  /** @param {string} id of the pin or sightline that is touched, or '' */
  choose(id) {
    this.marks.choose(id);
    this.lines.choose(id);
  }

  /** Bring a place into view, where a sheet has covered it. @param {Place} place */
  reveal({ lat, lon }) {
    this.map.panInside([lat, lon], { padding: [56, 56], animate: false });
  }

  /** @param {Place} origin of the metres */
  gridFrom(origin) {
    this.grid.startFrom(origin);
  }

  /** Lay a base map under everything, or none. @param {Sheet | null} sheet */
  useBase(sheet) {
    if (sheet?.name === this.#base?.sheet.name) return;
    this.#base?.remove();
    this.#base = sheet === null ? null : new BaseMap(sheet, () => this.look(), this.onMissed).addTo(this.map);
    if (this.#base === null) this.grid.addTo(this.map);
    else this.grid.remove();
  }

  view() {
    const { lat, lng: lon } = this.map.getCenter();
    const isThere = this.#aimed !== null && lineBetween(this.#aimed, { lat, lon }).distance_m * this.lines.px_per_m() < ON_AIM_PX;
    return { centre: isThere ? /** @type {Place} */ (this.#aimed) : { lat, lon }, zoom: this.map.getZoom() };
  }

  bounds() {
    const view = this.map.getBounds();
    return { south_deg: view.getSouth(), west_deg: view.getWest(), north_deg: view.getNorth(), east_deg: view.getEast() };
  }

  /** @param {Place} place @param {number} [zoom] */
  look_at({ lat, lon }, zoom = Math.max(this.map.getZoom(), SITE_ZOOM)) {
    this.#aimed = { lat, lon };
    this.map.setView([lat, lon], Math.min(zoom, MOST_ZOOM), { animate: false });
  }

  /** @param {number} by */
  zoomBy(by) {
    this.map.setZoom(Math.round(this.map.getZoom() + by), { animate: false });
  }

  /** Show all of some places. @param {readonly Place[]} places */
  wholeOf(places) {
    if (places.length === 0) return;
    const bounds = L.latLngBounds(places.map(({ lat, lon }) => /** @type {[number, number]} */ ([lat, lon])));
    // Clear of the buttons, on whichever side the hand has them.
    const [left, right] = document.documentElement.dataset.hand === 'left' ? [BUTTONS_PX, EDGE_PX] : [EDGE_PX, BUTTONS_PX];
    this.map.fitBounds(bounds, { paddingTopLeft: [left, EDGE_PX], paddingBottomRight: [right, EDGE_PX], maxZoom: 20, animate: false });
  }

  /** Move the map by metres. @param {number} east_m @param {number} north_m */
  nudge(east_m, north_m) {
    this.look_at(nudged(this.view().centre, east_m, north_m), this.map.getZoom());
  }

  /** The side of a square of the grid as it is drawn [m]. */
  square_m() {
    return square_m(this.lines.px_per_m());
  }

  /** @returns {Look} */
  look() {
    const look = document.documentElement.dataset.look;
    return look === 'dark' || look === 'night' ? look : 'day';
  }

  /** Draw everything again in another look. */
  relook() {
    this.grid.redraw();
    this.#base?.redraw();
    this.lines.draw();
  }

  /** Let go of it. It is taken down when nothing can call for it any more. */
  close() {
    this.#isClosed = true;
    this.watch.disconnect();
    this.looks.disconnect();
    setTimeout(() => this.map.remove(), LAST_TIMER_MS);
  }

  #inks() {
    const style = getComputedStyle(this.container);
    return { ink: style.getPropertyValue('--map-ink').trim() || '#000', paper: style.getPropertyValue('--map-paper').trim() || '#fff' };
  }

  #inksOfGrid() {
    const style = getComputedStyle(this.container);
    const [line, strong, figure] = ['--map-grid', '--map-grid-strong', '--map-figure'].map((name) => style.getPropertyValue(name).trim() || '#888');
    return /** @type {import('./grid.js').GridInk} */ ({ line, strong, figure });
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const arrow = ARROWS[event.key];
    if (arrow !== undefined) this.map.panBy(arrow, { animate: false });
    else if (event.key === '+' || event.key === '=') this.zoomBy(1);
    else if (event.key === '-' || event.key === '−') this.zoomBy(-1);
    else return;
    event.preventDefault();
  }
}
