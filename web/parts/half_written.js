/**
 * Whether something half-written is open anywhere in the app, in this page or in another one: a new version
 * waits for it. Told by a shared lock, which a page that dies lets go of by itself.
 * Not for: keeping what is written (drafts are the notebook's).
 */

import { useEffect } from '../doors/preact.js';

const NAME = 'half-written';

/** The hook that says so while `dirty`. @param {boolean} dirty */
export function useHalfWritten(dirty) {
  useEffect(() => (dirty ? hold() : undefined), [dirty]);
}

/** Say so until the answer is called. */
export function hold() {
  if (navigator.locks === undefined) {
    here += 1;
    return () => void (here -= 1);
  }
  /** @type {() => void} */
  let let_go = () => {};
  const held = new Promise((resolve) => (let_go = () => resolve(undefined)));
  void navigator.locks.request(NAME, { mode: 'shared' }, () => held);
  return let_go;
}

let here = 0;

/** Tell whether something is half-written in any page. */
export async function isHalfWritten() {
  if (navigator.locks === undefined) return here > 0;
  const { held = [], pending = [] } = await navigator.locks.query();
  return [...held, ...pending].some((lock) => lock.name === NAME);
}
