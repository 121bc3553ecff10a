/**
 * What lies under the marks on one canvas: areas, rings of uncertainty, sightlines in the state of their light
 * with their figures on them, and where the phone is. Not for: what can be touched as a button (`mark_layer`).
 *
 * @typedef {import('./pins.js').Pin} Pin
 * @typedef {import('./pins.js').Sight} Sight
 * @typedef {import('./pins.js').Outline} Outline
 * @typedef {{ink: string, paper: string}} Inks
 * @typedef {{x: number, y: number}} Point
 */

import { L } from '../doors/leaflet.js';
import { figuresOf } from './figures.js';
import { lettered, Lettering } from './lettering.js';
import { styleOf } from './light_lines.js';

const SOON_MS = 60;
const PADDING = 0.25; // of the view, drawn beyond each edge, so that a drag shows no empty edge
const TOUCH_PX = 24;
const RING_LEAST_PX = 30; // smaller ones would lie under their own mark
/** How far a sightline keeps from the points of its vantage and its perch, so that the marks stay clean. */
const FROM_VANTAGE_PX = 15;
const FROM_PERCH_PX = 6;
const RING_MOST_PX = 3000;
const MOST_LETTERED = 60;

export class LineLayer {
  /** @type {{pins: readonly Pin[], sights: readonly Sight[], outlines: readonly Outline[]}} */
  #what = { pins: [], sights: [], outlines: [] };
  /** @type {Readonly<Record<string, import('./light_lines.js').State>> | null} */
  #states = null;
  /** @type {{lat: number, lon: number, accuracy_m: number} | null} */
  #here = null;
  #chosen = '';
  #frame = 0;
  /** @type {{corner: import('leaflet').LatLng, zoom: number} | null} */
  #drawn = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #later;

  /** @param {import('leaflet').Map} map @param {() => Inks} inks */
  constructor(map, inks) {
    this.map = map;
    this.inks = inks;
    this.canvas = document.createElement('canvas');
    this.canvas.className = 'map-lines';
    this.canvas.setAttribute('aria-hidden', 'true');
    map.createPane('lines').append(this.canvas);
    map.on('zoom', () => this.#follow());
    map.on('moveend resize', () => {
      this.#follow();
      this.#soon();
    });
  }

  /** @param {readonly Pin[]} pins @param {readonly Sight[]} sights @param {readonly Outline[]} outlines */
  show(pins, sights, outlines) {
    this.#what = { pins, sights, outlines };
    this.draw();
  }

  /** @param {Readonly<Record<string, import('./light_lines.js').State>> | null} states by sightline; null: no moment is chosen */
  light(states) {
    this.#states = states;
    this.draw();
  }

  /** @param {{lat: number, lon: number, accuracy_m: number} | null} here */
  stand(here) {
    this.#here = here;
    this.draw();
  }

  /** @param {string} id */
  choose(id) {
    this.#chosen = id;
    this.#soon();
  }

  /** Answer the sightline under a finger. @param {Point} point of the container @returns {Sight | null} */
  at(point) {
    let [found, least] = [/** @type {Sight | null} */ (null), TOUCH_PX];
    for (const sight of this.#what.sights) {
      const [from, to] = [sight.vantage, sight.perch].map((pin) => this.map.latLngToContainerPoint([pin.lat, pin.lon]));
      const far = L.LineUtil.pointToSegmentDistance(L.point(point.x, point.y), /** @type {import('leaflet').Point} */ (from), /** @type {import('leaflet').Point} */ (to));
      if (far < least) [found, least] = [sight, far];
    }
    return found;
  }

  /** Lay what is drawn where the map has gone, larger or smaller as it may be. */
  #follow() {
    if (this.#drawn === null) return;
    const { corner, zoom } = this.#drawn;
    L.DomUtil.setTransform(this.canvas, this.map.latLngToLayerPoint(corner), 2 ** (this.map.getZoom() - zoom));
  }

  /** Draw anew once the finger has its answer: what is drawn has a margin, and follows meanwhile. */
  #soon() {
    clearTimeout(this.#later);
    this.#later = setTimeout(() => this.draw(), SOON_MS);
  }

  /** Draw with the next picture: a touch moves, resizes and chooses at once, and one drawing serves them all. */
  draw() {
    if (this.#frame !== 0) return;
    this.#frame = requestAnimationFrame(() => {
      this.#frame = 0;
      if (this.canvas.isConnected) this.#now();
    });
  }

