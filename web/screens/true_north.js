/**
 * A held heading made true on this spot: by the shadow that set the compass here a moment ago, else by the
 * declination. Not for: how a compass is read (sensing/heading.js) or a shadow reckoned (sensing/shadow.js).
 *
 * @typedef {import('../session.js').Notebook} Notebook
 * @typedef {import('../sensing/heading.js').Heading} Heading
 * @typedef {import('./pin_edits.js').Bearing} Bearing
 * @typedef {{lat: number, lon: number}} Place
 * @typedef {import('../sensing/shadow.js').Correction & Place} SetHere
 */

import { engine } from '../engine/engine.js';
import { declinationIn, madeTrue } from '../map/compass.js';
import { lineBetween } from '../map/geometry.js';
import { plusMinus } from '../rough.js';
import { bearingOf } from '../sensing/heading.js';
import { corrected_deg, stillCounts } from '../sensing/shadow.js';

const SETTING = 'compass_set';
/** Iron that is about here is another iron over there. Common practice, no source. */
const SPOT_M = 50;

const ask = async (/** @type {string} */ name, /** @type {object} */ request) => (await engine().ask(name, request)).answer;

/** Answer what a shadow has set the compass by, null where it no longer counts here. @param {Notebook} notebook @param {Place | null} here */
export async function setHere(notebook, here) {
  const found = /** @type {SetHere | undefined} */ (await notebook.setting(SETTING));
  if (found === undefined || !stillCounts(found, Date.now())) return null;
  return here !== null && lineBetween(here, found).distance_m > SPOT_M ? null : found;
}

/**
 * Set the compass on this spot by the shadow along which the phone lies. Raises Refusal where the sun throws
 * none that counts, NoAnswer where the sun's place cannot be computed.
 * @param {Notebook} notebook
 * @param {Heading} heading from the stick to the tip of its shadow
 * @param {Place} here
 * @returns {Promise<SetHere>}
 */
export async function setByShadow(notebook, { read_deg }, { lat, lon }) {
  const at_ms = Date.now();
  const bearing = { read_deg, reference: 'magnetic', how: 'phone compass' };
  const answer = await ask('compass', { position: { lat, lon }, at: new Date(at_ms).toISOString(), bearing, along_shadow: true });
  const found = { correction_deg: answer.correction_deg, plus_minus_deg: answer.plus_minus_deg, at_ms, lat, lon };
  await notebook.keepSetting(SETTING, found);
  return found;
}

/** @param {Notebook} notebook */
export const unset = (notebook) => notebook.keepSetting(SETTING, undefined);

/** Make the register of a held heading. @param {Heading} heading @param {SetHere | null} set @returns {Bearing} */
export function bearingHeld(heading, set) {
  // It may have lapsed while the screen stood open.
  if (set === null || !stillCounts(set, Date.now())) return /** @type {Bearing} */ (bearingOf(heading));
  const plus_minus_deg = Math.hypot(set.plus_minus_deg, plusMinus('sun shadow', 'bearing') ?? 0);
  return /** @type {Bearing} */ (bearingOf({ ...heading, plus_minus_deg }, { true_deg: corrected_deg(heading.read_deg, set), how: 'sun shadow' }));
}

/** Whether a bearing still waits to be made true. @param {any} bearing */
export function isMagneticOnly(bearing) {
  return bearing?.reference === 'magnetic' && bearing.true_deg === undefined && bearing.read_deg >= 0 && bearing.read_deg <= 360;
}

/**
 * Make a bearing true: by what this phone remembers, or by asking the engine, which may take its time.
 * @param {Notebook} notebook
 * @param {Bearing} bearing
 * @param {Place} here
 * @param {{wait: boolean}} how wait: for an engine that is still starting
 * @returns {Promise<Bearing>} as it was, where nobody knows
 */
export async function bearingTrue(notebook, bearing, here, { wait }) {
  if (!isMagneticOnly(bearing)) return bearing;
  const memory = declinationIn(notebook);
  const told = (/** @type {import('../map/compass.js').MadeTrue | null} */ found) =>
    found && { ...bearing, true_deg: Math.round(found.true_deg * 10) / 10 % 360 };
  const kept = engine().is_ready && wait ? null : told(await madeTrue(bearing.read_deg, here, Date.now(), { memory }));
  if (kept || !wait) return kept ?? bearing;
  return told(await madeTrue(bearing.read_deg, here, Date.now(), { engine: ask, memory })) ?? bearing;
}
