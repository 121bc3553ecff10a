/**
 * The frame of a screen: title, content, and one main act in reach of the thumb.
 * Not for: the bar of places (bar.js), or what lies over a screen (sheet.js).
 *
 * @typedef {import('../types.d.ts').Act} Act
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef } from '../doors/preact.js';
import { address, back } from '../route.js';
import { app } from '../words.js';

/**
 * @param {{title: string, kicker?: string, lead?: string, act?: Act, more?: Act[], up?: string | boolean, wide?: boolean, children?: import('../types.d.ts').Children}} props
 *   kicker: a few words over the title; act: the main one; more: others beside it; up: where Back leads when
 *   the screen was opened by itself (false: no Back); wide: no margin
 */
export function Page({ title, kicker, lead, act, more = [], up = 'book', wide = false, children }) {
  const heading = useHeading(title);
  return html`
    <main id="page" class=${wide ? 'page wide' : 'page'}>
      <header class="page-head">
        ${up === false ? null : html`<button type="button" class="back" onClick=${() => back(up === true ? 'book' : up)}>${app.back}</button>`}
        ${kicker ? html`<p class="kicker">${kicker}</p>` : null}
        <h1 tabindex="-1" ref=${heading}>${title}</h1>
        ${lead ? html`<p class="lead">${lead}</p>` : null}
      </header>
      ${children}
    </main>
    ${act || more.length > 0 ? html`<div class="dock">${more.map((one) => html`<${Button} act=${one} kind="other" />`)}${act ? html`<${Button} act=${act} kind="main" />` : null}</div>` : null}
  `;
}

/**
 * The hook of a screen's heading: it names the window, and takes the focus when the screen is come to.
 * @param {string} title
 */
export function useHeading(title) {
  const heading = useRef(/** @type {HTMLHeadingElement | null} */ (null));
  useEffect(() => {
    document.title = `${title} · ${app.name}`;
  }, [title]);
  useEffect(() => {
    // A screen reader starts at the new screen's name; the first screen of all is not jumped to.
    if (document.body.dataset.moved === 'yes') heading.current?.focus({ preventScroll: true });
    document.body.dataset.moved = 'yes';
    document.querySelector('main')?.scrollTo(0, 0);
  }, []);
  return heading;
}

/**
 * One act as a button, or as a link where it leads somewhere.
 * @param {{act: Act, kind?: 'main' | 'large' | 'other'}} props main: the one of a screen; large: ≥ 64 px
 */
export function Button({ act, kind = 'other' }) {
  const look = `act ${kind}`;
  if (act.to !== undefined) return html`<a class=${look} href=${address(act.to)}>${act.label}</a>`;
  if (act.form !== undefined) {
    return html`<button type="submit" form=${act.form} class=${look} disabled=${act.disabled ?? false}>${act.label}</button>`;
  }
  return html`<button type="button" class=${look} disabled=${act.disabled ?? false} onClick=${act.onAct}>${act.label}</button>`;
}
