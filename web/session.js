/**
 * What every screen shares: the open notebook and its schema; records that are read again when they change.
 * Not for: the notebook itself (notebook/notebook.js), or what the phone is set to (phone.js).
 *
 * @typedef {import('./notebook/notebook.js').Notebook} Notebook
 * @typedef {import('./notebook/types.d.ts').NotebookState} NotebookState
 * @typedef {import('./types.d.ts').Field} Field
 * @typedef {import('./types.d.ts').Schema} Schema
 * @typedef {{notebook: Notebook, schema: Schema}} Session
 */

import { createContext, useContext, useEffect, useState } from './doors/preact.js';

export const SessionContext = createContext(/** @type {Session | null} */ (null));

/** The hook of the open session. @returns {Session} */
export function useSession() {
  const session = useContext(SessionContext);
  if (session === null) throw new Error('the notebook is not open here');
  return session;
}

/**
 * Keep one thing for each notebook (or whatever stands for it), made when it is first asked for.
 * @template {object} K
 * @template T
 * @param {(notebook: K) => T} make
 * @returns {(notebook: K) => T}
 */
export function onePer(make) {
  const known = /** @type {WeakMap<K, T>} */ (new WeakMap());
  return (notebook) => {
    const one = known.get(notebook) ?? make(notebook);
    known.set(notebook, one);
    return one;
  };
}

/** Answer the fields of a kind in the schema. @param {Schema} schema @param {string} kind @returns {Field[]} */
export function fieldsOf(schema, kind) {
  return schema.kinds[kind] ?? [];
}

/**
 * The hook that reads records and reads them again after every Save or pull.
 * Undefined until read the first time; what goes wrong is thrown to the page.
 * @template T
 * @param {Notebook} notebook
 * @param {(notebook: Notebook) => Promise<T>} read
 * @param {unknown[]} deps what `read` closes over
 * @returns {T | undefined}
 */
export function useRecords(notebook, read, deps = []) {
  const [value, setValue] = useState(/** @type {T | undefined} */ (undefined));
  useEffect(() => {
    let stopped = false;
    let asked = 0;
    const look = async () => {
      const mine = ++asked;
      try {
        const found = await read(notebook);
        // An answer that a later one has overtaken is not shown.
        if (!stopped && mine === asked) setValue(() => found);
      } catch (trouble) {
        if (!stopped) {
          setValue(() => {
            throw trouble;
          });
        }
      }
    };
    void look();
    const stop = notebook.subscribe(() => void look());
    return () => {
      stopped = true;
      stop();
    };
  }, [notebook, ...deps]);
  return value;
}

/** The hook of where everything stands. @param {Notebook} notebook @param {Promise<void>} [after] what it is read behind @returns {NotebookState | undefined} */
export function useStanding(notebook, after) {
  const state = useRecords(notebook, async () => {
    await after;
    return notebook.state();
  });
  const [, again] = useState(0);
  useEffect(() => notebook.sync.subscribe(() => again((turn) => turn + 1)), [notebook]);
  return state && { ...state, sync: notebook.sync.state };
}
