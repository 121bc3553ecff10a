/**
 * Angles round the horizon: wrapped, turned, averaged as unit vectors.
 * Not for: where they come from.
 */

export const RAD = Math.PI / 180;

/** Wrap an angle into 0 to below 360. @param {number} deg */
export function wrap_deg(deg) {
  if (deg >= 0 && deg < 360) return deg;
  const wrapped = ((deg % 360) + 360) % 360;
  return wrapped === 360 ? 0 : wrapped;
}

/** Answer the shortest turn from one direction to another, above −180 to 180, clockwise positive.
 * @param {number} from_deg @param {number} to_deg */
export function turn_deg(from_deg, to_deg) {
  const turn = wrap_deg(to_deg - from_deg);
  return turn > 180 ? turn - 360 : turn;
}

/**
 * Average directions as unit vectors: 359° and 1° make 0°, not 180°. `spread_deg` is the circular standard
 * deviation (Mardia 1972), at most 180. Answers null for none, or where they cancel each other out.
 * @param {readonly number[]} directions_deg
 * @returns {{deg: number, spread_deg: number, count: number} | null}
 */
export function meanDirection(directions_deg) {
  const count = directions_deg.length;
  if (count === 0) return null;
  let north = 0;
  let east = 0;
  for (const deg of directions_deg) {
    north += Math.cos(deg * RAD);
    east += Math.sin(deg * RAD);
  }
  const length = Math.hypot(north, east) / count;
  if (length < 1e-6) return null;
  const spread_deg = Math.min(180, Math.sqrt(-2 * Math.log(Math.min(1, length))) / RAD);
  return { deg: wrap_deg(Math.atan2(east, north) / RAD), spread_deg, count };
}
