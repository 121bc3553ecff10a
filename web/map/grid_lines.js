/**
 * A grid in metres east and north of a point: how wide its squares are, where its lines run, what stands at
 * its crossings. True to the metre within some five kilometres of the point. Not for: drawing (`grid`).
 *
 * @typedef {{lat: number, lon: number}} Place
 */

import { RAD } from '../sensing/angles.js';
import { radii_m } from './geometry.js';

const LEAST_SQUARE_PX = 56;
/** Every fifth line is a strong one, and the strong ones have figures. */
export const STRONG_EVERY = 5;

/**
 * Answer the side of a square [m]: the least of 1, 2, 5, 10, 20 … (and tenths) that is wide enough to see.
 * @param {number} px_per_m
 */
export function square_m(px_per_m) {
  const wanted = LEAST_SQUARE_PX / px_per_m;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const step = [1, 2, 5, 10].find((one) => one * power >= wanted * (1 - 1e-9)) ?? 10;
  return Number((step * power).toPrecision(1));
}

/** Metres east and north of an origin, and back. @param {Place} origin */
export function flat(origin) {
  const { along, across } = radii_m(origin.lat);
  const [east, north] = [RAD * across * Math.cos(origin.lat * RAD), RAD * along];
  return {
    /** @param {Place} place */
    to_m: ({ lat, lon }) => ({ east_m: (lon - origin.lon) * east, north_m: (lat - origin.lat) * north }),
    /** @param {number} east_m @param {number} north_m */
    to_deg: (east_m, north_m) => ({ lat: origin.lat + north_m / north, lon: origin.lon + east_m / east }),
  };
}

/**
 * Answer which lines cross a stretch: their numbers, counted from the origin.
 * @param {number} from_m @param {number} to_m @param {number} step_m
 */
export function linesWithin(from_m, to_m, step_m) {
  const [first, last] = [Math.ceil(from_m / step_m - 1e-9), Math.floor(to_m / step_m + 1e-9)];
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, place) => first + place);
}

/** Word a crossing. @param {number} east_m @param {number} north_m */
export function crossing(east_m, north_m) {
  const one = (/** @type {number} */ m, /** @type {string} */ letters) => {
    const far = Math.abs(m);
    return `${far >= 1000 ? `${Number((far / 1000).toFixed(2))} km` : `${Number(far.toFixed(1))}`} ${m < 0 ? letters[1] : letters[0]}`;
  };
  if (Math.abs(east_m) < 1e-6 && Math.abs(north_m) < 1e-6) return '0';
  return [Math.abs(north_m) < 1e-6 ? '' : one(north_m, 'NS'), Math.abs(east_m) < 1e-6 ? '' : one(east_m, 'EW')].filter(Boolean).join(' ');
}
