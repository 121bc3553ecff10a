/**
 * The light that a test shot measured, or why it measured none. The engine's rule over again, for it is asked
 * while the light still stands there and the engine may not be awake; a test holds the two together.
 * Not for: what light does to a place (the engine).
 *
 * @typedef {object} Shot
 * @property {number} f_number
 * @property {number} shutter_s
 * @property {number} iso
 * @property {number | null | undefined} compensation_ev
 * @property {string | null | undefined} tone of what filled the frame
 * @property {boolean | null | undefined} looks_right
 * @property {boolean} is_flash
 * @property {boolean} [is_fixed] the shutter was set by hand, or at its end
 * @property {number | undefined} [iso_base]
 * @property {number | undefined} [iso_ceiling]
 * @property {number | undefined} [transmission_ev] what the glass keeps back
 * @typedef {'flash' | 'limits' | 'looks' | 'looks_wrong' | 'compensation' | 'tone' | 'tone_wrong'} Why
 */

/** What a meter reads too high for what filled the frame, against mid grey. Common practice, no source. @type {Record<string, number>} */
const TONE_EV = { dark: -1.5, mid: 0, bright: 1.5 };
const TRANSMISSION_LOSS_EV = 1 / 3; // a long zoom's glass; common practice, no source

/** Tell whether the ISO stood at its end, so that the shutter must be asked about. @param {Pick<Shot, 'iso' | 'iso_base' | 'iso_ceiling'>} shot */
export function isAtIsoLimit({ iso, iso_base, iso_ceiling }) {
  return (iso_ceiling !== undefined && iso >= iso_ceiling * 0.999) || (iso_base !== undefined && iso <= iso_base * 1.001);
}

/** @param {Shot} shot @returns {{ev100: number, why: null} | {ev100: null, why: Why}} incident light, EV at ISO 100; ISO 2720:1974 */
export function lightOf(shot) {
  const why = refusal(shot);
  if (why !== null) return { ev100: null, why };
  const set_ev = Math.log2((shot.f_number * shot.f_number) / shot.shutter_s) - Math.log2(shot.iso / 100);
  const light = set_ev + (shot.compensation_ev ?? 0) - (TONE_EV[shot.tone ?? 'mid'] ?? 0) + (shot.transmission_ev ?? TRANSMISSION_LOSS_EV);
  return { ev100: Math.round(light * 10) / 10, why: null };
}

/** @param {Shot} shot @returns {Why | null} */
function refusal(shot) {
  if (shot.is_flash) return 'flash';
  if (isAtIsoLimit(shot) && shot.is_fixed) return 'limits';
  if (shot.looks_right === null || shot.looks_right === undefined) return 'looks';
  if (!shot.looks_right) return 'looks_wrong';
  if (typeof shot.compensation_ev !== 'number') return 'compensation';
  if (!shot.tone) return 'tone';
  return TONE_EV[shot.tone] === undefined ? 'tone_wrong' : null;
}
