/**
 * What a record is called where it is listed or linked. Not for: whole descriptions (each kind's screen).
 *
 * @typedef {import('./notebook/types.d.ts').Rec} Rec
 */

import { day, moment } from './times.js';
import { kinds } from './words.js';

const LONGEST = 60;

/** @param {Rec} rec @returns {string} */
export function nameOf({ kind, values, when }) {
  const { name, code_name, text, caption, file_name, word, from_whom } = values;
  const said = name ?? code_name ?? caption ?? text ?? file_name ?? word ?? from_whom;
  if (typeof said === 'string' && said.trim() !== '') return short(said);
  const one = kinds[kind]?.one ?? kind;
  const at = values.start?.at ?? values.time_in?.at ?? values.at?.at;
  if (at !== undefined && !Number.isNaN(Date.parse(at))) return `${one}, ${moment(Date.parse(at), values.start?.zone ?? values.at?.zone)}`;
  return Number.isFinite(when) && when > 0 ? `${one}, ${day(when)}` : one;
}

/** Records as chips offer them. @param {readonly Rec[]} recs */
export function choicesOf(recs) {
  return recs.map((one) => ({ value: one.id, label: nameOf(one) }));
}

/** @param {string} text */
function short(text) {
  const line = text.trim().split('\n')[0] ?? '';
  return line.length > LONGEST ? `${line.slice(0, LONGEST - 1)}…` : line;
}
