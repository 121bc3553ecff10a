/** What the door's screens share: an attempt, its trouble in words, a question before a thing is done. */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { Button } from '../parts/page.js';
import { Sheet } from '../parts/sheet.js';
import { Typed } from '../parts/typed.js';
import { door as words, people } from '../words_door.js';
import './book_styles.js';
import './door_styles.js';

/** @param {{trouble: import('../door.js').DoorTrouble | null, again?: () => void}} props */
export function DoorWords({ trouble, again }) {
  if (trouble === null) return null;
  const text = trouble.code === 'not_allowed' ? `${words.owners_only} ${trouble.message}` : trouble.message;
  return html`<section class="undecided" role="alert"><p>${text}</p>${again ? html`<${Button} act=${{ label: words.again, onAct: again }} />` : null}</section>`;
}

/** Ask one thing at a time: what troubles it, whether it is under way, and how to try. */
export function useAttempt() {
  const [trouble, setTrouble] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const attempt = async (/** @type {() => Promise<void>} */ work) => {
    setBusy(true);
    setTrouble(null);
    await work().catch(setTrouble);
    setBusy(false);
  };
  return { trouble, setTrouble, busy, attempt };
}

/** @param {{title: string, text: string, label?: string, onDo: () => void, onClose: () => void}} props */
export function Sure({ title, text, label = people.sure, onDo, onClose }) {
  return html`<${Sheet} title=${title} onClose=${onClose} acts=${[{ label, onAct: onDo }]}><p>${text}</p></${Sheet}>`;
}

/**
 * One line to type in, with its name.
 * @param {{id: string, label: string, value: string, onText: (text: string) => void, help?: string}} props
 */
export function Line({ id, label, value, onText, help }) {
  return html`<div class="field">
    <label class="field-name" for=${id}>${label}</label>
    <${Typed} id=${id} value=${value} onText=${onText} />
    ${help ? html`<p class="help">${help}</p>` : null}
  </div>`;
}
