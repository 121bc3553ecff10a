/**
 * Word of what changed, to whoever listens in this page and to the other pages of this notebook.
 * Not for: the changes themselves.
 *
 * @typedef {import('./types.d.ts').Told} Told
 */

export class Tidings {
  /** @type {Set<(told: Told) => void>} */
  #listeners = new Set();
  /** @type {BroadcastChannel | undefined} */
  #channel;

  /**
   * @param {string} name
   * @param {{onAsked?: () => void, onState?: (state: any) => void, onHeard?: (told: Told) => void}} [heard]
   */
  constructor(name, { onAsked, onState, onHeard } = {}) {
    if (typeof BroadcastChannel !== 'function') return;
    this.#channel = new BroadcastChannel(`${name}/tidings`);
    this.#channel.onmessage = ({ data }) => {
      if (data.ask) onAsked?.();
      else if (data.state) onState?.(data.state);
      else {
        const told = { kinds: new Set(data.kinds), records: new Set(data.records) };
        onHeard?.(told);
        this.#call(told);
      }
    };
  }

  /**
   * Hear of every Save and every pull from now on; the answer stops that.
   * @param {(told: Told) => void} listener
   */
  subscribe(listener) {
    this.#listeners.add(listener);
    return () => {
      this.#listeners.delete(listener);
    };
  }

  /**
   * Tell this page and the others.
   * @param {Iterable<string>} kinds
   * @param {Iterable<string>} records
   */
  tell(kinds, records) {
    const told = { kinds: new Set(kinds), records: new Set(records) };
    this.#channel?.postMessage({ kinds: [...told.kinds], records: [...told.records] });
    this.#call(told);
  }

  /** Ask the page that is syncing to go round once more. */
  ask() {
    this.#channel?.postMessage({ ask: true });
  }

  /** @param {unknown} state */
  tellState(state) {
    this.#channel?.postMessage({ state });
  }

  /** Hear and say no more. */
  close() {
    this.#channel?.close();
    this.#listeners.clear();
  }

  /** @param {Told} told */
  #call(told) {
    for (const listener of this.#listeners) {
      try {
        listener(told);
      } catch (trouble) {
        console.error(trouble); // one listener's fault is not the next one's
      }
    }
  }
}
