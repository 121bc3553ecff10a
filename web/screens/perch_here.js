/**
 * A perch written down where it is promising: three taps, and all that is roughly known of it for whoever has
 * the time. Not for: changing one (edit.js), a tap on the map (map.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {'here' | 'vantage'} Way
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { written } from '../map/coordinates.js';
import { nextName, siteAt } from '../map/placing.js';
import { WORDS as MAP } from '../map/words.js';
import { newId } from '../notebook/ids.js';
import { Chips } from '../parts/chips.js';
import { DistanceField } from '../parts/field_distance.js';
import { Button, Page } from '../parts/page.js';
import { Placing, placeOf, placeTroubles, useHere } from '../parts/standing.js';
import { Typed } from '../parts/typed.js';
import { address, go } from '../route.js';
import { useRecords, useSession } from '../session.js';
import { ownZone } from '../times.js';
import { bearing, distance } from '../units.js';
import { line as line_words, pin as words } from '../words_write.js';
import { startsByItself, useAim } from './aiming.js';
import { BearingAsk, useBearing } from './bearing_ask.js';
import { changeLater, fillPinLater, sayPinSaved } from './late_pin.js';
import { PickNear } from './near.js';
import { behindOf, lineEdits, noteEdits, pinEdits, placedFrom, trueFigure } from './pin_edits.js';
import { Asks, HeightAsk, TiltAsk, behindNote, fieldIn, saidTroubles, toFirstTrouble, toldAt } from './pin_fields.js';
import { Saved } from './pin_saved.js';
import { SiteAsk, Waiting } from './pin_site.js';
import { bearingTrue } from './true_north.js';
import { Kept, useDraft, useSending } from './write_draft.js';
import './write_styles.js';

const WAY = 'perch_way';
/** So long one is taken to be where one last placed a perch from. */
const SAME_PLACE_MS = 6 * 3_600_000;
const ASKED = /** @type {[string, string][]} */ ([
  ['perch', 'kind'],
  ['perch', 'height_m'],
  ['measurement', 'bearing'],
  ['measurement', 'distance'],
  ['measurement', 'tilt'],
  ['sightline', 'gap'],
]);
/** @type {Record<string, any>} */
const EMPTY = { way: 'here', position: null, from: null };

/** @param {import('../types.d.ts').ScreenProps} props `query.from`: a vantage; `query.saved`: what was saved here */
export function Screen({ notebook, query }) {
  if (query.saved !== undefined) return html`<${Saved} notebook=${notebook} kind="perch" id=${query.saved} line=${query.line} />`;
  return html`<${Writing} notebook=${notebook} given=${query.from} />`;
}

