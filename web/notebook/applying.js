/**
 * The worker that takes in what the server sent, so that the page stays at hand meanwhile. It has its own
 * connection to the same database. Not for: the work itself (`intake`, `remaking`).
 */

import { Kinds } from './kinds.js';
import { work } from './intake_calls.js';
import { Store } from './store.js';

const scope = /** @type {{postMessage(message: unknown): void, onmessage: ((event: MessageEvent) => void) | null}} */ (
  /** @type {unknown} */ (self)
);

/** @type {{store: Store, kinds: Kinds} | undefined} */
let opened;

scope.onmessage = async ({ data }) => {
  const { number, name, args } = data;
  try {
    if (name === 'open') {
      opened = { store: new Store(args.name), kinds: new Kinds(args.texts) };
      scope.postMessage({ number, answer: null });
      return;
    }
    if (opened === undefined) throw new Error('the worker has not been opened');
    const db = await opened.store.db();
    const tell = (/** @type {string[]} */ kinds, /** @type {string[]} */ records) =>
      scope.postMessage({ told: { kinds, records } });
    scope.postMessage({ number, answer: (await work(name, db, opened.kinds, args, tell)) ?? null });
  } catch (trouble) {
    const { name: kind, message } = /** @type {Error} */ (trouble);
    scope.postMessage({ number, trouble: { name: kind, message } });
  }
};

scope.postMessage({ ready: true });
