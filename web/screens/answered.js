/**
 * An answer of the engine on a screen: what is kept is shown at once, what is asked comes when it comes, and the
 * line that says how old it is. Not for: asking without a screen (engine/engine.js).
 *
 * @typedef {import('../engine/engine.js').Answered} Answered
 * @typedef {import('../engine/engine.js').How} How
 * @typedef {{name: string, request: object, how: How & {subject: string}}} Question
 * @typedef {{said: Answered | null, busy: boolean, trouble: string[]}} Standing trouble: sentences
 */

import { html } from '../doors/htm.js';
import { useEffect, useMemo, useState } from '../doors/preact.js';
import { asSet } from '../engine/as_set.js';
import { NoAnswer, Refusal, engine } from '../engine/engine.js';
import { age as words, outing } from '../words_outing.js';

const AGE_MS = 30_000;

/**
 * The hook of an answer. `make` is asked again whenever `deps` change; null: nothing can be asked.
 * @param {() => Promise<Question | null>} make
 * @param {unknown[]} deps
 * @param {{besides?: () => Promise<string[]>}} [more] besides: subjects whose kept answer is better than none
 * @returns {Standing & {again: () => void}}
 */
export function useAnswer(make, deps, { besides } = {}) {
  const [state, setState] = useState(/** @type {Standing} */ ({ said: null, busy: true, trouble: [] }));
  const [turn, setTurn] = useState(0);
  useEffect(() => {
    let is_stopped = false;
    const tell = (/** @type {Partial<Standing>} */ more) => {
      if (!is_stopped) setState((before) => ({ ...before, ...more }));
    };
    const run = async () => {
      tell({ busy: true, trouble: [] });
      const asked = await make();
      if (asked === null) return tell({ busy: false, said: null });
      const { name, request, how } = asked;
      const kept = await engine().stored(how.subject);
      if (kept !== null) tell({ said: kept });
      try {
        tell({ said: await engine().ask(name, request, { ...how, fresh: how.fresh || turn > 0 }), busy: false });
      } catch (trouble) {
        if (trouble instanceof Refusal) return tell({ busy: false, said: null, trouble: trouble.sentences });
        if (!(trouble instanceof NoAnswer)) throw trouble;
        const other = await anyOf((await besides?.()) ?? []);
        tell({ busy: false, said: other, trouble: other === null ? [outing.no_answer] : [] });
      }
      return undefined;
    };
    run().catch((fault) => tell({ busy: false, trouble: [String(fault?.message ?? fault)] }));
    return () => {
      is_stopped = true;
    };
  }, [...deps, turn]);
  const said = useMemo(() => state.said && { ...state.said, answer: asSet(state.said.answer) }, [state.said]);
  return { ...state, said, again: () => setTurn(turn + 1) };
}

/** Answer the first that is kept. @param {string[]} subjects */
export async function anyOf(subjects) {
  for (const subject of subjects) {
    const kept = await engine().stored(subject);
    if (kept !== null) return kept;
  }
  return null;
}

/** Say how old an answer is and where it comes from. @param {Answered} said @param {readonly string[]} [without] what was typed that it does not count */
export function ageOf(said, without = []) {
  const more = without.length > 0 ? [words.without(without)] : said.from === 'stored' && !said.is_current ? [words.old] : [];
  return [`${words.from[said.from]} ${words.of(Date.now() - said.at)}`, ...more];
}

/** That, always on the screen. @param {{said: Answered | null, busy: boolean, without?: readonly string[]}} props */
export function Age({ said, busy, without }) {
  const [, again] = useState(0);
  useEffect(() => {
    const timer = setInterval(() => again((turn) => turn + 1), AGE_MS);
    return () => clearInterval(timer);
  }, []);
  const parts = said === null ? [] : ageOf(busy ? { ...said, is_current: true } : said, without);
  return html`<p class="age" role="status">${(busy ? [...parts, words.working] : parts).join(' · ')}</p>`;
}

/** What stands where an answer was refused or cannot be had. @param {{trouble: string[], again: () => void}} props */
export function Trouble({ trouble, again }) {
  if (trouble.length === 0) return null;
  return html`<section class="trouble" role="alert">${trouble.map((sentence) => html`<p>${sentence}</p>`)}
    <button type="button" class="act large" onClick=${again}>${outing.again}</button>
  </section>`;
}

/** The hook of where the engine stands. */
export function useEngine() {
  const [state, setState] = useState(engine().state);
  useEffect(() => engine().subscribe(setState), []);
  return state;
}
