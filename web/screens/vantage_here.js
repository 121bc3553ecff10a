/**
 * A vantage written down where one stands: its cover, the bearings it can be used over, lens and support.
 * Not for: changing one (edit.js), joining it to perches (sightline_here.js), the way to it (walk_in.js).
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { nextName, siteAt } from '../map/placing.js';
import { WORDS as MAP } from '../map/words.js';
import { newId } from '../notebook/ids.js';
import { Page } from '../parts/page.js';
import { Placing, placeTroubles, useHere } from '../parts/standing.js';
import { Typed } from '../parts/typed.js';
import { address, go } from '../route.js';
import { wrap_deg } from '../sensing/angles.js';
import { useRecords, useSession } from '../session.js';
import { ownZone } from '../times.js';
import { pin as words } from '../words_write.js';
import { useAim } from './aiming.js';
import { BearingAsk, useBearing } from './bearing_ask.js';
import { changeLater, fillPinLater, sayPinSaved } from './late_pin.js';
import { pinEdits, trueFigure } from './pin_edits.js';
import { Asks, HeightAsk, saidTroubles, toFirstTrouble } from './pin_fields.js';
import { Saved } from './pin_saved.js';
import { SiteAsk, Waiting } from './pin_site.js';
import { bearingTrue } from './true_north.js';
import { Kept, useDraft, useSending } from './write_draft.js';
import './write_styles.js';

/** @type {Record<string, any>} */
const EMPTY = { position: null };

/** @param {import('../types.d.ts').ScreenProps} props `query.saved`: what was saved here */
export function Screen({ notebook, query }) {
  if (query.saved !== undefined) return html`<${Saved} notebook=${notebook} kind="vantage" id=${query.saved} />`;
  return html`<${Writing} notebook=${notebook} />`;
}

