/**
 * What has just happened, in words, with Undo where there is one; and the page's live region.
 * It stays for 12 s, and while it is touched or holds the focus. Its Undo belongs to the screen on which one is
 * after the Save: who goes on to another leaves it behind, for there it would be taken for that screen's own. The
 * record's history undoes as well. Not for: errors of a form (they stand at their fields).
 *
 * @typedef {{text: string, undo?: () => Promise<unknown>, key: number}} Message
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { isGestured } from '../route.js';
import { saved as words } from '../words.js';

export const SHOWN_MS = 12_000;

/** @type {Message | null} */
let shown = null;
let key = 0;
/** What nobody asked about waits, so that it never takes the place of an Undo. */
let waits = '';
/** Whether a person has touched anything since: then it is they who move on, and not the app after its Save. */
let is_touched = false;
/** @type {Set<(message: Message | null) => void>} */
const listeners = new Set();

/** Say something; `undo` puts an Undo beside it. @param {string} text @param {() => Promise<unknown>} [undo] */
export function say(text, undo) {
  is_touched = false;
  shown = { text, ...(undo && { undo }), key: ++key };
  for (const listener of listeners) listener(shown);
}

/** Say something that nobody asked about, once nothing else is said. @param {string} text */
export function mention(text) {
  if (shown === null) say(text);
  else waits = text;
}

/**
 * Say that something was saved, once it was.
 * @param {import('../session.js').Notebook} notebook
 * @param {string} group of the Save
 * @param {string} [text]
 */
export function sayable(notebook, group, text = words.on_phone) {
  say(text, async () => {
    const { left } = await notebook.undo(group);
    say(left.length === 0 ? words.undone : words.undone_in_part);
  });
}

function dismiss() {
  shown = null;
  for (const listener of listeners) listener(null);
  if (waits !== '') {
    const text = waits;
    waits = '';
    say(text);
  }
}

/** @param {Event} event */
function movedOn(event) {
  const is_person = is_touched || (event.type === 'popstate' && isGestured());
  if (is_person && shown?.undo !== undefined) dismiss();
}

for (const name of ['pointerdown', 'keydown']) addEventListener(name, () => (is_touched = true), true);
for (const name of ['hashchange', 'popstate']) addEventListener(name, movedOn);

/** The place where it is shown: once in the app. */
export function Snackbar() {
  const [message, setMessage] = useState(shown);
  const [held, setHeld] = useState(false);
  useEffect(() => {
    const hear = (/** @type {Message | null} */ next) => {
      setMessage(next);
      setHeld(false); // what held the last one is gone with it
    };
    listeners.add(hear);
    return () => void listeners.delete(hear);
  }, []);
  useEffect(() => {
    if (message === null || held) return undefined;
    const timer = setTimeout(dismiss, SHOWN_MS);
    return () => clearTimeout(timer);
  }, [message, held]);
  const undo = () => {
    const work = message?.undo;
    dismiss();
    work?.().catch(() => say(words.not_undone));
  };
  const holds = {
    onFocusIn: () => setHeld(true),
    onFocusOut: () => setHeld(false),
    onPointerEnter: () => setHeld(true),
    onPointerLeave: () => setHeld(false),
  };
  return html`<div class="snackbar" role="status" aria-live="polite">
    ${message === null
      ? null
      : html`<div class="snack" key=${message.key} ...${holds}>
          <span>${message.text}</span>
          ${message.undo ? html`<button type="button" onClick=${undo}>${words.undo}</button>` : null}
          <button type="button" class="quiet" onClick=${dismiss}>${words.dismiss}</button>
        </div>`}
  </div>`;
}
