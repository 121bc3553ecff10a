/**
 * The outing: the card that was opened last where its session is near, else the table of which morning and which
 * site. Not for: either of them (card.js, choice.js).
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { isNear } from '../engine/plans.js';
import { Page } from '../parts/page.js';
import { outing as words } from '../words_outing.js';
import { Screen as Card } from './card.js';
import { Screen as Choice } from './choice.js';
import './outing_styles.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params, query }) {
  const [near, setNear] = useState(/** @type {import('../engine/plans.js').Opened | null | undefined} */ (undefined));
  useEffect(() => {
    void notebook.setting('outing_opened').then((opened) => setNear(isNear(opened, Date.now()) ? opened : null));
  }, [notebook]);
  if (near === undefined) return html`<${Page} title=${words.title} up=${false} />`;
  if (near === null) return html`<${Choice} notebook=${notebook} params=${params} query=${query} />`;
  return html`<${Card} notebook=${notebook} params=${{ ...near }} query=${{}} />`;
}
