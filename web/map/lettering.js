/**
 * Figures written along lines, the right way up, where there is room for them. Not for: which figures.
 *
 * @typedef {{x: number, y: number}} Point
 * @typedef {{ink: string, paper: string}} Inks
 */

const FONT_PX = 13;
const FONT = `600 ${FONT_PX}px sans-serif`;
const BETWEEN = ' · ';
const APART_PX = FONT_PX + 1;
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

/** How wide words are in the one font; measuring is slow, and the same words come again with every drag.
 * @type {Map<string, number>} */
const widths = new Map();

/** @param {number} x @param {number} y */
function cell(x, y) {
  return `${Math.floor(x / APART_PX)} ${Math.floor(y / APART_PX)}`;
}

/** Room for words on one drawing. */
export class Lettering {
  /** @type {Map<string, Point[]>} by cell, so that only what is near is looked at */
  #taken = new Map();

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
      const wide = this.#width(words.join(BETWEEN));
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
    if (spots.some((spot) => this.#isTaken(spot))) return false;
    for (const spot of spots) {
      const key = cell(spot.x, spot.y);
      this.#taken.set(key, [...(this.#taken.get(key) ?? []), spot]);
    }
    return true;
  }

  /** @param {Point} spot */
  #isTaken({ x, y }) {
    for (const dx of [-APART_PX, 0, APART_PX]) {
      for (const dy of [-APART_PX, 0, APART_PX]) {
        for (const one of this.#taken.get(cell(x + dx, y + dy)) ?? []) if (Math.hypot(one.x - x, one.y - y) < APART_PX) return true;
      }
    }
    return false;
  }

  /** @param {string} text */
  #width(text) {
    let width = widths.get(text);
    if (width === undefined) {
      if (widths.size > 2000) widths.clear();
      width = this.context.measureText(text).width;
      widths.set(text, width);
    }
    return width;
  }
}
