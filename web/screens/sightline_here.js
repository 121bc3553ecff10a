/**
 * Sightlines joined on the spot: from a vantage to one perch, measured, or to several, by their pins. What is
 * measured goes beside what was measured before; nothing is written over.
 * Not for: a new perch from here (perch_here.js), or a sightline's year (its own page).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { newId } from '../notebook/ids.js';
import { DistanceField } from '../parts/field_distance.js';
import { Empty } from '../parts/empty.js';
import { Page } from '../parts/page.js';
import { sayable } from '../parts/snackbar.js';
import { useHere } from '../parts/standing.js';
import { go } from '../route.js';
import { useRecords, useSession } from '../session.js';
import { ownZone } from '../times.js';
import { line as words, pin } from '../words_write.js';
import { useAim } from './aiming.js';
import { BearingAsk, useBearing } from './bearing_ask.js';
import { PickNear, howFar, nearestFirst } from './near.js';
import { BEHIND, behindOf, lineEdits } from './pin_edits.js';
import { Asks, TiltAsk, fieldIn, saidTroubles, toFirstTrouble, toldAt } from './pin_fields.js';
import { Saved } from './pin_saved.js';
import { bearingTrue } from './true_north.js';
import { Kept, useDraft, useSending } from './write_draft.js';
import './write_styles.js';

const ASKED = /** @type {[string, string][]} */ ([
  ['measurement', 'bearing'],
  ['measurement', 'distance'],
  ['measurement', 'tilt'],
  ['sightline', 'gap'],
]);

/** @param {import('../types.d.ts').ScreenProps} props `query.vantage`, `query.perch`: what is known already; `query.saved`: what was saved here */
export function Screen({ notebook, query }) {
  if (query.saved !== undefined) return html`<${Saved} notebook=${notebook} kind="sightline" id=${query.saved} />`;
  return html`<${Writing} notebook=${notebook} given=${query} />`;
}

