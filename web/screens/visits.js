/** Every visit, the newest first; one that was not ended says so. Not for: a running visit. */

import { html } from '../doors/htm.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { useRecords } from '../session.js';
import { kinds } from '../words.js';
import { none, records as words, shelves, site as site_words } from '../words_book.js';
import { Rows } from '../parts/rows.js';
import './book_styles.js';

const LOOKED_AT = 50;

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const open = useRecords(notebook, async () => (await notebook.all('visit', { limit: LOOKED_AT })).filter((rec) => rec.values.end === undefined).length);
  const one = kinds.visit?.one ?? '';
  return html`<${Page} title=${shelves.visits} lead=${open ? `${open} ${words.open}` : ''} act=${{ label: site_words.visit, to: 'new/visit' }}>
    <${Rows} kinds=${['visit']} name="visits" label=${one} search empty=${html`<${Empty} text=${none.visit ?? ''} />`} />
  </${Page}>`;
}
