/** Room on this phone: what is used, whether the phone has promised to keep it, photos that may leave. */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { letGo, mayLeave } from '../notebook/waiting.js';
import { Facts } from '../parts/figure.js';
import { Button } from '../parts/page.js';
import { say } from '../parts/snackbar.js';
import { useRecords } from '../session.js';
import { bytes } from '../units.js';
import { sync as words } from '../words_book.js';

/** @param {{notebook: import('../session.js').Notebook, state: import('../notebook/types.d.ts').NotebookState}} props */
export function Room({ notebook, state }) {
  const [promised, setPromised] = useState(state.persisted);
  const [turn, setTurn] = useState(0);
  const leave = useRecords(notebook, () => mayLeave(notebook), [turn]);
  const kept = promised ?? state.persisted;
  const ask = async () => setPromised(await navigator.storage.persist());
  const free = async () => {
    say(words.freed(await letGo(notebook, leave?.hashes ?? [])));
    setTurn(turn + 1);
  };
  return html`<section><h2>${words.storage}</h2>
    <${Facts} facts=${[
      [words.used, state.quota ? words.quota(state.quota) : ''],
      [words.protected, kept === null ? words.protected_unknown : kept ? words.protected_yes : words.protected_no],
    ]} />
    <div class="acts">
      ${kept === false ? html`<${Button} act=${{ label: words.ask, onAct: ask }} />` : null}
      ${leave && leave.hashes.length > 0 ? html`<${Button} act=${{ label: words.free(bytes(leave.bytes), leave.hashes.length), onAct: free }} />` : null}
    </div>
  </section>`;
}
