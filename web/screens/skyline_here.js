/**
 * The skyline of a pin: aimed along the phone's edge, typed, or told by the sun in the minute it comes or goes.
 * No picture of the camera: the eye sights along the edge. Not for: skylines computed from terrain.
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('./skyline_points.js').Point} Point
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { engine } from '../engine/engine.js';
import { newId } from '../notebook/ids.js';
import { nameOf } from '../names.js';
import { Chips } from '../parts/chips.js';
import { Empty } from '../parts/empty.js';
import { NumberBox } from '../parts/field_number.js';
import { Page } from '../parts/page.js';
import { sayable } from '../parts/snackbar.js';
import { useHere } from '../parts/standing.js';
import { compassPoint } from '../rough.js';
import { go } from '../route.js';
import { useRecords, useSession } from '../session.js';
import { dateOf, ownZone } from '../times.js';
import { bearing, number } from '../units.js';
import { done, line as line_words, pin as pin_words, skyline as words } from '../words_write.js';
import { useAim } from './aiming.js';
import { trueFigure } from './pin_edits.js';
import { PickNear } from './near.js';
import { fieldIn } from './pin_fields.js';
import { ShadowSheet } from './shadow_sheet.js';
import { Drawing, alongHorizon, skylineEdits, withPoint } from './skyline_points.js';
import { sunEventEdits } from './sun_event.js';
import { bearingHeld, bearingTrue, setHere } from './true_north.js';
import { Kept, useDraft, useSending } from './write_draft.js';
import './write_styles.js';

/** @param {import('../types.d.ts').ScreenProps} props `pin`, of the path or the query: a perch or vantage */
export function Screen({ notebook, params, query }) {
  const given = params.pin ?? query.pin;
  const found = useRecords(notebook, () => pins(notebook));
  const [picked, setPicked] = useState(/** @type {string | null} */ (given ?? null));
  const [stood, setStood] = useState(/** @type {{lat: number, lon: number} | null} */ (null));
  const here = useHere(setStood);
  useEffect(() => {
    if (given === undefined) here.take();
  }, []);
  if (found === undefined) return html`<${Page} title=${words.title} up="write" />`;
  if (found.pins.length === 0) return html`<${Page} title=${words.title} up="write"><${Empty} text=${words.none} act=${{ label: pin_words.perch, to: 'perch-here' }} /></${Page}>`;
  const rec = found.pins.find((one) => one.id === picked);
  const zone = found.zones.get(rec?.values.site) ?? ownZone();
  if (rec === undefined) {
    return html`<${Page} title=${words.title} up="write"><section><h2>${words.pin}</h2><${PickNear} id="pin" label=${words.pin} recs=${found.pins} from=${stood} chosen=${[]} onPick=${setPicked} note=${(/** @type {Rec} */ one) => one.kind} /></section></${Page}>`;
  }
  return html`<${Taking} key=${rec.id} notebook=${notebook} rec=${rec} zone=${zone} />`;
}

