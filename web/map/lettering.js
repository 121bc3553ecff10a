/**
 * Figures written along lines, the right way up, where there is room for them. Not for: which figures.
 *
 * @typedef {{x: number, y: number}} Point
 * @typedef {{ink: string, paper: string}} Inks
 */

const FONT_PX = 13;
const FONT = `600 ${FONT_PX}px sans-serif`;
const BETWEEN = ' · ';
/** Kept free at each end of a line, where the marks stand [px]. */
const ENDS_PX = 26;

/**
 * Answer the angle at which a line's words read from left to right.
 * @param {Point} from @param {Point} to
 */
export function uprightAngle(from, to) {
  const angle = Math.atan2(to.y - from.y, to.x - from.x);
  if (angle > Math.PI / 2) return angle - Math.PI;
  return angle <= -Math.PI / 2 ? angle + Math.PI : angle;
}

/**
 * Write words on one line, on an edge of paper.
 * @param {CanvasRenderingContext2D} context
 * @param {readonly string[]} words
 * @param {Point} at
 * @param {number} angle
 * @param {Inks} inks
 */
export function lettered(context, words, { x, y }, angle, { ink, paper }) {
  context.save();
  context.translate(x, y);
  context.rotate(angle);
  context.font = FONT;
  context.textAlign = 'center';
  context.textBaseline = 'middle';
  const text = words.join(BETWEEN);
  // A plain patch and not an edge round each letter, or a dotted line beneath would pass for points and dashes.
  const wide = context.measureText(text).width + 8;
  context.fillStyle = paper;
  context.fillRect(-wide / 2, -FONT_PX / 2 - 2, wide, FONT_PX + 4);
  context.fillStyle = ink;
  context.fillText(text, 0, 0);
  context.restore();
}

/** Room for words on one drawing. */
export class Lettering {
  /** @type {Point[]} */
  #taken = [];

  /** @param {CanvasRenderingContext2D} context @param {Inks} inks */
  constructor(context, inks) {
    this.context = context;
    this.inks = inks;
  }

  /**
   * Write figures on a line: all of them, or the first ones, or none, as there is room.
   * @param {readonly string[]} figures
   * @param {Point} from
   * @param {Point} to
   */
  along(figures, from, to) {
    const length = Math.hypot(to.x - from.x, to.y - from.y);
    if (length < 70) return;
    this.context.font = FONT;
    for (let count = figures.length; count > 1; count--) {
      const words = figures.slice(0, count);
      const wide = this.context.measureText(words.join(BETWEEN)).width;
      if (wide > length - 2 * ENDS_PX) continue;
      // Nearer the perch the lines of one vantage lie further apart.
      for (const share of [0.6, 0.5, 0.7, 0.4]) {
        const middle = { x: from.x + (to.x - from.x) * share, y: from.y + (to.y - from.y) * share };
        const least = wide / 2 + ENDS_PX;
        if (share * length < least || (1 - share) * length < least) continue;
        if (!this.#take(middle, wide, from, to, length)) continue;
        lettered(this.context, words, middle, uprightAngle(from, to), this.inks);
        return;
      }
    }
  }

  /** @param {Point} middle @param {number} wide @param {Point} from @param {Point} to @param {number} length */
  #take(middle, wide, from, to, length) {
    const [dx, dy] = [(to.x - from.x) / length, (to.y - from.y) / length];
    const spots = [];
    for (let along = -wide / 2; along <= wide / 2; along += FONT_PX / 2) spots.push({ x: middle.x + dx * along, y: middle.y + dy * along });
    const isFree = spots.every((spot) => this.#taken.every((one) => Math.hypot(one.x - spot.x, one.y - spot.y) > FONT_PX + 1));
    if (isFree) this.#taken.push(...spots);
    return isFree;
  }
}
