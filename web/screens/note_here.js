/**
 * A note where one stands or at a pin, with its time; the position comes after, when the phone has one.
 * Not for: notes as they are read (book/note).
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef } from '../doors/preact.js';
import { siteAt } from '../map/placing.js';
import { Form } from '../parts/form.js';
import { Page } from '../parts/page.js';
import { back } from '../route.js';
import { fillInLater } from '../sensing/late_fix.js';
import { takeFix } from '../sensing/fix.js';
import { useRecords } from '../session.js';
import { ownZone } from '../times.js';
import { form } from '../words.js';
import { note as words } from '../words_visit.js';
import { momentOf } from './visiting_edits.js';
import { ownVisit } from './visiting_state.js';
import './visit_styles.js';

const DRAFT = 'note-here';

/** @param {import('../types.d.ts').ScreenProps} props `query.pin`, `query.site`: what it is about */
export function Screen({ notebook, query }) {
  const fix = useRef(/** @type {ReturnType<typeof takeFix> | null} */ (null));
  useEffect(() => {
    if (query.pin === undefined) fix.current = takeFix(); // what is saved waits for it, so it is not stopped with the page
  }, []);
  const about = useRecords(notebook, () => aboutOf(notebook, query), [query.pin, query.site]);
  if (about === undefined) return html`<${Page} title=${words.title} up="write" />`;
  const given = { ...about.given, at: momentOf(about.now_ms, about.zone) };
  const saved = (/** @type {{ids: string[]}} */ { ids: [id] }, /** @type {Record<string, any>} */ values) => {
    back('write');
    if (id === undefined || values.pin !== undefined || values.position || fix.current === null) return;
    fix.current.hurry();
    void placed(notebook, id, fix.current.done).catch(() => {}); // the note stands without it
  };
  return html`<${Page} title=${words.title} up="write" act=${{ label: form.save, form: 'form' }}>
    ${query.pin === undefined ? html`<p class="soft">${words.position_later}</p>` : null}
    <${Form} kind="note" draft=${DRAFT} given=${given} zone=${about.zone} fields=${['text', 'pin', 'at', 'position']} open=${['pin', 'at']} onSaved=${saved} />
  </${Page}>`;
}

/** @param {import('../session.js').Notebook} notebook @param {Record<string, string>} query */
async function aboutOf(notebook, query) {
  const pin = query.pin === undefined ? undefined : await notebook.get(query.pin);
  const at = query.site || (pin?.values.site ?? (await ownVisit(notebook))?.values.site);
  const site = at === undefined ? undefined : await notebook.get(at);
  const given = { ...(pin && { pin: pin.id }), ...(site && { site: site.id }) };
  return { given, zone: site?.values.zone ?? ownZone(), now_ms: Date.now() };
}

/**
 * Fill in where it was written, and the site that this lies in.
 * @param {import('../session.js').Notebook} notebook
 * @param {string} id
 * @param {ReturnType<typeof takeFix>['done']} done
 */
async function placed(notebook, id, done) {
  if ((await fillInLater(notebook, { id, label: words.placed }, done)) !== 'filled') return;
  const rec = await notebook.get(id);
  if (rec === undefined || rec.deleted || rec.values.site !== undefined) return;
  const site = siteAt(await notebook.all('site'), rec.values.position);
  if (site !== null) await notebook.save([{ kind: 'note', record: id, set: { site: site.id }, over: rec }], { label: words.placed });
}