/** @param {{notebook: import('../session.js').Notebook, rec: Rec, zone: string}} props */
function Taking({ notebook, rec, zone }) {
  const { schema } = useSession();
  const name = `skyline-here/${rec.id}`;
  const draft = useDraft(notebook, name, { points: /** @type {Point[]} */ ([]), what: /** @type {string | null} */ (null) });
  const [is_shadow, setShadow] = useState(false);
  const [turn, setTurn] = useState(0);
  const [wanting, setWanting] = useState(false);
  const { busy, send } = useSending();
  const aim = useAim('edge');
  const spot = rec.values.position ?? null;
  const set = useRecords(notebook, () => setHere(notebook, spot), [turn]) ?? null;
  const known = useRecords(notebook, () => notebook.byIndex('skyline', 'pin', rec.id), [rec.id]) ?? [];
  const sector = useRecords(notebook, () => sectorAt(spot, zone), []);
  if (draft.values === undefined) return html`<${Page} title=${words.title} up="write" />`;
  const { points, what } = draft.values;
  const what_field = fieldIn(schema, 'skyline', 'nodes').item?.fields?.find((one) => one.name === 'what');

  const sun = async (/** @type {boolean} */ is_on) => {
    const at_ms = Date.now(); // the tap itself, before anything is written
    await send(async () => {
      const { group } = await notebook.save(sunEventEdits({ pin: rec.id, is_on, at_ms, zone }), { label: is_on ? words.on : words.off });
      sayable(notebook, group, is_on ? words.saved_on : words.saved_off);
    });
  };
  const add = (/** @type {Point} */ point) => {
    setWanting(false);
    draft.put({ points: withPoint(draft.latest().points, point) });
  };
  const hold = async () => {
    const { heading, tilt } = aim.hold();
    void aim.start(); // the next point is held as soon as it is aimed at
    if (heading === null || tilt === null) return;
    const read = bearingHeld(heading, set);
    const known = spot === null ? read : await bearingTrue(notebook, read, spot, { wait: false });
    const figure = trueFigure(known);
    // By the shadow it is true; else it stays as the compass read it, and the engine makes it true.
    const by_shadow = read.how === 'sun shadow';
    add({ azimuth_deg: by_shadow ? figure.true_deg : heading.read_deg, altitude_deg: tilt.deg, what: draft.latest().what, how: 'aimed', reference: by_shadow ? 'true' : 'magnetic', azimuth_plus_minus_deg: known.plus_minus_deg ?? 10, altitude_plus_minus_deg: tilt.plus_minus_deg });
  };
  const save = async () => {
    if (points.length === 0) return setWanting(true);
    await send(async () => {
      const { group } = await notebook.save(skylineEdits(points, { pin: rec.id, at_ms: Date.now(), zone, newId: () => newId(Date.now()) }), { label: words.title, draft: name });
      sayable(notebook, group);
      await draft.drop();
      aim.stop();
    });
    return undefined;
  };
  const light = { label: done.light, onAct: () => go('light', { query: { perch: rec.id } }) };
  return html`<${Page} title=${words.title} kicker=${nameOf(rec)} up="write" act=${points.length > 0 || rec.kind !== 'perch' ? { label: words.save, onAct: save, disabled: busy } : light}>
    <${Kept} kept_at=${draft.kept_at} onDrop=${() => draft.drop()} />
    <p class="soft">${words.known(countBySource(known))}</p>
    <section><h2>${words.sun}</h2><p class="help">${words.sun_help}</p>
      <div class="two"><button type="button" class="act large" onClick=${() => sun(true)}>${words.on}</button><button type="button" class="act large" onClick=${() => sun(false)}>${words.off}</button></div>
    </section>
    <section><h2>${words.aim}</h2><p class="help">${words.aim_help} ${words.aim_caution}</p>${sector ? html`<p class="help">${sector}</p>` : null}
      <div class="field"><p class="field-name">${words.what}</p><${Chips} label=${words.what} value=${what} choices=${(what_field?.choices ?? []).map((word) => ({ value: word, label: word }))} onPick=${(/** @type {string | null} */ one) => draft.put({ what: one })} /></div>
      <${Aiming} aim=${aim} onHold=${hold} />
      ${spot === null ? null : html`<button type="button" class="act other" onClick=${() => (aim.stop(), setShadow(true))}>${set ? line_words.shadow_set : line_words.shadow}</button>`}
    </section>
    <${TypedPoint} what=${what} onAdd=${add} />
    <section><h2>${words.points}</h2>
      <p class="wrong" role="alert">${wanting ? words.needs : ''}</p>
      ${points.length === 0 ? html`<p class="soft">${words.no_points}</p>` : html`<${Drawing} points=${points} /><ul class="points" aria-label=${words.points}>${alongHorizon(points).map((one) => html`<li key=${`${one.how}${one.reference}${one.azimuth_deg}`}><span><b>${number(one.azimuth_deg, 0)}° ${compassPoint(one.azimuth_deg)[0]}</b> ${words[one.reference]}, <b>${number(one.altitude_deg, 1)}°</b> ${one.what ?? ''}</span><button type="button" class="act other" onClick=${() => draft.put({ points: points.filter((other) => other !== one) })}>${words.remove}<span class="hidden">: ${number(one.azimuth_deg, 0)}°</span></button></li>`)}</ul>`}
    </section>
    ${is_shadow && spot !== null ? html`<${ShadowSheet} notebook=${notebook} here=${spot} isSet=${set !== null} onSet=${() => (setTurn(turn + 1), setShadow(false))} onClose=${() => setShadow(false)} />` : null}
  </${Page}>`;
}

