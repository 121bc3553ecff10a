/**
 * What the laptop may be asked for while it is reached: a pin's skyline from the land, a sightline's gap and side
 * view, the relief. What comes of it is a record and arrives by the sync. Not for: showing layers (`land`).
 *
 * @typedef {import('../session.js').Notebook} Notebook
 * @typedef {{name: string, sight_words: string, gap_words: string, noted_words: string, gap_m: number | null, sky_behind: boolean, remarks: string[], svg: string}} Followed
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { Chips } from '../parts/chips.js';
import { Button } from '../parts/page.js';
import { say, sayable } from '../parts/snackbar.js';
import { useRecords } from '../session.js';
import { land as words } from '../words_land.js';

const AT = '/api/v1/land';
const LOOK_MS = 500;

/** @param {string} method @param {string} path @param {object} [body] */
async function ask(method, path, body) {
  /** @type {Record<string, string>} */
  const headers = { 'X-Scout': '1' };
  if (body !== undefined) headers['Content-Type'] = 'application/json';
  const answer = await fetch(`${AT}${path}`, { method, headers, body: body === undefined ? null : JSON.stringify(body), cache: 'no-store' });
  const told = await answer.json();
  if (!answer.ok) throw new Refusal(told.error?.message ?? words.unreachable);
  return told;
}

/** A sentence of the laptop's own. */
class Refusal extends Error {}

/** Begin work and follow it to its end. @param {object} body @returns {Promise<string[]>} */
async function worked(body) {
  let job = await ask('POST', '/jobs', body);
  while (job.state === 'waiting' || job.state === 'running') {
    await new Promise((next) => setTimeout(next, LOOK_MS));
    job = await ask('GET', `/jobs/${job.id}`);
  }
  if (job.state !== 'done') throw new Refusal(job.words);
  return job.result.sentences ?? [];
}

/** @param {{notebook: Notebook, site: string}} props */
export function Asking({ notebook, site }) {
  const [kind, setKind] = useState('bare earth');
  const [told, setTold] = useState(/** @type {string[]} */ ([]));
  const [busy, setBusy] = useState(false);
  const [followed, setFollowed] = useState(/** @type {(Followed & {id: string}) | null} */ (null));
  const found = useRecords(notebook, () => pinsAndLines(notebook, site), [site]);
  /** @param {() => Promise<string[]>} doing */
  const act = async (doing) => {
    setBusy(true);
    setFollowed(null);
    setTold([words.asking]);
    try {
      setTold(await doing());
      void notebook.sync.now();
    } catch (trouble) {
      setTold([trouble instanceof Refusal ? trouble.message : words.unreachable]);
    } finally {
      setBusy(false);
    }
  };
  const skyline = (/** @type {string | null} */ pin) => pin !== null && !busy && void act(async () => [...(await worked({ do: 'skyline', pin, kind })), words.came]);
  const gap = (/** @type {string | null} */ id) =>
    id !== null &&
    !busy &&
    void act(async () => {
      setFollowed({ id, ...(await ask('GET', `/sight/${id}?kind=${encodeURIComponent(kind)}`)) });
      return [];
    });
  return html`<section>
    <h2>${words.ask}</h2>
    <${Chips} label=${words.surface} choices=${[{ value: 'surface', label: words.surface }]} value=${kind === 'surface' ? 'surface' : null} onPick=${(/** @type {string | null} */ one) => setKind(one ?? 'bare earth')} />
    <h3>${words.ask_skyline}</h3>
    <${Chips} label=${words.ask_skyline} choices=${found?.pins ?? []} value=${null} onPick=${skyline} />
    <h3>${words.ask_gap}</h3>
    <${Chips} label=${words.ask_gap} choices=${found?.lines ?? []} value=${followed?.id ?? null} onPick=${gap} />
    <div role="status">${told.map((one) => html`<p key=${one}>${one}</p>`)}</div>
    ${followed === null ? null : html`<${Side} notebook=${notebook} followed=${followed} />`}
    <${Button} act=${{ label: words.ask_relief, disabled: busy, onAct: () => void act(async () => [...(await worked({ do: 'relief', site })), words.came]) }} />
  </section>`;
}

/** @param {{notebook: Notebook, followed: Followed & {id: string}}} props */
function Side({ notebook, followed }) {
  const box = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    const drawn = new DOMParser().parseFromString(followed.svg, 'image/svg+xml').documentElement;
    box.current?.replaceChildren(document.adoptNode(drawn));
  }, [followed.svg]);
  const note = async () => {
    const gap = followed.sky_behind ? { sky: true } : { m: followed.gap_m, ranged_from: 'perch', how: 'map' };
    try {
      const { group } = await notebook.save([{ kind: 'sightline', record: followed.id, set: { gap } }], { label: words.noted });
      sayable(notebook, group);
    } catch {
      say(words.not_saved);
    }
  };
  return html`<div>
    <p class="verdict">${followed.sight_words}</p>
    <div class="land-view" ref=${box}></div>
    <p>${[followed.gap_words, followed.noted_words, ...followed.remarks].join(' ')}</p>
    ${followed.sky_behind || followed.gap_m !== null ? html`<${Button} act=${{ label: words.note_gap, onAct: () => void note() }} kind="large" />` : null}
  </div>`;
}

/** @param {Notebook} notebook @param {string} site */
async function pinsAndLines(notebook, site) {
  const [perches, vantages, lines] = await Promise.all([notebook.all('perch', { site }), notebook.all('vantage', { site }), notebook.all('sightline')]);
  const name = (/** @type {import('../notebook/types.d.ts').Rec[]} */ from, /** @type {string} */ id) => from.find((one) => one.id === id)?.values.name;
  return {
    pins: [...perches, ...vantages].map((one) => ({ value: one.id, label: one.values.name })),
    lines: lines
      .map((one) => ({ value: one.id, vantage: name(vantages, one.values.vantage), perch: name(perches, one.values.perch) }))
      .filter((one) => one.vantage !== undefined && one.perch !== undefined)
      .map((one) => ({ value: one.value, label: `${one.vantage} → ${one.perch}` })),
  };
}
