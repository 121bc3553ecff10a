/**
 * Pins that would cover each other gathered into one spot, so that a screen never holds more marks than
 * fingers can touch apart. Not for: drawing them.
 *
 * @typedef {{id: string, x: number, y: number}} Spot
 * @typedef {{x: number, y: number, ids: string[]}} Gathered at the place of its first
 */

/**
 * Gather spots nearer to each other than `apart_px`, the first of them first. Those in `alone` stay alone.
 * @param {readonly Spot[]} spots
 * @param {number} apart_px
 * @param {ReadonlySet<string>} [alone]
 * @returns {Gathered[]}
 */
export function gathered(spots, apart_px, alone = new Set()) {
  /** @type {Gathered[]} */
  const found = [];
  /** @type {Map<string, Gathered[]>} */
  const cells = new Map();
  for (const { id, x, y } of spots) {
    if (alone.has(id)) {
      found.push({ x, y, ids: [id] });
      continue;
    }
    const [column, row] = [Math.floor(x / apart_px), Math.floor(y / apart_px)];
    const near = nearest(cells, column, row, x, y, apart_px);
    if (near !== undefined) {
      near.ids.push(id);
      continue;
    }
    const group = { x, y, ids: [id] };
    found.push(group);
    const key = `${column} ${row}`;
    const held = cells.get(key);
    if (held === undefined) cells.set(key, [group]);
    else held.push(group);
  }
  return found;
}

/**
 * @param {Map<string, Gathered[]>} cells
 * @param {number} column @param {number} row @param {number} x @param {number} y @param {number} apart_px
 */
function nearest(cells, column, row, x, y, apart_px) {
  let best;
  let least = apart_px ** 2;
  for (let dx = -1; dx <= 1; dx++) {
    for (let dy = -1; dy <= 1; dy++) {
      for (const group of cells.get(`${column + dx} ${row + dy}`) ?? []) {
        const far = (group.x - x) ** 2 + (group.y - y) ** 2;
        if (far < least) [best, least] = [group, far];
      }
    }
  }
  return best;
}