/** @param {readonly Rec[]} recs @returns {[string, number][]} */
function countBySource(recs) {
  /** @type {Map<string, number>} */
  const counts = new Map();
  for (const { values } of recs) counts.set(values.source, (counts.get(values.source) ?? 0) + 1);
  return [...counts];
}

/** What the phone reads now, and the tap that holds it. @param {{aim: ReturnType<typeof useAim>, onHold: () => void}} props */
function Aiming({ aim, onHold }) {
  const { heading, tilt } = aim;
  if (!aim.is_on) {
    return html`<button type="button" class="act large" onClick=${() => void aim.start()}>${words.start}</button>
      <p class="help" role="status">${aim.trouble ? line_words.no_compass[aim.trouble] : ''}</p>`;
  }
  return html`<div class="two">
      ${heading !== null && tilt !== null
        ? html`<button type="button" class="act large held" onClick=${onHold}><span class="value">${bearing(heading.read_deg)}, ${number(tilt.deg, 1)}°</span><span class="word">${words.hold}</span></button>`
        : html`<button type="button" class="act large" disabled>${words.wait}</button>`}
      <button type="button" class="act large" onClick=${aim.stop}>${words.stop}</button>
    </div>
    <p class="help" role="status">${aim.trouble ? line_words.no_compass[aim.trouble] : ''}</p>`;
}

/** @param {{what: string | null, onAdd: (point: Point) => void}} props */
function TypedPoint({ what, onAdd }) {
  const empty = { azimuth: /** @type {any} */ (null), altitude: /** @type {any} */ (null) };
  const [said, setSaid] = useState(empty);
  const [wrong, setWrong] = useState('');
  const [round, setRound] = useState(0);
  const add = () => {
    const { azimuth, altitude } = said;
    if (!(typeof azimuth === 'number' && azimuth >= 0 && azimuth <= 360)) return setWrong(words.not_azimuth);
    if (!(typeof altitude === 'number' && altitude >= -10 && altitude <= 90)) return setWrong(words.not_altitude);
    setWrong('');
    setSaid(empty);
    setRound(round + 1);
    onAdd({ azimuth_deg: azimuth, altitude_deg: altitude, what, how: 'typed', reference: 'true' });
    return undefined;
  };
  const box = (/** @type {'azimuth' | 'altitude'} */ name) => html`<div class="field"><label class="field-name" for=${name}>${words[name]}</label><div class="exact"><${NumberBox} key=${round} id=${name} value=${said[name]} invalid=${wrong !== ''} describedBy="point-wrong" onValue=${(/** @type {any} */ value) => setSaid({ ...said, [name]: value })} /><span class="unit">°</span></div></div>`;
  return html`<section><h2>${words.typed}</h2><div class="two">${box('azimuth')}${box('altitude')}</div>
    <p class="wrong" id="point-wrong" role="alert">${wrong}</p>
    <button type="button" class="act other" onClick=${add}>${words.add}</button></section>`;
}

/** @param {{lat: number, lon: number} | null} spot @param {string} zone @returns {Promise<string>} over which part of the horizon it matters */
async function sectorAt(spot, zone) {
  if (spot === null) return '';
  const date = dateOf(Date.now(), zone);
  const ask = (/** @type {string} */ session) => engine().ask('sector', { position: { lat: spot.lat, lon: spot.lon }, date, session }, { subject: `sector/${session}/${spot.lat.toFixed(2)}/${spot.lon.toFixed(2)}`, until: date });
  const said = await Promise.all([ask('dawn'), ask('dusk')]).catch(() => []);
  return said.map((one) => one.answer.sentence).join(' ');
}

/** @param {import('../session.js').Notebook} notebook */
async function pins(notebook) {
  const [perches, vantages, sites] = await Promise.all([notebook.all('perch'), notebook.all('vantage'), notebook.all('site')]);
  return { pins: [...perches, ...vantages], zones: new Map(sites.map((one) => [one.id, String(one.values.zone ?? ownZone())])) };
}
