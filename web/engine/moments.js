/**
 * The light on the sightlines at a moment, out of the cards of the sessions around it. Pure but for asking.
 * Not for: drawing it, or light outside a session, of which a card says nothing.
 *
 * @typedef {'dark' | 'sky light' | 'sun' | 'good'} State
 * @typedef {{date: string, session: 'dawn' | 'dusk'}} Session
 * @typedef {{at_ms: number, toward?: 'sun clears' | 'best'}} Asked
 * @typedef {(session: Session) => Promise<{card: any, about: string} | null>} CardOf about: sky and age, in words
 * @typedef {{states: Record<string, State>, barred: Record<string, string>}} Lines barred: why a sightline is not offered
 */

import { dateOf, laterDate, minutesOf } from '../times.js';

const NOON_MIN = 720;
const MOST_SESSIONS = 6;

/** Answer the session that a moment belongs to. @param {number} at_ms @param {string} zone @returns {Session} */
export function sessionOf(at_ms, zone) {
  return { date: dateOf(at_ms, zone), session: minutesOf(at_ms, zone) < NOON_MIN ? 'dawn' : 'dusk' };
}

/** Answer the session after one. @param {Session} session @returns {Session} */
export function nextSession({ date, session }) {
  return session === 'dawn' ? { date, session: 'dusk' } : { date: laterDate(date, 1), session: 'dawn' };
}

/** Answer every sightline's state at a moment; one that is not offered, or of which nothing is said, has none. @param {any} card @param {number} at_ms @returns {Lines} */
export function linesAt(card, at_ms) {
  /** @type {Record<string, State>} */
  const states = {};
  for (const line of card.sightlines) {
    const stretch = line.stretches[caseOf(card)].find((/** @type {any} */ one) => Date.parse(one.from.utc) <= at_ms && at_ms < Date.parse(one.to.utc));
    if (stretch !== undefined) states[line.id] = stretch.state;
  }
  return { states, barred: Object.fromEntries(card.barred.map((/** @type {any} */ line) => [line.id, line.barred.join(' ')])) };
}

/** The cases that light is computed for: under sun in and out there are two. */
export const CASES = /** @type {const} */ (['clear', 'sun out', 'sun in', 'overcast']);

/** Answer the case in which a card's light is looked for: under sun in and out, the sun. @param {any} card */
export function caseOf({ asked }) {
  return asked.ranked_by_sky === 'in and out' ? 'sun out' : asked.ranked_by_sky;
}

/** Answer the next such moment after another, and of which sightline; null where the card has none. @param {any} card @param {'sun clears' | 'best'} toward @param {number} after_ms */
export function nextMoment(card, toward, after_ms) {
  const found = card.sightlines.flatMap((/** @type {any} */ line) => {
    const at = toward === 'best' ? line.best?.from : line.clears?.at;
    const at_ms = at ? Date.parse(at.utc) : NaN;
    return at_ms > after_ms ? [{ at_ms, words: toward === 'best' ? `${line.name}: ${line.best_words}` : `${line.name}: ${line.clears_words}` }] : [];
  });
  // The best stretch of a session is that of its first sightline; where the sun clears, the first in time.
  return (toward === 'best' ? found : found.sort((/** @type {any} */ one, /** @type {any} */ other) => one.at_ms - other.at_ms))[0] ?? null;
}

/**
 * Answer for a moment, or the next of a kind after it.
 * @param {CardOf} cardOf
 * @param {string} zone
 * @param {Asked} asked
 * @returns {Promise<Lines & {at_ms: number, words?: string, about: string} | null>}
 */
export async function answerAt(cardOf, zone, { at_ms, toward }) {
  let session = sessionOf(at_ms, zone);
  if (toward === undefined) {
    const said = await cardOf(session);
    return said && { at_ms, ...linesAt(said.card, at_ms), about: said.about };
  }
  for (let turn = 0; turn < MOST_SESSIONS; turn += 1, session = nextSession(session)) {
    const said = await cardOf(session);
    if (said === null) return null;
    const next = nextMoment(said.card, toward, at_ms);
    if (next !== null) return { ...next, ...linesAt(said.card, next.at_ms), about: said.about };
  }
  return null;
}
