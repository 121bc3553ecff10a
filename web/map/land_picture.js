/**
 * Pictures of the land as base maps: a layer's picture cut into tiles where it lies, from this phone alone.
 * Its edges are in degrees and it is laid out in Mercator, as tiles are, so that cutting is all there is to do.
 * Not for: how it came here (`land_keep`), or the look (`base`).
 *
 * @typedef {import('./tile_store.js').Sheet} Sheet
 * @typedef {import('../session.js').Notebook} Notebook
 */

import { RAD } from '../sensing/angles.js';
import { land as words } from '../words_land.js';

const MARK = 'layer-';
const LEAST_ZOOM = 11;
const MOST_ZOOM = 20;
/** How to have a layer's picture, which is opened when it is first drawn. @type {Map<string, () => ReturnType<typeof picture>>} */
const held = new Map();

/** How far east and south a place lies on the square world, 0 to 1. @param {number} lat @param {number} lon */
function onWorld(lat, lon) {
  return { x: (lon + 180) / 360, y: (1 - Math.asinh(Math.tan(lat * RAD)) / Math.PI) / 2 };
}

/** @param {Sheet} sheet */
export const isLand = (sheet) => sheet.kind === 'layer';

/** Answer the layers whose pictures are on this phone, as base maps, newest first. @param {Notebook} notebook @returns {Promise<Sheet[]>} */
export async function landSheets(notebook) {
  const [layers, sites] = await Promise.all([notebook.all('layer'), notebook.all('site')]).catch(() => [[], []]);
  /** @type {Sheet[]} */
  const sheets = [];
  for (const { id, values } of layers) {
    const blob = await notebook.blob(values.blob).catch(() => undefined);
    if (blob === undefined || values.bounds === undefined) continue;
    const name = `${MARK}${id}`;
    /** @type {ReturnType<typeof picture> | undefined} */
    let opened;
    held.set(name, () => (opened ??= picture(blob, values.bounds)));
    const site = sites.length > 1 && sites.find((one) => one.id === values.site)?.values.name;
    sheets.push({
      name,
      title: words.base([values.title ?? values.kind, site].filter(Boolean).join(', ')),
      kind: 'layer',
      bounds: values.bounds,
      least_zoom: LEAST_ZOOM,
      most_zoom: MOST_ZOOM,
      attribution: '',
      trouble: null,
    });
  }
  return sheets;
}

/** @param {Blob} blob @param {import('./tile_store.js').Bounds} bounds */
async function picture(blob, { south_deg, west_deg, north_deg, east_deg }) {
  const image = await createImageBitmap(blob).catch(() => null);
  if (image === null) return null;
  const corner = onWorld(north_deg, west_deg);
  const other = onWorld(south_deg, east_deg);
  return { image, left: corner.x, top: corner.y, wide: other.x - corner.x, high: other.y - corner.y };
}

/**
 * Draw one tile of a layer's picture; nothing where it does not reach.
 * @param {CanvasRenderingContext2D} context of 256 pixels @param {string} name @param {number} z @param {number} x @param {number} y
 */
export async function drawLand(context, name, z, x, y) {
  const found = await held.get(name)?.();
  if (!found) return;
  const { image, left, top, wide, high } = found;
  const scale = 256 * 2 ** z;
  context.imageSmoothingEnabled = true;
  context.drawImage(image, (left - x / 2 ** z) * scale, (top - y / 2 ** z) * scale, wide * scale, high * scale);
}
