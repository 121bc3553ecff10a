/**
 * A sheet from below, over the screen: facts of the touched thing and two or three acts.
 * Escape, its Close and a tap beside it close it. Not for: questions that must be answered before going on.
 */

import { html } from '../doors/htm.js';
import { useEffect, useId, useRef } from '../doors/preact.js';
import { app } from '../words.js';
import { Button } from './page.js';

/**
 * @param {{title: string, onClose: () => void, acts?: import('../types.d.ts').Act[], children?: import('../types.d.ts').Children}} props
 */
export function Sheet({ title, onClose, acts = [], children }) {
  const box = useRef(/** @type {HTMLDialogElement | null} */ (null));
  const id = useId();
  useEffect(() => {
    const dialog = box.current;
    const before = document.activeElement;
    dialog?.showModal();
    return () => {
      dialog?.close();
      if (before instanceof HTMLElement && before.isConnected) before.focus();
    };
  }, []);
  const cancelled = (/** @type {Event} */ event) => {
    event.preventDefault();
    onClose();
  };
  const beside = (/** @type {MouseEvent} */ event) => {
    if (event.target === box.current) onClose();
  };
  return html`<dialog class="sheet" ref=${box} aria-labelledby=${id} onCancel=${cancelled} onClick=${beside}>
    <div class="sheet-body">
      <header class="sheet-head"><h2 id=${id}>${title}</h2><button type="button" class="act other" onClick=${onClose}>${app.close}</button></header>
      ${children}
      ${acts.length > 0 ? html`<div class="acts">${acts.map((act, place) => html`<${Button} act=${act} kind=${place === 0 ? 'main' : 'other'} />`)}</div>` : null}
    </div>
  </dialog>`;
}
