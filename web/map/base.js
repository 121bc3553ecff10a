/**
 * A base map that the user supplied, drawn tile by tile on canvas, so that it can be turned into the look:
 * as it is by day, dimmed in the dark, in pure red at night. Not for: where tiles come from (`tile_store`).
 */

import { L } from '../doors/leaflet.js';
import { drawLand, isLand } from './land_picture.js';
import { intoLook } from './looks_of_tiles.js';
import { tileOf } from './tile_store.js';

/** @typedef {import('./looks_of_tiles.js').Look} Look */

export class BaseMap extends L.GridLayer {
  /**
   * @param {import('./tile_store.js').Sheet} sheet
   * @param {() => Look} look
   * @param {() => void} [onMissed] a tile is neither kept here nor to be had from the laptop
   */
  constructor(sheet, look, onMissed = () => {}) {
    super({ className: 'map-base', minNativeZoom: sheet.least_zoom, maxNativeZoom: sheet.most_zoom, ...within(sheet.bounds) });
    this.sheet = sheet;
    this.look = look;
    this.onMissed = onMissed;
    this.on('tileunload', ({ tile }) => /** @type {any} */ (tile).abandon?.());
  }

  /** @override @param {import('leaflet').Coords} coords @param {import('leaflet').DoneCallback} done */
  createTile(coords, done) {
    const canvas = document.createElement('canvas');
    const { x: size } = this.getTileSize();
    canvas.width = canvas.height = 256;
    canvas.style.width = canvas.style.height = `${size}px`;
    const abort = new AbortController();
    /** @type {any} */ (canvas).abandon = () => abort.abort();
    this.#fill(canvas, coords, abort.signal).then(
      () => done(undefined, canvas),
      (trouble) => {
        if (!abort.signal.aborted) this.onMissed();
        done(trouble, canvas);
      },
    );
    return canvas;
  }

  /** @param {HTMLCanvasElement} canvas @param {import('leaflet').Coords} coords @param {AbortSignal} signal */
  async #fill(canvas, { x, y, z }, signal) {
    const context = canvas.getContext('2d', { willReadFrequently: true });
    if (context === null) return;
    if (isLand(this.sheet)) await drawLand(context, this.sheet.name, z, x, y);
    else {
      const blob = await tileOf(this.sheet.name, z, x, y, { signal });
      if (blob === null || signal.aborted) return;
      const image = await createImageBitmap(blob);
      context.drawImage(image, 0, 0, 256, 256);
      image.close();
    }
    const look = this.look();
    if (look === 'day') return;
    const pixels = context.getImageData(0, 0, 256, 256);
    intoLook(pixels.data, look);
    context.putImageData(pixels, 0, 0);
  }
}

/** @param {import('./tile_store.js').Bounds | null} bounds */
function within(bounds) {
  if (bounds === null) return {};
  return { bounds: L.latLngBounds([bounds.south_deg, bounds.west_deg], [bounds.north_deg, bounds.east_deg]) };
}