/** @param {{notebook: import('../session.js').Notebook, given: Record<string, string>}} props */
function Writing({ notebook, given }) {
  const { schema } = useSession();
  const start = { vantage: given.vantage ?? null, perches: given.perch === undefined ? [] : [given.perch] };
  const draft = useDraft(notebook, 'sightline-here', /** @type {Record<string, any>} */ (start));
  const found = useRecords(notebook, () => pins(notebook));
  const [stood, setStood] = useState(/** @type {{lat: number, lon: number} | null} */ (null));
  const [troubles, setTroubles] = useState(/** @type {Record<string, string>} */ ({}));
  const { busy, send } = useSending();
  const aim = useAim();
  const edge = useAim();
  const here = useHere(setStood);
  const values = /** @type {Record<string, any>} */ (draft.values ?? start);
  const vantage = found?.vantages.find((one) => one.id === values.vantage);
  const spot = vantage?.values.position ?? null;
  const direction = useBearing(notebook, spot, values.bearing, (value) => draft.put({ bearing: value }), aim);
  useEffect(() => {
    if (draft.values === undefined) return;
    if (given.vantage !== undefined || given.perch !== undefined) draft.put({ ...(given.vantage && { vantage: given.vantage }), ...(given.perch && { perches: [given.perch] }) }, { quietly: true });
    if (given.vantage === undefined) here.take();
  }, [draft.values === undefined]);
  const only = values.perches.length === 1 ? values.perches[0] : undefined;
  /** What was said at a perch, for the first sightline to it: seen from elsewhere other things lie behind. @param {string} perch */
  const toldOf = async (perch) => (found?.lines.some((one) => one.values.perch === perch) ? undefined : await notebook.setting(toldAt(perch)));
  useEffect(() => {
    if (draft.values === undefined || found === undefined || only === values.told_of) return;
    void (async () => {
      const told = only && (await toldOf(only));
      const now = draft.latest();
      const said = now.told_of ? Object.fromEntries(BEHIND.map((name) => [name, null])) : behindOf(now);
      draft.put({ ...(now.told_of ? { ...said, ...told } : { ...told, ...said }), told_of: told ? only : undefined }, { quietly: true });
    })();
  }, [only, draft.values === undefined, found === undefined]);
  if (draft.values === undefined || found === undefined) return html`<${Page} title=${words.title} up="write" />`;
  if (found.vantages.length === 0 || found.perches.length === 0) {
    const act = found.vantages.length === 0 ? { label: pin.vantage, to: 'vantage-here' } : { label: pin.perch, to: 'perch-here' };
    return html`<${Page} title=${words.title} up="write"><${Empty} text=${words.none} act=${act} /></${Page}>`;
  }
  const put = (/** @type {Record<string, any>} */ more) => {
    draft.put(more);
    setTroubles(Object.fromEntries(Object.entries(troubles).filter(([name]) => !((name.split('.')[0] ?? '') in more))));
  };
  const joined = new Map(found.lines.filter((one) => one.values.vantage === values.vantage).map((one) => [one.values.perch, one]));
  const is_one = only !== undefined;
  const [pinned] = is_one ? nearestFirst(found.perches.filter((one) => one.id === only), spot) : [];
  const far = pinned === undefined ? '' : howFar(pinned);
  const save = async () => {
    if (busy) return undefined;
    const said = draft.latest();
    const wrong = saidTroubles(schema, ASKED, is_one ? said : {});
    if (vantage === undefined) wrong.vantage = words.choose_vantage;
    if (said.perches.length === 0) wrong.perches = words.choose_perch;
    setTroubles(wrong);
    if (Object.keys(wrong).length > 0) return toFirstTrouble();
    await send(() => keep(said));
    return undefined;
  };
  /** @param {Record<string, any>} said */
  const keep = async (said) => {
    const known = { zone: ownZone(), at_ms: Date.now(), newId: () => newId(Date.now()) };
    const bearing = said.bearing && spot ? await bearingTrue(notebook, said.bearing, spot, { wait: false }) : said.bearing;
    const measured = is_one ? { bearing, distance: said.distance, tilt: said.tilt } : {};
    const made = await Promise.all(said.perches.map(async (/** @type {string} */ perch) => lineEdits({ vantage: said.vantage, perch, line: joined.get(perch), behind: is_one ? said : ((await toldOf(perch)) ?? {}), measured }, known)));
    const edits = made.flatMap((/** @type {any} */ one) => one.edits);
    if (edits.length > 0) {
      const { group } = await notebook.save(edits, { label: words.title, draft: 'sightline-here' });
      sayable(notebook, group);
    }
    void draft.drop();
    go('sightline-here', { query: { saved: made[0].id }, instead: true });
  };
  const toggle = (/** @type {string} */ id) => put({ perches: values.perches.includes(id) ? values.perches.filter((/** @type {string} */ one) => one !== id) : [...values.perches, id] });
  const asked = { values, put, troubles };
  return html`<${Page} title=${words.title} up="write" act=${{ label: values.perches.length > 1 ? words.several : words.save, onAct: save, disabled: busy }}>
    <${Kept} kept_at=${draft.kept_at} onDrop=${() => draft.drop()} />
    <div class="form">
      <div class=${troubles.vantage ? 'field bad' : 'field'}><p class="field-name">${words.vantage}</p>
        <${PickNear} id="vantage" label=${words.vantage} recs=${found.vantages} from=${stood} chosen=${[values.vantage]} onPick=${(/** @type {string} */ id) => put({ vantage: id })} />
        <p class="wrong" role="alert">${troubles.vantage ?? ''}</p></div>
      <div class=${troubles.perches ? 'field bad' : 'field'}><p class="field-name">${words.perches}</p><p class="help">${words.one}</p>
        <${PickNear} id="perches" label=${words.perches} recs=${found.perches} from=${spot ?? stood} site=${vantage?.values.site} chosen=${values.perches} onPick=${toggle} note=${(/** @type {Rec} */ rec) => (joined.has(rec.id) ? words.joined : '')} />
        <p class="wrong" role="alert">${troubles.perches ?? ''}</p></div>
      ${is_one
        ? html`<section class="placing"><h2>${words.measure}</h2><p class="help">${words.measure_help}${far === '' ? '' : ` ${words.pins(far)}.`}</p>
              <${DistanceField} field=${fieldIn(schema, 'measurement', 'distance', { label: words.distance })} id="distance" value=${values.distance} troubles=${troubles} zone="" onValue=${(/** @type {any} */ value) => put({ distance: value })} />
              <${BearingAsk} notebook=${notebook} id="bearing" label=${words.bearing} here=${spot} value=${values.bearing} onValue=${(/** @type {any} */ value) => put({ bearing: value })} aim=${aim} said=${direction} trouble=${troubles.bearing ?? troubles['bearing.read_deg']} />
              <${TiltAsk} ...${asked} aim=${edge} /></section>
            ${values.told_of ? html`<p class="help">${words.told}</p>` : null}
            ${joined.has(only) ? html`<p class="help">${words.there}</p>` : null}
            <${Asks} kind="sightline" names=${['gap', 'tone', 'background', 'light_wanted', 'background_in_shade']} ...${asked} />`
        : null}
    </div>
  </${Page}>`;
}

/** @param {import('../session.js').Notebook} notebook */
async function pins(notebook) {
  const [vantages, perches, lines] = await Promise.all([notebook.all('vantage'), notebook.all('perch'), notebook.all('sightline')]);
  return { vantages, perches, lines };
}
