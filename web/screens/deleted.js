/** What was deleted, to be brought back by one tap. */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { Page } from '../parts/page.js';
import { sayable } from '../parts/snackbar.js';
import { address } from '../route.js';
import { useRecords } from '../session.js';
import { kinds } from '../words.js';
import { deleted as words, record, records } from '../words_book.js';
import { titlesOf } from '../titles.js';
import './book_styles.js';

const PAGE = 50;

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const [wanted, setWanted] = useState(PAGE);
  const titles = titlesOf(notebook);
  const found = useRecords(notebook, async () => {
    const all = await notebook.deleted();
    await titles.learn(all.slice(0, wanted));
    return all;
  }, [wanted]);
  const back = async (/** @type {import('../notebook/types.d.ts').Rec} */ rec) => {
    const saved = await notebook.save([{ kind: rec.kind, record: rec.id, restore: true }], { label: record.brought_back_label });
    sayable(notebook, saved.group, words.brought);
  };
  return html`<${Page} title=${words.title} lead=${words.lead}>
    ${found?.length === 0 ? html`<p>${words.none}</p>` : null}
    <ul class=${found?.length === 0 ? 'hidden' : 'rows'}>${(found ?? []).slice(0, wanted).map((rec) => html`<li key=${rec.id} class="row-with-act">
      <a class="row" href=${address(`record/${rec.id}`)}><span class="row-title">${titles.of(rec).title}</span><span class="row-note">${kinds[rec.kind]?.one ?? rec.kind}</span></a>
      <button type="button" class="act" onClick=${() => back(rec)}>${words.back}</button>
    </li>`)}</ul>
    ${found && found.length > wanted ? html`<button type="button" class="act large" onClick=${() => setWanted(wanted + PAGE)}>${records.more}</button>` : null}
  </${Page}>`;
}