/** @param {{notebook: import('../session.js').Notebook, given: string | undefined}} props */
function Writing({ notebook, given }) {
  const { schema } = useSession();
  const draft = useDraft(notebook, 'perch-here', EMPTY);
  const found = useRecords(notebook, () => around(notebook));
  const [troubles, setTroubles] = useState(/** @type {Record<string, string>} */ ({}));
  const { busy, send } = useSending();
  const aim = useAim();
  const edge = useAim();
  const here = useHere((position) => draft.put({ stood: position, ...(draft.latest().way === 'here' && { position }) }, { quietly: true }));
  const values = draft.values ?? EMPTY;
  const vantage = found?.vantages.find((one) => one.id === values.from);
  const spot = vantage?.values.position ?? values.stood ?? null;
  const put = (/** @type {Record<string, any>} */ more) => {
    draft.put(more);
    if (Object.keys(troubles).length > 0) setTroubles(Object.fromEntries(Object.entries(troubles).filter(([name]) => !((name.split('.')[0] ?? '') in more))));
  };
  const direction = useBearing(notebook, spot, values.bearing, (value) => draft.put({ bearing: value }), aim);

  useEffect(() => {
    if (draft.values === undefined) return;
    void begin();
  }, [draft.values === undefined]);
  const begin = async () => {
    const kept = await notebook.setting(WAY);
    const last = kept !== undefined && Date.now() - kept.at_ms < SAME_PLACE_MS ? kept : undefined;
    if (given !== undefined) draft.put({ way: 'vantage', from: given }, { quietly: true });
    else if (draft.kept_at === null && last?.way === 'vantage') draft.put({ way: 'vantage', from: last.from }, { quietly: true });
    const { way, position, bearing: held } = draft.latest();
    // What was taken before a reload was taken at the perch; where one stands by now nobody knows.
    if (way === 'here' ? position === null : draft.latest().stood === undefined) here.take();
    if (way === 'vantage' && !held && (await startsByItself())) void aim.start();
  };
  if (draft.values === undefined || found === undefined) return html`<${Page} title=${words.perch} up="write" />`;

  const measured = { bearing: values.bearing, distance: values.distance, tilt: values.tilt };
  const is_from = values.way === 'vantage';
  const placed = is_from ? placedFrom(vantage?.values.position, measured) : values.position;
  const name = nextName(MAP.kinds.perch, found.names);
  /** @param {Way} way */
  const choose = (way) => {
    const only = found.vantages.length === 1 ? found.vantages[0]?.id : found.sitting;
    draft.put({ way, ...(way === 'here' && { position: placeOf(values.place ?? '') ?? values.stood ?? null }), ...(way === 'vantage' && !values.from && only && { from: only }) }, { quietly: true });
    if (way === 'vantage' && !values.bearing) void aim.start();
    if (way === 'here') {
      aim.stop();
      if (!draft.latest().position && !here.is_asking) here.take();
    }
  };
  const can_hold = is_from && aim.heading !== null && vantage !== undefined && Number(values.distance?.m) > 0;
  const save = async () => {
    if (busy) return undefined;
    const held = can_hold ? direction.hold() : null;
    if (held !== null) draft.put({ bearing: held });
    const said = draft.latest();
    const wrong = { ...saidTroubles(schema, ASKED, is_from ? said : { ...said, bearing: null, distance: null, tilt: null }) };
    if (is_from && vantage === undefined) wrong.from = line_words.choose_vantage;
    if (!is_from) Object.assign(wrong, placeTroubles(said.place));
    setTroubles(wrong);
    if (Object.keys(wrong).length > 0) return toFirstTrouble();
    await send(() => keep(said, /** @type {Rec} */ (vantage)));
    return undefined;
  };
  /** @param {Record<string, any>} said @param {Rec | undefined} from */
  const keep = async (said, from) => {
    const at_ms = Date.now();
    const known = { sites: found.sites, names: found.names, zone: ownZone(), at_ms, newId: () => newId(Date.now()) };
    const bearing = is_from && said.bearing ? await bearingTrue(notebook, said.bearing, spot, { wait: false }) : null;
    const line = { bearing, distance: said.distance, tilt: said.tilt };
    const position = is_from ? placedFrom(from?.values.position, line) : said.position;
    const late = is_from || position ? null : here.handOver();
    const seen = is_from ? from : found.vantages.find((one) => one.id === said.seen_from);
    const set = { kind: said.kind, height_m: said.height_m };
    const made = pinEdits('perch', { position, site: is_from ? from?.values.site : said.site, site_name: said.site_name, name: said.name, set, note: said.note }, known);
    const joined = seen && lineEdits({ vantage: seen.id, perch: made.id, line: undefined, behind: said, measured: is_from ? line : {} }, known);
    const behind = seen ? [] : noteEdits(behindNote(said, schema), made.id, made.site, known);
    const { group } = await notebook.save([...made.edits, ...(joined?.edits ?? []), ...behind], { label: words.perch, draft: 'perch-here' });
    if (behind.length > 0) await notebook.keepSetting(toldAt(made.id), behindOf(said)).catch(() => {});
    sayPinSaved(notebook, group, made.id);
    if (late !== null) void fillPinLater(notebook, { id: made.id, label: words.perch, zone: known.zone, site_name: said.site_name }, late);
    if (bearing !== null && from !== undefined && position !== null && !trueFigure(bearing).is_known) {
      const placing = bearingTrue(notebook, bearing, from.values.position, { wait: true }).then((found) => (trueFigure(found).is_known ? placedFrom(from.values.position, { ...line, bearing: found }) : null));
      void changeLater(notebook, { id: made.id, register: 'position', label: words.perch }, placing);
    }
    void notebook.keepSetting(WAY, { way: said.way, from: said.from, at_ms }).catch(() => {});
    void draft.drop();
    go('perch-here', { query: { saved: made.id, ...(joined && { line: joined.id }) }, instead: true });
  };
  const again = async () => {
    await draft.drop({ way: values.way, from: values.from });
    setTroubles({});
    here.take();
  };
  const act = can_hold ? { label: words.hold_and_save(bearing(aim.heading?.read_deg ?? 0)), onAct: save } : { label: words.save_perch, onAct: save, disabled: busy };
  const asked = { values, put, troubles };
  return html`<${Page} title=${words.perch} up="write" act=${act}>
    <${Kept} kept_at=${draft.kept_at} onDrop=${again} />
    <section class="ways">
      <${Chips} label=${words.way} needed large value=${values.way} onPick=${choose} choices=${/** @type {const} */ (['here', 'vantage']).map((way) => ({ value: way, label: words.ways[way] }))} />
      <a class="act other" href=${address('map', { place: 'perch', ...(draft.is_said && { for: 'perch-here' }) })}>${words.map}</a>
    </section>
    ${is_from ? from() : html`<${Placing} here=${here} values=${values} put=${put} trouble=${troubles.place} />`}
    <p class=${values.kind === 'nest or den' ? 'caution strong' : 'caution'}>${values.kind === 'nest or den' ? words.nest : words.caution}</p>
    <div class="form">
      <${Asks} kind="perch" names=${['kind']} labels=${{ kind: words.kind }} ...${asked} />
      <${Asks} kind="sightline" names=${['gap', 'tone', 'background', 'light_wanted']} ...${asked} />
      ${is_from || found.vantages.length === 0
        ? null
        : html`<div class="field"><p class="field-name">${words.seen_from}</p><p class="help">${words.seen_help}</p>
            <${PickNear} id="seen_from" label=${words.seen_from} recs=${found.vantages} from=${values.position} chosen=${[values.seen_from]} onPick=${(/** @type {string} */ id) => put({ seen_from: values.seen_from === id ? null : id })} /></div>`}
      <${HeightAsk} kind="perch" name="height_m" rough_m=${[0, 0.5, 1, 2, 4]} ...${asked} />
      <div class="field"><label class="field-name" for="name">${words.name}</label><${Typed} id="name" value=${values.name ?? ''} placeholder=${words.name_else(name)} onText=${(/** @type {string} */ text) => put({ name: text })} /></div>
      <div class="field"><label class="field-name" for="note">${words.note}</label><${Typed} id="note" kind="lines" value=${values.note ?? ''} onText=${(/** @type {string} */ text) => put({ note: text })} /></div>
      ${is_from ? null : html`<${SiteAsk} sites=${found.sites} position=${values.position} chosen=${values.site ?? (values.position && siteAt(found.sites, values.position)?.id)} site_name=${values.site_name} put=${put} />`}
    </div>
    <${Waiting} notebook=${notebook} recs=${found.waiting} />
  </${Page}>`;

  function from() {
    if (found === undefined || found.vantages.length === 0) {
      return html`<p class="help">${words.no_vantage}</p><${Button} act=${{ label: words.vantage_act, to: 'vantage-here' }} kind="large" />`;
    }
    const unsure = placed !== null && values.bearing && !trueFigure(values.bearing).is_known;
    return html`<div class="form placing">
      <div class=${troubles.from ? 'field bad' : 'field'} data-field="from"><p class="field-name">${words.from}</p>
        <${PickNear} id="from" label=${words.from} recs=${found.vantages} from=${values.stood} chosen=${[values.from]} onPick=${(/** @type {string} */ id) => put({ from: id })} />
        <p class="wrong" role="alert">${troubles.from ?? ''}</p></div>
      <${DistanceField} field=${fieldIn(schema, 'measurement', 'distance', { label: line_words.distance })} id="distance" value=${values.distance} troubles=${troubles} zone="" onValue=${(/** @type {any} */ value) => put({ distance: value })} />
      <${BearingAsk} notebook=${notebook} id="bearing" label=${line_words.bearing} here=${spot} value=${values.bearing} onValue=${(/** @type {any} */ value) => put({ bearing: value })} aim=${aim} said=${direction} trouble=${troubles.bearing ?? troubles['bearing.read_deg']} />
      <${TiltAsk} ...${asked} aim=${edge} />
      <p class="placed" role="status">${placed === null ? words.not_placed : words.placed(written(placed), distance(placed.accuracy_m))}${unsure ? ` ${words.placed_roughly}` : ''}</p>
    </div>`;
  }
}

/** @param {import('../session.js').Notebook} notebook */
async function around(notebook) {
  const [sites, perches, vantages, watches] = await Promise.all([notebook.all('site'), notebook.all('perch'), notebook.all('vantage'), notebook.all('watch', { limit: 5 })]);
  const waiting = perches.filter((one) => one.values.position === undefined);
  const sitting = watches.find((one) => one.values.end === undefined && !one.values.trail_camera)?.values.vantage;
  return { sites, vantages, waiting, sitting, names: perches.map((one) => String(one.values.name ?? '')) };
}
