/** What is left to a phone that was taken off: its rescue file, and clearing it where an owner asks for that. */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { Button } from '../parts/page.js';
import { pair as words } from '../words_door.js';
import { Sure } from './door_parts.js';

/** @param {{notebook: import('../session.js').Notebook, says: string, wipe: boolean}} props */
export function Gone({ notebook, says, wipe }) {
  const [sure, setSure] = useState(false);
  return html`<section class="undecided" role="alert">
    <p>${says}</p>
    ${wipe ? html`<p>${words.wipe_lead}</p>` : null}
    <${Button} act=${{ label: words.rescue, to: 'rescue' }} kind="large" />
    ${wipe ? html`<${Button} act=${{ label: words.wipe, onAct: () => setSure(true) }} />` : null}
    ${sure ? html`<${Sure} title=${words.wipe} text=${words.wipe_sure} label=${words.wipe} onDo=${() => void clear(notebook)} onClose=${() => setSure(false)} />` : null}
  </section>`;
}

/** Delete all that the notebook keeps on this phone. @param {import('../session.js').Notebook} notebook */
async function clear(notebook) {
  notebook.close();
  const held = await indexedDB.databases();
  await Promise.all(held.map(({ name }) => name !== undefined && deleted(name)));
  localStorage.clear();
  location.replace(new URL('../', import.meta.url));
}

/** @param {string} name @returns {Promise<void>} */
function deleted(name) {
  return new Promise((resolve) => {
    const request = indexedDB.deleteDatabase(name);
    // Another page may hold it a moment longer; it is gone once that one closes.
    request.onsuccess = request.onerror = request.onblocked = () => resolve();
  });
}
