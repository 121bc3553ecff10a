/**
 * The ground of the map where there is no base map: a grid in metres, drawn on canvas tiles.
 * Not for: where its lines run (`grid_lines`).
 */

import { L } from '../doors/leaflet.js';
import { crossing, flat, linesWithin, square_m, STRONG_EVERY } from './grid_lines.js';

const FAR_M = 200_000; // beyond, metres from a point say nothing
const FONT_PX = 11;

/** @typedef {{line: string, strong: string, figure: string}} GridInk */

export class Grid extends L.GridLayer {
  /**
   * @param {import('./grid_lines.js').Place} origin
   * @param {() => GridInk} ink the colours of the look, asked for with every tile
   */
  constructor(origin, ink) {
    super({ className: 'map-grid', updateWhenZooming: false, keepBuffer: 1 });
    this.origin = origin;
    this.ink = ink;
  }

  /** @param {import('./grid_lines.js').Place} origin */
  startFrom(origin) {
    this.origin = origin;
    this.redraw();
  }

  /** @override @param {import('leaflet').Coords} coords */
  createTile(coords) {
    const canvas = document.createElement('canvas');
    const { x: size } = this.getTileSize();
    const fine = Math.min(3, globalThis.devicePixelRatio || 1);
    canvas.width = canvas.height = Math.round(size * fine);
    const context = canvas.getContext('2d');
    if (context === null || this._map === undefined) return canvas;
    context.scale(fine, fine);
    this.#draw(context, coords, size);
    return canvas;
  }

  /** @param {CanvasRenderingContext2D} context @param {import('leaflet').Coords} coords @param {number} size */
  #draw(context, coords, size) {
    const map = /** @type {import('leaflet').Map} */ (this._map);
    const corner = L.point(coords.x, coords.y).multiplyBy(size);
    const reach = 90; // a figure of the next tile may reach into this one
    const place = (/** @type {number} */ x, /** @type {number} */ y) => {
      const { lat, lng: lon } = map.unproject(corner.add([x, y]), coords.z);
      return plane.to_m({ lat, lon });
    };
    const plane = flat(this.origin);
    const [nw, se] = [place(-reach, -20), place(size + 10, size + 20)];
    if (Math.hypot(nw.east_m, nw.north_m) > FAR_M) return;
    const px_per_m = (size + reach + 10) / (se.east_m - nw.east_m);
    const step = square_m(px_per_m);
    const spot = (/** @type {number} */ east_m, /** @type {number} */ north_m) => {
      const { lat, lon } = plane.to_deg(east_m, north_m);
      return map.project([lat, lon], coords.z).subtract(corner);
    };
    const { line, strong, figure } = this.ink();
    const columns = linesWithin(nw.east_m, se.east_m, step).map((n) => ({ n, at: spot(n * step, nw.north_m).x }));
    const rows = linesWithin(se.north_m, nw.north_m, step).map((n) => ({ n, at: spot(nw.east_m, n * step).y }));
    for (const wanted of [false, true]) {
      context.beginPath();
      context.strokeStyle = wanted ? strong : line;
      context.lineWidth = wanted ? 1.5 : 1;
      for (const { n, at } of columns) if ((n % STRONG_EVERY === 0) === wanted) context.rect(at, -5, 0, size + 10);
      for (const { n, at } of rows) if ((n % STRONG_EVERY === 0) === wanted) context.rect(-5, at, size + 10, 0);
      context.stroke();
    }
    context.fillStyle = figure;
    context.font = `${FONT_PX}px sans-serif`;
    for (const column of columns.filter(({ n }) => n % STRONG_EVERY === 0)) {
      for (const row of rows.filter(({ n }) => n % STRONG_EVERY === 0)) {
        context.fillText(crossing(column.n * step, row.n * step), column.at + 4, row.at - 4);
      }
    }
  }
}
