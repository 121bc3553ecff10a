/**
 * The screen kept awake while a person wants it so. The browser lets go whenever the page is hidden; it is
 * asked again when the page is back. Not for: turning it on unasked.
 */

export class Wake {
  /** @type {WakeLockSentinel | null} */
  #lock = null;
  #wanted = false;

  /** @param {(awake: boolean) => void} [onChange] @param {WakeLock} [wakeLock] */
  constructor(onChange = () => {}, wakeLock = globalThis.navigator?.wakeLock) {
    this.onChange = onChange;
    this.wakeLock = wakeLock;
    this.back = () => void (this.#wanted && document.visibilityState === 'visible' && this.#take());
  }

  get isPossible() {
    return this.wakeLock !== undefined;
  }

  /** Keep the screen awake; answers whether it is. Call it in the handler of a tap. */
  async keep() {
    this.#wanted = true;
    globalThis.document?.addEventListener('visibilitychange', this.back);
    return this.#take();
  }

  async letGo() {
    this.#wanted = false;
    globalThis.document?.removeEventListener('visibilitychange', this.back);
    await this.#lock?.release();
  }

  async #take() {
    if (this.wakeLock === undefined) return false;
    if (this.#lock !== null) return true;
    try {
      const lock = await this.wakeLock.request('screen');
      if (!this.#wanted) {
        await lock.release();
        return false;
      }
      this.#lock = lock;
      lock.addEventListener('release', () => {
        this.#lock = null;
        this.onChange(false);
      });
      this.onChange(true);
      return true;
    } catch {
      return false; // a low battery, or a page that is being hidden
    }
  }
}
