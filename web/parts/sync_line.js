/**
 * The one honest line on where everything stands; a tap opens the reasons.
 * Not for: the state of a single record (list.js shows that).
 */

import { html } from '../doors/htm.js';
import { address } from '../route.js';
import { useStanding } from '../session.js';
import { sync } from '../words.js';

/** @param {{notebook: import('../session.js').Notebook, after: Promise<void>}} props after: what it is read behind */
export function SyncLine({ notebook, after }) {
  const state = useStanding(notebook, after);
  // A link without words is none to whoever hears the page.
  if (state === undefined) return html`<p class="sync-line"> </p>`;
  return html`<a class="sync-line" href=${address('sync')}>${sync.line(state)}</a>`;
}