/** @param {{notebook: import('../session.js').Notebook}} props */
function Writing({ notebook }) {
  const { schema } = useSession();
  const draft = useDraft(notebook, 'vantage-here', EMPTY);
  const found = useRecords(notebook, () => around(notebook));
  const [troubles, setTroubles] = useState(/** @type {Record<string, string>} */ ({}));
  const { busy, send } = useSending();
  const aims = [useAim(), useAim()];
  const here = useHere((position) => draft.put({ position, stood: position }, { quietly: true }));
  const values = draft.values ?? EMPTY;
  const edges = /** @type {const} */ (['from', 'to']).map((name, place) => {
    const aim = /** @type {ReturnType<typeof useAim>} */ (aims[place]);
    return { name, aim, said: useBearing(notebook, values.position, values[name], (value) => draft.put({ [name]: value }), aim) };
  });
  useEffect(() => {
    if (draft.values !== undefined && draft.latest().position === null) here.take();
  }, [draft.values === undefined]);
  if (draft.values === undefined || found === undefined) return html`<${Page} title=${words.vantage} up="write" />`;

  const put = (/** @type {Record<string, any>} */ more) => {
    draft.put(more);
    setTroubles(Object.fromEntries(Object.entries(troubles).filter(([name]) => !((name.split('.')[0] ?? '') in more))));
  };
  const save = async () => {
    if (busy) return undefined;
    const said = draft.latest();
    const wrong = { ...troublesOfVantage(schema, said), ...placeTroubles(said.place) };
    setTroubles(wrong);
    if (Object.keys(wrong).length > 0) return toFirstTrouble();
    await send(() => keep(said));
    return undefined;
  };
  /** @param {Record<string, any>} said */
  const keep = async (said) => {
    const late = said.position ? null : here.handOver();
    const known = { sites: found.sites, names: found.names, zone: ownZone(), at_ms: Date.now(), newId: () => newId(Date.now()) };
    const both = said.from && said.to ? [said.from, said.to] : [];
    const place = said.position ?? { lat: NaN, lon: NaN };
    const read = await Promise.all(both.map((one) => (said.position ? bearingTrue(notebook, one, place, { wait: false }) : one)));
    const set = { cover: said.cover, support: said.support, lens_height_m: said.lens_height_m, usable: rangeOf(read) };
    const made = pinEdits('vantage', { position: said.position, site: said.site, site_name: said.site_name, name: said.name, set, note: said.note }, known);
    const { group } = await notebook.save(made.edits, { label: words.vantage, draft: 'vantage-here' });
    sayPinSaved(notebook, group, made.id);
    if (late !== null) void fillPinLater(notebook, { id: made.id, label: words.vantage, zone: known.zone, site_name: said.site_name }, late);
    if (said.position && read.some((one) => !trueFigure(one).is_known)) {
      const finding = Promise.all(read.map((one) => bearingTrue(notebook, one, place, { wait: true })));
      void changeLater(notebook, { id: made.id, register: 'usable', label: words.vantage }, finding.then((better) => (better.every((one) => trueFigure(one).is_known) ? rangeOf(better) : null)));
    }
    void draft.drop();
    go('vantage-here', { query: { saved: made.id }, instead: true });
  };
  const anew = async () => {
    await draft.drop();
    setTroubles({});
    here.take();
  };
  const name = nextName(MAP.kinds.vantage, found.names);
  const asked = { values, put, troubles };
  const range = rangeOf([values.from, values.to].filter((one) => typeof one?.read_deg === 'number'));
  return html`<${Page} title=${words.vantage} up="write" act=${{ label: words.save_vantage, onAct: save, disabled: busy }}>
    <${Kept} kept_at=${draft.kept_at} onDrop=${anew} />
    <${Placing} here=${here} values=${values} put=${put} trouble=${troubles.place} />
    <p class="ways"><a class="act other" href=${address('map', { place: 'vantage', ...(draft.is_said && { for: 'vantage-here' }) })}>${words.map}</a></p>
    <p class="caution">${words.vantage_caution}</p>
    <div class="form">
      <${Asks} kind="vantage" names=${['cover', 'support']} ...${asked} />
      <${HeightAsk} kind="vantage" name="lens_height_m" rough_m=${[0.3, 0.6, 1.2, 1.6]} ...${asked} />
      <details class="fold" open=${Boolean(values.from || values.to || troubles.from || troubles.to)}>
        <summary>${words.usable}</summary>
        <p class="help">${words.usable_help}</p>
        ${edges.map(
          (edge) => html`<${BearingAsk} key=${edge.name} notebook=${notebook} id=${edge.name} label=${edge.name === 'from' ? words.from_edge : words.to_edge} here=${values.position} value=${values[edge.name]}
            onValue=${(/** @type {any} */ value) => put({ [edge.name]: value })} aim=${edge.aim} said=${edge.said} trouble=${troubles[edge.name]} />`,
        )}
        <p class="placed" role="status">${range === null ? '' : words.range(wrap_deg(range.to_deg - range.from_deg))}</p>
      </details>
      <div class="field"><label class="field-name" for="name">${words.name}</label><${Typed} id="name" value=${values.name ?? ''} placeholder=${words.name_else(name)} onText=${(/** @type {string} */ text) => put({ name: text })} /></div>
      <div class="field"><label class="field-name" for="note">${words.note}</label><${Typed} id="note" kind="lines" value=${values.note ?? ''} onText=${(/** @type {string} */ text) => put({ note: text })} /></div>
      <${SiteAsk} sites=${found.sites} position=${values.position} chosen=${values.site ?? (values.position && siteAt(found.sites, values.position)?.id)} site_name=${values.site_name} put=${put} />
    </div>
    <${Waiting} notebook=${notebook} recs=${found.waiting} />
  </${Page}>`;
}

/** @param {import('../types.d.ts').Schema} schema @param {Record<string, any>} said */
function troublesOfVantage(schema, said) {
  const wrong = saidTroubles(schema, [['vantage', 'cover'], ['vantage', 'support'], ['vantage', 'lens_height_m']], said);
  for (const edge of ['from', 'to']) {
    if (!said[edge]) continue;
    const one = saidTroubles(schema, [['measurement', 'bearing']], { bearing: said[edge] });
    const sentence = Object.values(one)[0];
    if (sentence !== undefined) wrong[edge] = sentence;
  }
  // One edge alone says nothing.
  if (Boolean(said.from) !== Boolean(said.to)) wrong[said.from ? 'to' : 'from'] ??= words.half_range;
  return wrong;
}

/** @param {any[]} edges both of them, clockwise */
function rangeOf(edges) {
  if (edges.length < 2) return null;
  const [from_deg = 0, to_deg = 0] = edges.map((one) => Math.round(trueFigure(one).true_deg * 10) / 10);
  return { from_deg, to_deg };
}

/** @param {import('../session.js').Notebook} notebook */
async function around(notebook) {
  const [sites, vantages] = await Promise.all([notebook.all('site'), notebook.all('vantage')]);
  const waiting = vantages.filter((one) => one.values.position === undefined);
  return { sites, waiting, names: vantages.map((one) => String(one.values.name ?? '')) };
}
