/** Every part of the screens on one page, on a few invented records, to be tested and looked at. */

import { html } from '/doors/htm.js';
import { render, useState } from '/doors/preact.js';
import { keepLook } from '/looks.js';
import { openNotebook } from '/notebook/notebook.js';
import { Bar } from '/parts/bar.js';
import { Chips } from '/parts/chips.js';
import { Empty } from '/parts/empty.js';
import { Facts } from '/parts/figure.js';
import { Form } from '/parts/form.js';
import { Rows } from '/parts/rows.js';
import { Page } from '/parts/page.js';
import { Photo } from '/parts/photo.js';
import { Sheet } from '/parts/sheet.js';
import { Snackbar, say, sayable } from '/parts/snackbar.js';
import { Stepper } from '/parts/stepper.js';
import { Strip } from '/parts/strip.js';
import { SyncLine } from '/parts/sync_line.js';
import { SessionContext } from '/session.js';

const START = '2026-05-12T03:30:00Z';
const END = '2026-05-12T07:30:00Z';
const STRETCHES = [
  { from: START, to: '2026-05-12T04:06:00Z', state: 'dark' },
  { from: '2026-05-12T04:06:00Z', to: '2026-05-12T04:52:00Z', state: 'sky light' },
  { from: '2026-05-12T04:52:00Z', to: '2026-05-12T05:24:00Z', state: 'sun' },
  { from: '2026-05-12T05:24:00Z', to: END, state: 'good' },
];

const notebook = await openNotebook({ sync: false });
const { schema } = notebook;
Object.assign(globalThis, { notebook, say, sayable });

if ((await notebook.count('site')) === 0) {
  const centre = { lat: 12.345, lon: -98.765 };
  const { ids } = await notebook.save([{ kind: 'site', set: { name: 'Sallow Carr', centre, zone: 'Europe/Lisbon' } }], { label: 'site' });
  const site = ids[0];
  await notebook.save(
    [
      { kind: 'vantage', set: { site, name: 'Reed hide', position: centre } },
      ...Array.from({ length: 60 }, (_, place) => ({ kind: 'perch', set: { site, name: `Dead branch ${place + 1}`, kind: 'branch', position: centre } })),
    ],
    { label: 'pins' },
  );
}

function Gallery() {
  const [chip, setChip] = useState('overcast');
  const [many, setMany] = useState(['light']);
  const [count, setCount] = useState(3);
  const [open, setOpen] = useState(false);
  const wanted = new URLSearchParams(location.search).get('kind');
  if (wanted) return html`<${Page} title=${`New ${wanted}`} act=${{ label: 'Save', form: 'form' }}><${Form} kind=${wanted} open=${schema.kinds[wanted].map((field) => field.name)} onSaved=${(saved) => (document.title = `saved ${saved.ids[0]}`)} /></${Page}>`;
  const words = (...list) => list.map((word) => ({ value: word, label: word }));
  return html`<${Page} title="Reed hide to dead branch" kicker="Sallow Carr · dawn, Tue 12 May" lead="Front light from the right, 31° off, until 07:00, then side." act=${{ label: 'Look from here', onAct: () => setOpen(true) }} more=${[{ label: 'Note', onAct: () => say('Saved on this phone', async () => say('Undone')) }]}>
    <section><h2>Light</h2>
      <${Strip} label="Clear sky" stretches=${STRETCHES} clears=${{ at: '2026-05-12T04:52:00Z', plus_minus_min: 12 }} start=${START} end=${END} zone="Europe/Lisbon" presence=${[true, true, false, true, false, false, true, true, true, false, true, true]} />
    </section>
    <section><h2>Facts</h2><${Facts} facts=${[['Wind', 'from the south-west, light'], ['Nearer than your keep-distance', 'only from the hide'], ['Nothing', '']]} /></section>
    <section><h2>Sky</h2><${Chips} label="Sky" choices=${words('clear', 'in and out', 'overcast')} value=${chip} onPick=${setChip} large /></section>
    <section><h2>What failed</h2><${Chips} label="What failed" many choices=${words('light', 'background', 'distance', 'focus', 'absence')} value=${many} onPick=${setMany} /></section>
    <section><h2>Count</h2><${Stepper} label="Count" value=${count} low=${1} high=${9} onStep=${setCount} /></section>
    <section><h2>Photo</h2><${Photo} notebook=${notebook} sha256=${'0'.repeat(64)} alt="The alders from the bank" missing="on the server" /></section>
    <section><h2>Nothing yet</h2><${Empty} text="No visit is written down here yet." act=${{ label: 'Begin a visit', to: 'write' }} sample /></section>
    <section><h2>Perches</h2><${Rows} kinds=${['perch']} name="perches" label="Perches" search /></section>
    ${open ? html`<${Sheet} title="Dead branch" onClose=${() => setOpen(false)} acts=${[{ label: 'Sightline' }, { label: 'Light today' }]}><${Facts} facts=${[['Height', '1.2 m'], ['Kind', 'branch']]} /></${Sheet}>` : null}
  </${Page}>`;
}

keepLook();
render(
  html`<${SyncLine} notebook=${notebook} /><${SessionContext.Provider} value=${{ notebook, schema }}><${Gallery} /></${SessionContext.Provider}><${Snackbar} /><${Bar} place="write" />`,
  document.getElementById('app'),
);
document.documentElement.dataset.ready = 'yes';
