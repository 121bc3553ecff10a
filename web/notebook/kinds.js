/**
 * What the phone needs to know of record kinds: which registers name records, which one carries the
 * time, where the last writer wins. Read from the schema that the server hands out.
 * Not for: building forms, or judging values (the server does).
 *
 * @typedef {import('./types.d.ts').FieldShape} FieldShape
 * @typedef {import('./types.d.ts').RuleTexts} RuleTexts
 * @typedef {{many: boolean, needed: boolean, refers_to: readonly string[]}} Link
 */

export class Kinds {
  /** @param {RuleTexts} texts */
  constructor({ schema, upcasts }) {
    this.schema = schema.schema;
    this.upcasts = upcasts;
    /** @type {Map<string, Map<string, FieldShape>>} */
    this.fields = new Map(
      Object.entries(schema.kinds).map(([kind, fields]) => [
        kind,
        new Map(fields.map((field) => [field.name ?? '', field])),
      ]),
    );
    /** @type {Map<string, Map<string, Link>>} */
    this.links = new Map(Array.from(this.fields, ([kind, fields]) => [kind, linksOf(fields)]));
    /** @type {Map<string, string[]>} */
    this.times = new Map(Array.from(this.fields, ([kind, fields]) => [kind, timesOf(fields)]));
  }

  /**
   * @param {string} kind
   * @param {string} register
   */
  lastWriterWins(kind, register) {
    return this.fields.get(kind)?.get(register)?.last_writer_wins === true;
  }

  /**
   * Answer when a record's matter took place [ms since 1970], or undefined where it has no time.
   * @param {string} kind
   * @param {Record<string, any>} values
   * @returns {number | undefined}
   */
  timeOf(kind, values) {
    for (const register of this.times.get(kind) ?? []) {
      const value = values[register];
      const ms = Date.parse(typeof value === 'string' ? value : (value?.at ?? ''));
      if (!Number.isNaN(ms)) return ms;
    }
    return undefined;
  }

  /**
   * Answer the links of a kind that a record of it cannot be without, to one record of a kind.
   * @param {string} parent_kind
   * @returns {{kind: string, register: string}[]}
   */
  dependents(parent_kind) {
    const found = [];
    for (const [kind, links] of this.links) {
      for (const [register, link] of links) {
        if (link.needed && !link.many && link.refers_to.includes(parent_kind)) found.push({ kind, register });
      }
    }
    return found;
  }
}

/** @param {Map<string, FieldShape>} fields */
function linksOf(fields) {
  /** @type {Map<string, Link>} */
  const links = new Map();
  for (const [name, field] of fields) {
    const shape = field.kind === 'list' ? field.item : field;
    if (shape?.kind === 'id' && name !== 'id') {
      links.set(name, {
        many: field.kind === 'list',
        needed: field.needed === true,
        refers_to: shape.refers_to ?? [],
      });
    }
  }
  return links;
}

/** @param {Map<string, FieldShape>} fields */
function timesOf(fields) {
  const carries = (/** @type {FieldShape} */ field) =>
    field.kind === 'time' ||
    (field.kind === 'group' && field.fields?.some((one) => one.name === 'at' && one.kind === 'time'));
  return [...fields].filter(([, field]) => carries(field)).map(([name]) => name);
}
