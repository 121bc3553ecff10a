/**
 * What the land says of a site: relief, first light, places to sit; and what the laptop may be asked for.
 * Everything shown is on this phone. Not for: working any of it out (the laptop does).
 *
 * @typedef {import('../session.js').Notebook} Notebook
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { Chips } from '../parts/chips.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { Photo } from '../parts/photo.js';
import { useRecords } from '../session.js';
import { land as words } from '../words_land.js';
import { Asking } from './land_ask.js';
import { Places } from './land_places.js';
import './land_styles.js';

const ORDER = ['finder result', 'first light', 'relief'];

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, query }) {
  const [picked, setPicked] = useState(/** @type {string | null} */ (null));
  const found = useRecords(notebook, read);
  if (found === undefined) return html`<${Page} title=${words.title} />`;
  const { sites, layers } = found;
  const with_layers = sites.find((one) => layers.some((layer) => layer.values.site === one.id));
  const site = sites.find((one) => one.id === (picked ?? query?.site)) ?? with_layers ?? sites[0];
  const mine = layers.filter((one) => one.values.site === site?.id).sort((one, other) => ORDER.indexOf(one.values.kind) - ORDER.indexOf(other.values.kind));
  return html`<${Page} title=${words.title}>
    ${sites.length > 1 ? html`<${Chips} label=${words.site} needed choices=${sites.map((one) => ({ value: one.id, label: one.values.name }))} value=${site?.id} onPick=${setPicked} />` : null}
    ${mine.length === 0 ? html`<${Empty} text=${words.none} />` : null}
    ${mine.map((layer) => html`<${Layer} key=${layer.id} notebook=${notebook} layer=${layer} />`)}
    ${site === undefined ? null : html`<${Asking} key=${site.id} notebook=${notebook} site=${site.id} />`}
  </${Page}>`;
}

/** @param {Notebook} notebook */
async function read(notebook) {
  const [sites, layers] = await Promise.all([notebook.all('site'), notebook.all('layer')]);
  return { sites, layers };
}

/** @param {{notebook: Notebook, layer: Rec}} props */
function Layer({ notebook, layer }) {
  const { title, kind, blob, made_from: made } = layer.values;
  const [came, setCame] = useState(0);
  useEffect(() => {
    let isGone = false;
    // Opened before it was brought: fetched now, while the laptop is reached.
    const bring = async () => {
      if ((await notebook.blob(blob)) !== undefined) return;
      await notebook.fetchBlob(blob);
      if (!isGone) setCame(1);
    };
    bring().catch(() => {});
    return () => {
      isGone = true;
    };
  }, [notebook, blob]);
  return html`<section>
    <h2>${title ?? kind}</h2>
    <div class="land-picture"><${Photo} key=${came} notebook=${notebook} sha256=${blob} alt=${title ?? kind} missing=${words.not_here} /></div>
    <p class="soft">${words.made_from}: ${made}</p>
    ${layer.values.spots?.length ? html`<${Places} notebook=${notebook} layer=${layer} />` : null}
  </section>`;
}