  #now() {
    const { map, canvas } = this;
    const size = map.getSize();
    const edge = size.multiplyBy(PADDING).round();
    const whole = size.add(edge.multiplyBy(2));
    const fine = Math.min(2, globalThis.devicePixelRatio || 1);
    const [wide, high] = [Math.round(whole.x * fine), Math.round(whole.y * fine)];
    if (canvas.width !== wide) canvas.width = wide;
    if (canvas.height !== high) canvas.height = high;
    canvas.style.width = `${whole.x}px`;
    canvas.style.height = `${whole.y}px`;
    const corner = map.containerPointToLayerPoint(L.point(0, 0).subtract(edge));
    this.#drawn = { corner: map.layerPointToLatLng(corner), zoom: map.getZoom() };
    L.DomUtil.setTransform(canvas, corner, 1);
    const context = canvas.getContext('2d');
    if (context === null) return;
    context.setTransform(fine, 0, 0, fine, 0, 0);
    context.clearRect(0, 0, whole.x, whole.y);
    const spot = (/** @type {{lat: number, lon: number}} */ one) => map.latLngToLayerPoint([one.lat, one.lon]).subtract(corner);
    const isIn = (/** @type {Point} */ one) => one.x >= 0 && one.y >= 0 && one.x <= whole.x && one.y <= whole.y;
    this.#areas(context, spot);
    this.#rings(context, spot, isIn);
    this.#sights(context, spot, whole);
    this.#me(context, spot);
  }

  /** @param {CanvasRenderingContext2D} context @param {(one: {lat: number, lon: number}) => Point} spot */
  #areas(context, spot) {
    const { ink, paper } = this.inks();
    for (const { outline, kind, name } of this.#what.outlines) {
      const points = outline.map(spot);
      const path = new Path2D();
      points.forEach(({ x, y }, place) => (place === 0 ? path.moveTo(x, y) : path.lineTo(x, y)));
      path.closePath();
      context.strokeStyle = ink;
      context.lineWidth = kind === 'not to be entered' ? 2 : 1.25;
      context.setLineDash(kind === 'watched' ? [2, 5] : []);
      context.stroke(path);
      context.setLineDash([]);
      if (kind !== 'watched') this.#shade(context, path, points, kind === 'water');
      const [x, y] = [mean(points.map((one) => one.x)), Math.max(...points.map((one) => one.y)) - 10];
      const wide = Math.max(...points.map((one) => one.x)) - Math.min(...points.map((one) => one.x));
      if (wide > 150 && kind !== 'watched') lettered(context, [name], { x, y }, 0, { ink, paper });
    }
  }

  /** Water: level strokes. Not to be entered: a lattice. @param {CanvasRenderingContext2D} context @param {Path2D} path @param {Point[]} points @param {boolean} isWater */
  #shade(context, path, points, isWater) {
    const [xs, ys] = [points.map((one) => one.x), points.map((one) => one.y)];
    const [west, east, north, south] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    if (east - west > 6000 || south - north > 6000) return;
    context.save();
    context.clip(path);
    context.lineWidth = 0.75;
    context.globalAlpha = 0.7;
    context.beginPath();
    for (let y = north + 5; y < south; y += isWater ? 7 : 12) {
      if (isWater) {
        context.moveTo(west, y);
        context.lineTo(east, y);
      }
    }
    if (!isWater) {
      const reach = south - north;
      for (let x = west - reach; x < east; x += 12) {
        context.moveTo(x, south);
        context.lineTo(x + reach, north);
        context.moveTo(x, north);
        context.lineTo(x + reach, south);
      }
    }
    context.stroke();
    context.restore();
  }

  /** @param {CanvasRenderingContext2D} context @param {(one: {lat: number, lon: number}) => Point} spot @param {(one: Point) => boolean} isIn */
  #rings(context, spot, isIn) {
    context.strokeStyle = this.inks().ink;
    const px_per_m = this.px_per_m();
    for (const pin of this.#what.pins) {
      const radius = (pin.accuracy_m ?? 0) * px_per_m;
      if (radius < RING_LEAST_PX || radius > RING_MOST_PX) continue;
      const at = spot(pin);
      if (!isIn(at)) continue;
      context.lineWidth = pin.id === this.#chosen ? 2 : 1;
      context.beginPath();
      context.arc(at.x, at.y, radius, 0, 2 * Math.PI);
      context.stroke();
    }
  }

  /** @param {CanvasRenderingContext2D} context @param {(one: {lat: number, lon: number}) => Point} spot @param {Point} whole */
  #sights(context, spot, whole) {
    const inks = this.inks();
    const letters = new Lettering(context, inks);
    context.lineCap = 'round';
    const drawn = [];
    for (const sight of this.#what.sights) {
      const [from, to] = trimmed(spot(sight.vantage), spot(sight.perch));
      if (Math.max(from.x, to.x) < 0 || Math.min(from.x, to.x) > whole.x) continue;
      if (Math.max(from.y, to.y) < 0 || Math.min(from.y, to.y) > whole.y) continue;
      const { width, dash, faint = false } = styleOf(this.#states?.[sight.id], this.#states !== null);
      const isChosen = [sight.id, sight.vantage.id, sight.perch.id].includes(this.#chosen);
      for (const [ink, more] of /** @type {const} */ ([[inks.paper, 4], [inks.ink, 0]])) {
        context.strokeStyle = ink;
        context.globalAlpha = faint && more === 0 ? 0.4 : more === 0 ? 1 : 0.7;
        context.lineWidth = width + more;
        context.setLineDash(dash);
        context.beginPath();
        context.moveTo(from.x, from.y);
        context.lineTo(to.x, to.y);
        context.stroke();
      }
      drawn.push({ sight, from, to, isChosen });
    }
    context.setLineDash([]);
    context.globalAlpha = 1;
    context.lineCap = 'butt';
    drawn.sort((one, other) => Number(other.isChosen) - Number(one.isChosen));
    // Among more lines than these nobody reads figures; those of what is touched come first.
    for (const { sight, from, to } of drawn.slice(0, MOST_LETTERED)) letters.along(figuresOf(sight), from, to);
  }

  /** @param {CanvasRenderingContext2D} context @param {(one: {lat: number, lon: number}) => Point} spot */
  #me(context, spot) {
    if (this.#here === null) return;
    const at = spot(this.#here);
    const { ink, paper } = this.inks();
    const radius = this.#here.accuracy_m * this.px_per_m();
    context.strokeStyle = ink;
    context.setLineDash([3, 4]);
    context.lineWidth = 1.5;
    context.beginPath();
    context.arc(at.x, at.y, Math.min(RING_MOST_PX, Math.max(12, radius)), 0, 2 * Math.PI);
    context.stroke();
    context.setLineDash([]);
    for (const [colour, width] of /** @type {const} */ ([[paper, 7], [ink, 3]])) {
      context.strokeStyle = colour;
      context.lineWidth = width;
      context.beginPath();
      context.moveTo(at.x - 7, at.y - 7);
      context.lineTo(at.x + 7, at.y + 7);
      context.moveTo(at.x + 7, at.y - 7);
      context.lineTo(at.x - 7, at.y + 7);
      context.stroke();
    }
  }

  /** How many pixels a metre on the ground is, in the middle of the map. */
  px_per_m() {
    const { lat } = this.map.getCenter();
    const world_px = 256 * 2 ** this.map.getZoom();
    return world_px / (2 * Math.PI * 6_378_137 * Math.cos((lat * Math.PI) / 180));
  }
}

/** @param {Point} from @param {Point} to @returns {[Point, Point]} */
function trimmed(from, to) {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  if (length < 2 * (FROM_VANTAGE_PX + FROM_PERCH_PX)) return [from, to];
  const [dx, dy] = [(to.x - from.x) / length, (to.y - from.y) / length];
  return [
    { x: from.x + dx * FROM_VANTAGE_PX, y: from.y + dy * FROM_VANTAGE_PX },
    { x: to.x - dx * FROM_PERCH_PX, y: to.y - dy * FROM_PERCH_PX },
  ];
}

/** @param {number[]} values */
function mean(values) {
  return values.reduce((total, one) => total + one, 0) / values.length;
}
