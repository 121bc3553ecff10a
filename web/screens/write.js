/**
 * The place where things are written down: what is half-written, and the large acts. A visit that runs takes it
 * over, until something else is written. Not for: any of the acts themselves.
 */

import { html } from '../doors/htm.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { address } from '../route.js';
import { useRecords } from '../session.js';
import { moment } from '../times.js';
import { kinds, record } from '../words.js';
import { visit as visit_words, write as words } from '../words_visit.js';
import { ROUTES } from './index.js';
import { msOf, openVisits } from './visiting_state.js';
import { Screen as Visiting } from './visiting.js';
import './visit_styles.js';

/** @typedef {{label: string, note: string, to: string}} Line */

/** @param {import('../types.d.ts').ScreenProps} props `query.aside`: beside the visit that runs */
export function Screen(props) {
  const { notebook, query } = props;
  const found = useRecords(notebook, () => stand(notebook));
  if (found === undefined) return html`<main id="page" class="page" aria-busy="true"></main>`;
  const { own, others, half, is_empty } = found;
  if (own !== undefined && query.aside !== 'yes') return html`<${Visiting} ...${props} query=${{ visit: own.id }} />`;
  const acts = [
    [words.acts.perch, 'perch-here'],
    [words.acts.vantage, 'vantage-here'],
    [words.acts.sightline, 'sightline-here'],
    [words.acts.visit, 'visiting'],
    [words.acts.note, 'note-here'],
    [words.acts.photo, 'photo-here'],
  ];
  const rest = [
    [words.rest.skyline, 'skyline-here'],
    [words.rest.walk_in, 'walk-in'],
    [words.rest.light, 'new/light_reading'],
    [words.rest.clock, 'camera-clock'],
  ];
  return html`<${Page} title=${words.title} up=${false}>
    ${own === undefined ? null : html`<p><a class="act main wide-act" href=${address('visiting')}>${words.aside(moment(msOf(own.values.start), own.values.start?.zone))}</a></p>`}
    <${Lines} title=${words.half} lines=${half} />
    ${is_empty ? html`<${Empty} text=${words.empty} act=${{ label: words.acts.perch, to: 'perch-here' }} sample />` : null}
    <${Lines} title=${words.elsewhere} help=${words.elsewhere_why} lines=${others} />
    <section><h2>${words.more}</h2><div class="acts">${rest.map(([label, at = '']) => html`<a class="act other" key=${label} href=${address(at)}>${label}</a>`)}</div></section>
    <section class="write-acts" aria-label=${words.title}>${acts.map(([label, at = '']) => html`<a class="act large" key=${label} href=${address(at)}>${label}</a>`)}</section>
  </${Page}>`;
}

/** @param {{title: string, help?: string, lines: Line[]}} props */
function Lines({ title, help, lines }) {
  if (lines.length === 0) return null;
  return html`<section class="shelf"><h2>${title}</h2>${help ? html`<p class="soft">${help}</p>` : null}<ul class="rows">
    ${lines.map((line) => html`<li key=${line.to}><a class="row" href=${address(line.to)}><span class="row-title">${line.label}</span><span class="row-note">${line.note}</span></a></li>`)}
  </ul></section>`;
}

/** @param {import('../session.js').Notebook} notebook */
async function stand(notebook) {
  const [open, names, is_empty] = await Promise.all([openVisits(notebook), notebook.drafts(), isEmpty(notebook)]);
  const own = open.find((one) => one.is_mine)?.rec;
  const others = await Promise.all(
    open
      .filter(({ rec }) => rec.id !== own?.id)
      .map(async ({ rec }) => ({ label: String((await notebook.get(String(rec.values.site)))?.values.name ?? visit_words.title), note: moment(msOf(rec.values.start), rec.values.start?.zone), to: `visiting?visit=${rec.id}` })),
  );
  const half = await Promise.all(names.map((name) => halfOf(notebook, name)));
  return { own, others, half: half.filter((one) => one !== null), is_empty };
}

/** @param {import('../session.js').Notebook} notebook */
async function isEmpty(notebook) {
  for (const kind of Object.keys(kinds)) if (kind !== 'settings' && (await notebook.count(kind)) > 0) return false;
  return true;
}

/**
 * Say what a draft is of, and where it is taken up; null where no screen knows it.
 * @param {import('../session.js').Notebook} notebook
 * @param {string} name
 * @returns {Promise<Line | null>}
 */
async function halfOf(notebook, name) {
  const [kind = '', id = ''] = name.split('/');
  const at = (await notebook.draft(name))?.at;
  const note = Number.isFinite(at) ? moment(at) : '';
  const screen = ROUTES.find((one) => one.pattern === kind && one.place === 'write');
  if (screen !== undefined) return { label: labels[kind] ?? kind, note, to: id === '' ? kind : name };
  const one = kinds[kind]?.one;
  if (one === undefined || id === '') return null;
  return id === 'new' ? { label: record.fresh(one), note, to: `new/${kind}` } : { label: record.edit(one), note, to: `edit/${kind}/${id}` };
}

/** @type {Record<string, string>} */
const labels = {
  'perch-here': words.acts.perch,
  'vantage-here': words.acts.vantage,
  'sightline-here': words.acts.sightline,
  'skyline-here': words.rest.skyline,
  'walk-in': words.rest.walk_in,
  'note-here': words.acts.note,
  'photo-here': words.acts.photo,
  visiting: words.acts.visit,
};
