/**
 * The pixels of a base map turned into the look of the page. Not for: drawing tiles (`base`).
 *
 * @typedef {'day' | 'dark' | 'night'} Look
 */

const DIMMED = 0.5;
/** Of a white map no more than this is left at night: light comes first, and its colour second. */
const AT_NIGHT = 0.25;

/**
 * Turn pixels into a look, in place. At night only red is left, and as much of it as the eye found bright:
 * of a green wood on a map, its red alone would be black.
 * @param {Uint8ClampedArray | Uint8Array} rgba
 * @param {Look} look
 */
export function intoLook(rgba, look) {
  if (look === 'day') return;
  for (let at = 0; at < rgba.length; at += 4) {
    const [red, green, blue] = [rgba[at] ?? 0, rgba[at + 1] ?? 0, rgba[at + 2] ?? 0];
    if (look === 'night') {
      // weights of brightness: ITU-R BT.709
      rgba[at] = Math.round((0.2126 * red + 0.7152 * green + 0.0722 * blue) * AT_NIGHT);
      rgba[at + 1] = rgba[at + 2] = 0;
    } else {
      [rgba[at], rgba[at + 1], rgba[at + 2]] = [red * DIMMED, green * DIMMED, blue * DIMMED];
    }
  }
}
