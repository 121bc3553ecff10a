/** What is on this phone alone: records and photos, each with its reason and what can be done. */

import { html } from '../doors/htm.js';
import { retryPhoto, waitingPhotos, waitingRecords } from '../notebook/waiting.js';
import { say } from '../parts/snackbar.js';
import { address } from '../route.js';
import { useRecords } from '../session.js';
import { bytes } from '../units.js';
import { kinds, where } from '../words.js';
import { sync as words } from '../words_book.js';
import { titlesOf } from '../titles.js';

const MOST = 50;

/** @param {{notebook: import('../session.js').Notebook}} props */
export function Waiting({ notebook }) {
  const titles = titlesOf(notebook);
  const found = useRecords(notebook, async () => {
    const [{ records, more }, photos] = await Promise.all([waitingRecords(notebook), waitingPhotos(notebook)]);
    const wanted = [...records.slice(0, MOST).map((one) => one.record), ...photos.slice(0, MOST).map((one) => one.record ?? '')];
    const recs = (await Promise.all(wanted.map((id) => notebook.get(id)))).filter((rec) => rec !== undefined);
    await titles.learn(recs);
    return { records, more: more + Math.max(0, records.length - MOST), photos, names: new Map(recs.map((rec) => [rec.id, titles.of(rec).title])) };
  });
  if (found === undefined) return html`<section aria-busy="true"></section>`;
  const retry = async (/** @type {string} */ sha256) => {
    await retryPhoto(notebook, sha256);
    say(words.retried);
    void notebook.sync.now();
  };
  const { records, photos, names, more } = found;
  return html`<section><h2>${words.waiting}</h2>
    ${records.length === 0 && photos.length === 0 ? html`<p>${words.nothing_waiting}</p>` : null}
    ${records.length === 0 && photos.length === 0 ? null : html`<ul class="rows">
      ${records.slice(0, MOST).map(({ record, kind, changes }) => html`<li key=${record}><a class="row" href=${address(`record/${record}`)}><span class="row-title">${names.get(record) ?? kinds[kind]?.one ?? kind}</span><span class="row-note">${kinds[kind]?.one ?? kind} · ${words.changes(changes)}</span><span class="row-state">${where.phone}</span></a></li>`)}
      ${photos.slice(0, MOST).map(({ blob, record = '' }) => html`<li key=${blob.sha256} class="row-with-act">
        <a class="row" href=${address(`photo/${record}`)}><span class="row-title">${names.get(record) ?? kinds.photo?.one}</span><span class="row-note">${blob.trouble ? (words.photo_trouble[blob.trouble.code] ?? words.photo_trouble.not_taken) : words.photo_waiting(bytes(blob.waiting ?? blob.size))}${blob.trouble?.message ? html`<br />${blob.trouble.message}` : null}</span><span class="row-state">${where.phone}</span></a>
        ${blob.trouble && blob.held ? html`<button type="button" class="act" onClick=${() => retry(blob.sha256)}>${words.retry}</button>` : null}
      </li>`)}
    </ul>`}
    ${more > 0 ? html`<p class="soft">${words.more_waiting(more)}</p>` : null}
  </section>`;
}
