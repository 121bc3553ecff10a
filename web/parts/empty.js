/**
 * What stands where nothing is written yet: what would be here, the first act, and a way to look around.
 */

import { html } from '../doors/htm.js';
import { empty } from '../words.js';
import { Button } from './page.js';

/** @param {{text: string, act?: import('../types.d.ts').Act, sample?: boolean}} props sample: mention the sample site */
export function Empty({ text, act, sample = false }) {
  return html`<section class="empty">
    <svg viewBox="0 0 96 60" aria-hidden="true"><path d="M0 46h96" /><path d="M48 10l12 12-12 12-12-12z" /><path d="M48 34v12" /><path d="M0 52l8 8M14 46l14 14M34 46l14 14M54 46l14 14M74 46l14 14" class="thin" /></svg>
    <p>${text}</p>
    ${act ? html`<${Button} act=${act} kind="large" />` : null}
    ${sample ? html`<p class="soft">${empty.sample}</p>` : null}
  </section>`;
}
