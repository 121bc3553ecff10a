/**
 * The marks of places as strokes about the point (0, 0) where they stand, in pixels, y downwards: one drawing
 * for every look, for a screen as for paper. Not for: where they stand (`mark_layer`).
 *
 * @typedef {'perch' | 'vantage' | 'landmark' | 'hazard'} MarkKind
 * @typedef {{kind: MarkKind, letter?: string, hide?: boolean, usable?: {from_deg: number, to_deg: number}, toward_deg?: number | null}} Mark
 * @typedef {{d: string, width: number, fill?: 'paper' | 'ink'}} Stroke
 * @typedef {{strokes: Stroke[], text?: {text: string, y: number, size: number}, middle: [number, number]}} Drawing
 *   `middle`: where a finger aims
 */

const SVG = 'http://www.w3.org/2000/svg';
const TICK_DEG = 10;

/** Answer how a mark is drawn. @param {Mark} mark @returns {Drawing} */
export function drawing(mark) {
  if (mark.kind === 'perch') {
    return {
      strokes: [
        { d: 'M0 -9L0 0', width: 2.5 },
        { d: 'M0 -27L9 -18L0 -9L-9 -18Z', width: 2.5, fill: 'paper' },
      ],
      middle: [0, -14],
    };
  }
  if (mark.kind === 'vantage') return vantage(mark);
  if (mark.kind === 'hazard') {
    return {
      strokes: [
        { d: 'M0 -15L14 10L-14 10Z', width: 2.5, fill: 'paper' },
        { d: 'M0 -6L0 2', width: 2.5 },
        { d: 'M0 5.5L0 6.5', width: 2.5 },
      ],
      middle: [0, 0],
    };
  }
  const letter = mark.letter ?? '';
  return {
    strokes: [{ d: 'M-12 -12H12V12H-12Z', width: 2.5, fill: 'paper' }],
    text: { text: letter, y: 6, size: letter.length > 1 ? 13 : 17 },
    middle: [0, 0],
  };
}

/** Answer how several places in one spot are drawn: cards one on the other, with their number. @param {number} count @returns {Drawing} */
export function stack(count) {
  return {
    strokes: [
      { d: 'M-10 15H18V-7', width: 2.5 },
      { d: 'M-15 -13H13V10H-15Z', width: 2.5, fill: 'paper' },
    ],
    text: { text: count > 99 ? '99+' : String(count), y: 4, size: count > 99 ? 12 : 16 },
    middle: [0, 0],
  };
}

/** @param {Mark} mark @returns {Drawing} */
function vantage({ hide, usable, toward_deg }) {
  const toward = toward_deg ?? (usable === undefined ? 0 : usable.from_deg + sweep_deg(usable) / 2);
  const strokes = [{ d: lines([turned(-10, 8, toward), turned(0, -10, toward), turned(10, 8, toward)]), width: 3.5 }];
  if (hide) strokes.push({ d: lines([turned(-12, 1, toward), turned(12, 1, toward)]), width: 3 });
  if (usable !== undefined) strokes.push({ d: ticks(usable), width: 1.5 });
  return { strokes, middle: [0, 0] };
}

/** Short radial ticks over the usable range, its two ends longer. @param {{from_deg: number, to_deg: number}} usable */
function ticks(usable) {
  const sweep = sweep_deg(usable);
  const count = Math.max(2, Math.round(sweep / TICK_DEG));
  let d = '';
  for (let step = 0; step <= count; step++) {
    const at = usable.from_deg + (sweep * step) / count;
    const isEnd = step === 0 || step === count;
    d += lines([turned(0, isEnd ? -17 : -19, at), turned(0, isEnd ? -25 : -23, at)]);
  }
  return d;
}

/** @param {{from_deg: number, to_deg: number}} usable */
function sweep_deg({ from_deg, to_deg }) {
  return (((to_deg - from_deg) % 360) + 360) % 360 || 360;
}

/** @param {number} x @param {number} y @param {number} deg clockwise @returns {[number, number]} */
function turned(x, y, deg) {
  const [sin, cos] = [Math.sin((deg * Math.PI) / 180), Math.cos((deg * Math.PI) / 180)];
  return [x * cos - y * sin, x * sin + y * cos];
}

/** @param {[number, number][]} points */
function lines(points) {
  const one = (/** @type {number} */ value) => String(Math.round(value * 100) / 100 + 0);
  return `M${points.map(([x, y]) => `${one(x)} ${one(y)}`).join('L')}`;
}

/**
 * Make the SVG of a drawing; ink and paper come from the style sheet. Decoration: its button has the words.
 * @param {Drawing} drawn
 * @param {number} [half] of the box [px]
 */
export function svgOf(drawn, half = 28) {
  const svg = element('svg', { viewBox: `${-half} ${-half} ${2 * half} ${2 * half}`, width: 2 * half, height: 2 * half });
  svg.setAttribute('aria-hidden', 'true');
  svg.setAttribute('focusable', 'false');
  // A wide stroke of paper beneath the ink keeps a mark readable on any ground.
  for (const { d, width } of drawn.strokes) svg.append(element('path', { d, class: 'halo', 'stroke-width': width + 4 }));
  for (const { d, width, fill } of drawn.strokes) {
    svg.append(element('path', { d, class: fill === undefined ? 'ink' : `ink on-${fill}`, 'stroke-width': width }));
  }
  if (drawn.text !== undefined) {
    const text = element('text', { x: 0, y: drawn.text.y, 'font-size': drawn.text.size, class: 'letter' });
    text.textContent = drawn.text.text;
    svg.append(text);
  }
  return svg;
}

/** @param {string} name @param {Record<string, string | number>} attributes */
function element(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  return made;
}
