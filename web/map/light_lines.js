/**
 * How a sightline is drawn in each state of its light, and until a moment is chosen. Patterns, never colours:
 * they hold in sun, in the night look and on paper. Not for: which state it is in (the engine's answer).
 *
 * @typedef {'dark' | 'sky light' | 'sun' | 'good'} State
 * @typedef {{width: number, dash: number[], faint?: boolean}} LineStyle dash with round ends: [0, 8] is dots
 */

/** @type {LineStyle} */
export const PLAIN = { width: 2, dash: [] };

/** @type {Record<State, LineStyle>} */
export const STYLES = {
  dark: { width: 3, dash: [0, 10] },
  'sky light': { width: 3, dash: [9, 8] },
  sun: { width: 2, dash: [] },
  good: { width: 6, dash: [] },
};

/** @param {State | undefined} state of a moment; undefined where nothing is known of it @param {boolean} isMoment */
export function styleOf(state, isMoment) {
  if (!isMoment) return PLAIN;
  return state === undefined ? { width: 1, dash: [], faint: true } : STYLES[state];
}
