/**
 * What stands where nothing is written yet: what would be here, the first act, and a way to look around. While
 * the first sync has not ended nobody knows that there is nothing, and it says so.
 */

import { html } from '../doors/htm.js';
import { useSession, useStanding } from '../session.js';
import { empty, sync } from '../words.js';
import { Button } from './page.js';

/** @param {{text: string, act?: import('../types.d.ts').Act, sample?: boolean}} props sample: mention the sample site */
export function Empty({ text, act, sample = false }) {
  const coming = useComing(useSession().notebook);
  return html`<section class="empty">
    <svg viewBox="0 0 96 60" aria-hidden="true"><path d="M0 46h96" /><path d="M48 10l12 12-12 12-12-12z" /><path d="M48 34v12" /><path d="M0 52l8 8M14 46l14 14M34 46l14 14M54 46l14 14M74 46l14 14" class="thin" /></svg>
    <p role="status">${coming === null ? text : coming}</p>
    ${act ? html`<${Button} act=${act} kind="large" />` : null}
    ${sample && coming === null ? html`<p class="soft">${empty.sample}</p>` : null}
  </section>`;
}

/** The hook that says that what there is may still be on its way; null once that is known. @param {import('../session.js').Notebook} notebook */
export function useComing(notebook) {
  const state = useStanding(notebook);
  return state === undefined ? '' : sync.coming(state);
}
