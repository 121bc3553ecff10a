/**
 * Values that are roughly known, for tapping: distances by chip, directions by compass word, and what each
 * way of measuring is good for. The same tables as the notebook's own, so that a chip means one thing
 * everywhere. Not for: reading typed text (the field types), or arithmetic.
 *
 * Every plus-minus is common practice, no source; a person may always type a better one.
 *
 * @typedef {{key: string, label: string, value_m: number, plus_minus_m: number}} Chip
 */

/** @type {readonly Chip[]} Together they leave no distance out; sky is infinitely far. */
export const CHIPS = [
  { key: 'touching', label: 'touching', value_m: 0, plus_minus_m: 0.4 },
  { key: '1', label: '1 m', value_m: 1, plus_minus_m: 0.6 },
  { key: '3', label: '3 m', value_m: 3, plus_minus_m: 1.4 },
  { key: '6', label: '6 m', value_m: 6, plus_minus_m: 2 },
  { key: '12', label: '12 m', value_m: 12, plus_minus_m: 4 },
  { key: '25', label: '25 m', value_m: 25, plus_minus_m: 9 },
  { key: '50', label: '50 m', value_m: 50, plus_minus_m: 16 },
  { key: '100', label: '100 m +', value_m: 100, plus_minus_m: 34 },
  { key: 'sky', label: 'sky', value_m: Infinity, plus_minus_m: 0 },
];

/** @type {readonly [string, string][]} Letters and words, clockwise from north, 22.5° apart. */
export const ROSE = [
  ['N', 'north'],
  ['NNE', 'north-north-east'],
  ['NE', 'north-east'],
  ['ENE', 'east-north-east'],
  ['E', 'east'],
  ['ESE', 'east-south-east'],
  ['SE', 'south-east'],
  ['SSE', 'south-south-east'],
  ['S', 'south'],
  ['SSW', 'south-south-west'],
  ['SW', 'south-west'],
  ['WSW', 'west-south-west'],
  ['W', 'west'],
  ['WNW', 'west-north-west'],
  ['NW', 'north-west'],
  ['NNW', 'north-north-west'],
];

/** A word out of the eight main ones, and one out of all sixteen [deg]. */
export const POINT8_PLUS_MINUS_DEG = 22;
export const POINT16_PLUS_MINUS_DEG = 11;

/**
 * What each way of measuring is good for: bearing and tilt [deg], position and elevation [m], distance as
 * metres and as a share of it (the larger counts).
 * @type {Readonly<Record<string, {bearing_deg?: number, distance_m?: number, distance_share?: number, tilt_deg?: number, position_m?: number, elevation_m?: number, least_distance_m?: number}>>}
 */
export const HOW = {
  'sighting compass': { bearing_deg: 2 },
  'phone compass': { bearing_deg: 10 },
  'sun shadow': { bearing_deg: 3 },
  'compass word': { bearing_deg: POINT8_PLUS_MINUS_DEG },
  'phone edge': { tilt_deg: 1.5 },
  clinometer: { tilt_deg: 0.5 },
  rangefinder: { distance_m: 1, least_distance_m: 5 },
  tape: { distance_m: 0.05, distance_share: 0.005, elevation_m: 0.1 },
  pacing: { distance_m: 0.5, distance_share: 0.1 },
  map: { bearing_deg: 3, distance_m: 5, position_m: 5, elevation_m: 5 },
  'satellite fix': { position_m: 10, elevation_m: 15 },
  terrain: { elevation_m: 5 },
  guess: {
    bearing_deg: POINT8_PLUS_MINUS_DEG,
    distance_m: 0.5,
    distance_share: 0.25,
    tilt_deg: 5,
    position_m: 50,
    elevation_m: 20,
  },
};

/**
 * Answer the plus-minus that a way of measuring gives, undefined where it does not measure that.
 * @param {string | undefined} how
 * @param {'bearing' | 'distance' | 'tilt' | 'position' | 'elevation'} quantity
 * @param {number} [value_m] matters to distances alone
 */
export function plusMinus(how, quantity, value_m = 0) {
  const way = HOW[how ?? ''];
  if (way === undefined) return undefined;
  if (quantity === 'bearing') return way.bearing_deg;
  if (quantity === 'tilt') return way.tilt_deg;
  if (quantity === 'position') return way.position_m;
  if (quantity === 'elevation') return way.elevation_m;
  const shares = [way.distance_m, way.distance_share === undefined ? undefined : way.distance_share * value_m];
  const known = shares.filter((share) => share !== undefined);
  return known.length === 0 ? undefined : Math.max(...known);
}

/** Answer the nearest of the sixteen points. @param {number} deg @returns {[string, string]} letters, word */
export function compassPoint(deg) {
  return /** @type {[string, string]} */ (ROSE[Math.round((((deg % 360) + 360) % 360) / 22.5) % 16]);
}
