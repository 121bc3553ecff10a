/** A photo as large as the phone; what is known of it; its bytes fetched, or let go of when a backup has them. */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { bytesHere } from '../notebook/waiting.js';
import { Empty } from '../parts/empty.js';
import { Button, Page } from '../parts/page.js';
import { Photo } from '../parts/photo.js';
import { say } from '../parts/snackbar.js';
import { useRecords } from '../session.js';
import { bytes } from '../units.js';
import { app, record as shared } from '../words.js';
import { photo as words, record } from '../words_book.js';
import { Belongings } from './belongings.js';
import { Ending, RecordFacts, Undecided, historyOf, useRecord } from './facts.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params }) {
  const { id = '' } = params;
  const found = useRecord(notebook, id);
  if (found === undefined) return html`<${Page} title=${words.title} />`;
  if (found === null) return html`<${Page} title=${app.nothing_here}><${Empty} text=${shared.gone} act=${{ label: app.to_book, to: 'book' }} /></${Page}>`;
  const { rec, title, zone } = found;
  const { blob } = rec.values;
  return html`<${Page} title=${title} kicker=${words.title} up="book/photo" act=${{ label: record.edit, to: `edit/photo/${id}` }} more=${[historyOf(rec)]}>
    <${Undecided} rec=${rec} />
    ${typeof blob === 'string' ? html`<${Picture} notebook=${notebook} sha256=${blob} alt=${`${words.alt}: ${title}`} />` : null}
    <section><${RecordFacts} rec=${rec} zone=${zone} hidden=${['blob']} /></section>
    <${Belongings} rec=${rec} />
    <${Ending} notebook=${notebook} rec=${rec} />
  </${Page}>`;
}

/** @param {{notebook: import('../session.js').Notebook, sha256: string, alt: string}} props */
function Picture({ notebook, sha256, alt }) {
  const [turn, setTurn] = useState(0);
  const [told, setTold] = useState('');
  const here = useRecords(notebook, async () => (await bytesHere(notebook, sha256)) ?? null, [sha256, turn]);
  if (here === undefined) return html`<div class="photo none"></div>`;
  const fetchIt = async () => {
    setTold(words.fetching);
    try {
      await notebook.fetchBlob(sha256);
      setTold('');
      setTurn(turn + 1);
    } catch {
      setTold(words.not_fetched);
    }
  };
  const free = async () => {
    const gone = await notebook.freeBlob(sha256);
    say(gone ? words.freed : words.free_why_not);
    setTurn(turn + 1);
  };
  return html`<section class="picture">
    <${Photo} key=${`${sha256}/${turn}`} notebook=${notebook} sha256=${sha256} alt=${alt} missing=${words.on_server} />
    ${here?.held ? null : html`<${Button} act=${{ label: words.fetch, onAct: fetchIt, disabled: told === words.fetching }} kind="large" />`}
    ${here?.held && here.state === 'backed up' ? html`<${Button} act=${{ label: `${words.free} (${bytes(here.size)})`, onAct: free }} kind="large" />` : null}
    ${here?.held && here.state !== 'backed up' ? html`<p class="soft">${words.free_why_not}</p>` : null}
    <p role="status">${told}</p>
  </section>`;
}
