/**
 * Lifting a change of an older schema to the present one, by the table of data that the server reads
 * too. A step sees one change alone: it renames, converts or splits a register, or renames a kind; it
 * never merges two. The journal keeps what was written. Not for: judging the result (the server does).
 *
 * @typedef {import('./types.d.ts').UpcastStep} Step
 * @typedef {import('./types.d.ts').Upcasts} Upcasts
 */

const PARTS = ['set', 'base', 'seen'];

/**
 * Answer a change as it would be written today; the one handed in stays as it is. What is malformed,
 * or of this schema or a higher one, is answered as it is.
 * @template {object} C
 * @param {C} change
 * @param {Upcasts} upcasts
 * @returns {C}
 */
export function upcast(change, { table, schema }) {
  const raw = /** @type {Record<string, any>} */ (change);
  const written = raw.schema;
  if (!Number.isInteger(written) || written < 1 || written >= schema) return change;
  if (!PARTS.every((part) => raw[part] === undefined || isObject(raw[part]))) return change;
  const lifted = { ...raw };
  for (const part of PARTS) if (isObject(raw[part])) lifted[part] = new Map(Object.entries(raw[part]));
  for (let version = written; version < schema; version += 1) {
    for (const step of table) {
      if (step.from === version && step.kind === lifted.kind) apply(step, lifted);
    }
  }
  lifted.schema = schema;
  for (const part of PARTS) if (lifted[part] instanceof Map) lifted[part] = Object.fromEntries(lifted[part]);
  return /** @type {C} */ (lifted);
}

/** @param {unknown} value */
function isObject(value) {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/**
 * @param {Step} step
 * @param {Record<string, any>} change
 */
function apply(step, change) {
  if (step.becomes !== undefined) {
    change.kind = step.becomes;
  } else if (step.rename !== undefined && step.to !== undefined) {
    move(change, step.rename, [[step.to, (value) => value]]);
  } else if (step.convert !== undefined) {
    move(change, step.convert, [[step.to ?? step.convert, (value) => converted(step, value)]]);
  } else if (step.split !== undefined && step.into !== undefined) {
    const parts = Object.entries(step.into);
    move(change, step.split, parts.map(([name, member]) => [name, (whole) => partOf(whole, member)]), true);
  }
}

/**
 * Put the new registers where the old one stood, in the set, the base and what a delete had seen.
 * @param {Record<string, any>} change
 * @param {string} old
 * @param {[string, (value: any) => unknown][]} parts
 * @param {boolean} [splits]
 */
function move(change, old, parts, splits = false) {
  /** @type {Map<string, any>} */
  const values = change.set ?? new Map();
  if (parts.some(([name]) => name !== old && values.has(name))) return;
  if (values.has(old)) {
    const value = values.get(old);
    if (splits && value !== null && !isObject(value)) return;
    values.delete(old);
    for (const [name, made] of parts) values.set(name, made(value));
  }
  for (const names of [change.base, change.seen]) {
    if (!(names instanceof Map) || !names.has(old)) continue;
    const ids = names.get(old);
    names.delete(old);
    for (const [name] of parts) names.set(name, Array.isArray(ids) ? [...ids] : ids);
  }
}

/**
 * @param {Step} step
 * @param {any} value
 */
function converted(step, value) {
  if (step.words !== undefined) {
    return typeof value === 'string' && Object.hasOwn(step.words, value) ? step.words[value] : value;
  }
  return typeof value === 'number' ? value * (step.times ?? 1) + (step.plus ?? 0) : value;
}

/**
 * @param {Record<string, unknown> | null} whole
 * @param {string} member
 */
function partOf(whole, member) {
  return whole !== null && Object.hasOwn(whole, member) ? whole[member] : null;
}
