/** Work done one after the other; what a person waits for goes before what is done ahead. Not for: what the work is. */
export class Turns {
  /** @type {{work: () => Promise<void>, behind: boolean}[]} */
  #line = [];
  #is_busy = false;

  /**
   * Answer what a piece of work answers, once its turn has come.
   * @template T
   * @param {() => Promise<T>} work
   * @param {boolean} behind nobody waits for it
   * @returns {Promise<T>}
   */
  take(work, behind) {
    return new Promise((resolve, reject) => {
      this.#line.push({ work: () => work().then(resolve, reject), behind });
      void this.#next();
    });
  }

  async #next() {
    if (this.#is_busy) return;
    this.#is_busy = true;
    while (this.#line.length > 0) {
      const first = this.#line.findIndex((one) => !one.behind);
      const [one] = this.#line.splice(Math.max(0, first), 1);
      await one?.work();
    }
    this.#is_busy = false;
  }
}
