/**
 * What is half-written on a screen of its own: kept with every change, taken up after a reload, done away with
 * by the Save. Not for: forms of one record (parts/form.js keeps its own).
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { NotSaved } from '../notebook/writing.js';
import { useHalfWritten } from '../parts/half_written.js';
import { say } from '../parts/snackbar.js';
import { moment } from '../times.js';
import { form as words, saved } from '../words.js';

/**
 * The hook. `values` is undefined until what was kept has been looked up; `put` changes some of them, and with
 * `quietly` nothing is kept of it until the person says something too.
 * @template {Record<string, any>} T
 * @param {import('../session.js').Notebook} notebook
 * @param {string} name
 * @param {T} start
 */
export function useDraft(notebook, name, start) {
  const [values, setValues] = useState(/** @type {T | undefined} */ (undefined));
  const [kept_at, setKept] = useState(/** @type {number | null} */ (null));
  const now = useRef({ values: start, is_said: false });
  const [is_said, setSaid] = useState(false);
  useHalfWritten(is_said);
  useEffect(() => {
    let is_gone = false;
    notebook.draft(name).then(
      (/** @type {{values: T, at: number} | undefined} */ found) => {
        if (is_gone) return;
        now.current = { values: { ...start, ...found?.values }, is_said: found !== undefined };
        setKept(found?.at ?? null);
        setSaid(found !== undefined);
        setValues(now.current.values);
      },
      () => !is_gone && setValues(start),
    );
    return () => void (is_gone = true);
  }, [name]);
  /** @param {Partial<T>} more @param {{quietly?: boolean}} [how] */
  const put = (more, { quietly = false } = {}) => {
    const next = { ...now.current.values, ...more };
    now.current = { values: next, is_said: now.current.is_said || !quietly };
    setValues(next);
    setSaid(now.current.is_said);
    if (now.current.is_said) notebook.keepDraft(name, { values: next, at: Date.now() }).catch(() => say(saved.not_saved));
  };
  /** Begin anew; the kept one is dropped, unless the Save has done so. @param {Partial<T>} [more] what to begin with */
  const drop = async (more = {}) => {
    now.current = { values: { ...start, ...more }, is_said: false };
    setSaid(false);
    setKept(null);
    setValues(now.current.values);
    await notebook.dropDraft(name);
  };
  return { values, put, drop, kept_at, is_said, latest: () => now.current.values };
}

/**
 * The hook of one Save at a time: a second tap while it runs does nothing, and what fails is said and loses
 * nothing.
 */
export function useSending() {
  const [busy, setBusy] = useState(false);
  const is_sending = useRef(false); // known at once, where a state is known at the next drawing
  /** @param {() => Promise<unknown>} work */
  const send = async (work) => {
    if (is_sending.current) return;
    is_sending.current = true;
    setBusy(true);
    try {
      await work();
    } catch (fault) {
      if (!(fault instanceof NotSaved)) console.error(fault);
      say(saved.not_saved);
    } finally {
      is_sending.current = false;
      setBusy(false);
    }
  };
  return { busy, send };
}

/** The line that says so. @param {{kept_at: number | null, onDrop: () => void}} props */
export function Kept({ kept_at, onDrop }) {
  if (kept_at === null) return null;
  return html`<p class="kept" role="status"><span>${words.kept(moment(kept_at))}</span><button type="button" class="act other" onClick=${onDrop}>${words.drop}</button></p>`;
}
