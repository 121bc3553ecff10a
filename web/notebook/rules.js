/**
 * The schema and the table of upcasts as the server hands them out; kept, so that the notebook opens with no
 * server there. Not for: what they mean (`kinds`, `upcast`).
 *
 * @typedef {import('./types.d.ts').RuleTexts} RuleTexts
 * @typedef {import('./store.js').Store} Store
 */

const PATIENCE_MS = 2000;

/** There is neither a server to ask for the schema nor one kept from before. */
export class NoRules extends Error {
  constructor() {
    super('This phone has never opened the notebook; load this page once while the server can be reached.');
    this.name = 'NoRules';
  }
}

/**
 * Answer the rules: fetched (the service worker has them at hand), else as kept.
 * @param {Store} store
 * @param {typeof fetch} fetcher
 * @returns {Promise<RuleTexts>}
 */
export async function rulesOf(store, fetcher) {
  const fetched = Promise.all([asked(fetcher, 'schema.json'), asked(fetcher, 'upcasts.json')]);
  const db = await store.db();
  const [kept, [schema, upcasts]] = await Promise.all([db.get('kv', 'rules'), fetched]);
  if (!schema?.kinds || !Array.isArray(upcasts?.table)) {
    if (kept === undefined) throw new NoRules();
    return kept;
  }
  const rules = { schema, upcasts };
  if (JSON.stringify(kept) !== JSON.stringify(rules)) await db.put('kv', rules, 'rules');
  return rules;
}

/**
 * @param {typeof fetch} fetcher
 * @param {string} name
 * @returns {Promise<any>}
 */
async function asked(fetcher, name) {
  try {
    const answer = await fetcher(new URL(`../${name}`, import.meta.url), {
      redirect: 'error',
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    return answer.ok ? await answer.json() : undefined;
  } catch {
    return undefined; // no server, or a portal: what is kept must do
  }
}
