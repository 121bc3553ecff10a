/**
 * A photo taken or picked: what its file says is read, it is made small, hung on a pin, and asked for the light
 * it measured. Not for: photos as they are looked at (photo_view.js), or many from a camera's card (the server).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('./photo_facts.js').Facts} Facts
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { siteAt } from '../map/placing.js';
import { nameOf } from '../names.js';
import { newId } from '../notebook/ids.js';
import { Chips } from '../parts/chips.js';
import { Button, Page } from '../parts/page.js';
import { Photo } from '../parts/photo.js';
import { say, sayable } from '../parts/snackbar.js';
import { Placing, placeTroubles, useHere } from '../parts/standing.js';
import { Typed } from '../parts/typed.js';
import { back } from '../route.js';
import { fillInLater } from '../sensing/late_fix.js';
import { useRecords } from '../session.js';
import { moment, ownZone } from '../times.js';
import { form, saved } from '../words.js';
import { photo as words } from '../words_visit.js';
import { PickNear } from './near.js';
import { toFirstTrouble } from './pin_fields.js';
import { factsOf } from './photo_facts.js';
import { LightAsk, lightEdit } from './photo_reading.js';
import { keptOf, thumbnailOf } from './photo_small.js';
import { momentOf } from './visiting_edits.js';
import { ownVisit } from './visiting_state.js';
import { Kept, useDraft } from './write_draft.js';
import './visit_styles.js';
import './write_styles.js';

const DRAFT = 'photo-here';
const WHOLE = 'photo_whole';
/** @type {Record<string, any>} */
const EMPTY = { blob: null, facts: null, is_taken: true, at_ms: null, pin: null, caption: '', position: null };

/** @param {import('../types.d.ts').ScreenProps} props `query.pin`, `query.site`: what it is of */
export function Screen({ notebook, query }) {
  const draft = useDraft(notebook, DRAFT, EMPTY);
  const about = useRecords(notebook, () => aboutOf(notebook, query), [query.pin, query.site]);
  const here = useHere((position) => draft.put({ position, stood: position }, { quietly: true }));
  const [busy, setBusy] = useState('');
  const [wrong, setWrong] = useState(/** @type {Record<string, string>} */ ({}));
  const [is_whole, setWhole] = useState(false);
  const [small, setSmall] = useState(/** @type {string | null} */ (null));
  useEffect(() => {
    notebook.setting(WHOLE).then((kept) => setWhole(kept === true), () => {});
  }, []);
  useEffect(() => () => void (small && URL.revokeObjectURL(small)), [small]);
  if (draft.values === undefined || about === undefined) return html`<${Page} title=${words.title} up="write" />`;
  const values = draft.values;

  /** @param {Event} event @param {boolean} is_taken */
  const chosen = async (event, is_taken) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    const file = input.files?.[0];
    input.value = ''; // so that the same one can be chosen again
    if (file === undefined) return;
    setBusy(words.reading);
    try {
      const at_ms = Date.now();
      if (is_taken) here.take();
      const bytes = await file.arrayBuffer();
      const facts = factsOf(bytes); // before the pixels are made anew
      const first = await thumbnailOf(file);
      setSmall(first === null ? null : URL.createObjectURL(first));
      const kept = await keptOf(bytes, { is_whole });
      if (kept === null) return say(words.not_read);
      const before = draft.latest().blob;
      const blob = await notebook.putBlob(kept.bytes, kept.type);
      if (before !== null && before !== blob) await notebook.dropBlob(before);
      draft.put({ blob, facts, is_taken, at_ms, file_name: is_taken ? null : file.name.slice(-200), looks_right: null, tone: null, wants_light: false });
    } catch {
      say(saved.not_saved);
    } finally {
      setBusy('');
    }
  };
  const drop = async () => {
    const { blob } = draft.latest();
    setSmall(null);
    await draft.drop();
    if (blob !== null) await notebook.dropBlob(blob);
  };
  const pin = about.pins.find((one) => one.id === (values.pin ?? query.pin ?? about.visit?.id));
  const hung = pin ?? (values.pin === '' ? undefined : about.visit);
  const site = siteOf(about, hung, placeOf(values));
  const when = whenOf(values, site?.values.zone ?? ownZone());
  const save = async () => {
    if (busy !== '') return;
    const unread = values.is_taken ? placeTroubles(values.place) : {};
    setWrong(unread);
    if (unread.place !== undefined) return toFirstTrouble();
    setBusy(words.saving);
    const id = newId(Date.now());
    const { facts, caption, file_name, looks_right, is_taken } = values;
    const position = placeOf(values);
    const late = is_taken && !position ? here.handOver() : null;
    const set = {
      blob: values.blob,
      ...(site && { site: site.id }),
      ...(hung && { pin: hung.id }),
      ...(when && { at: when }),
      ...(position && { position }),
      ...(facts.bearing && { bearing: facts.bearing }),
      ...(facts.exposure && { exposure: facts.exposure }),
      ...(typeof looks_right === 'boolean' && { looks_right }),
      ...(caption.trim() && { caption: caption.trim().slice(0, 400) }),
      ...(file_name && { file_name }),
    };
    const light = site && when ? lightEdit(values, { photo: id, site: site.id, perch: hung?.kind === 'perch' ? hung.id : undefined, at: when, sky: about.visit?.values.sky, kits: about.kits }) : null;
    try {
      const { group, ids } = await notebook.save([{ kind: 'photo', record: id, set }, ...(light ? [light] : [])], { label: words.title, draft: DRAFT });
      sayable(notebook, group);
      if (late !== null && ids[0] !== undefined) void fillInLater(notebook, { id: ids[0], label: words.placed }, late).catch(() => {});
      setSmall(null);
      void draft.drop();
      back('write');
    } catch {
      say(saved.not_saved);
    } finally {
      setBusy('');
    }
  };
  if (values.blob === null) {
    return html`<${Page} title=${words.title} up="write" lead=${busy}>
      ${small === null ? null : html`<img class="photo taken" src=${small} alt=${words.title} />`}
      <section><p class="soft" id="photo-whole">${words.keep_what}</p><${Chips} large needed labelled="photo-whole" choices=${words.keeps} value=${is_whole} onPick=${(/** @type {boolean} */ one) => (setWhole(one), void notebook.keepSetting(WHOLE, one))} /></section>
      <section class="acts"><${Button} act=${{ label: words.clock, to: 'camera-clock' }} /></section>
      <section class="write-acts one"><${File} label=${words.take} capture onFile=${(/** @type {Event} */ event) => void chosen(event, true)} /><${File} label=${words.pick} onFile=${(/** @type {Event} */ event) => void chosen(event, false)} /></section>
    </${Page}>`;
  }
  const { facts } = values;
  return html`<${Page} title=${words.title} up="write" lead=${busy} act=${{ label: form.save, onAct: save, disabled: busy !== '' }}>
    <${Kept} kept_at=${draft.kept_at} onDrop=${drop} />
    <div class="taken">${small === null ? html`<${Photo} notebook=${notebook} sha256=${values.blob} alt=${words.title} />` : html`<img class="photo" src=${small} alt=${words.title} />`}</div>
    <div class="acts"><${Button} act=${{ label: words.another, onAct: drop }} /></div>
    <ul class="plain soft">${toldOf(values, when).map((one) => html`<li key=${one}>${one}</li>`)}</ul>
    ${values.is_taken ? html`<${Placing} here=${here} values=${values} put=${(/** @type {any} */ more) => (setWrong({}), draft.put(more))} trouble=${wrong.place} />` : null}
    <section><h2 id="photo-of">${words.of}</h2>
      ${about.visit ? html`<${Chips} large labelled="photo-of" choices=${[{ value: about.visit.id, label: words.this_visit }]} value=${hung?.id} onPick=${(/** @type {string | null} */ id) => draft.put({ pin: id ?? '' })} />` : null}
      <${PickNear} id="pin" label=${words.of} recs=${about.pins.filter((one) => one.kind !== 'visit')} from=${placeOf(values)} chosen=${[hung?.id ?? '']} onPick=${(/** @type {string} */ id) => draft.put({ pin: hung?.id === id ? '' : id })} />
      ${site ? html`<p class="soft">${words.site(nameOf(site))}</p>` : null}
    </section>
    <label class="search" for="caption"><span>${words.caption}</span><${Typed} id="caption" value=${values.caption} onText=${(/** @type {string} */ caption) => draft.put({ caption })} /></label>
    ${facts.exposure ? html`<${LightAsk} values=${values} put=${draft.put} kits=${about.kits} has_site=${site !== undefined && when !== undefined} />` : null}
  </${Page}>`;
}

/** A file from the camera or from what lies on the phone. @param {{label: string, capture?: boolean, onFile: (event: Event) => void}} props */
function File({ label, capture = false, onFile }) {
  const input = useRef(/** @type {HTMLInputElement | null} */ (null));
  return html`<button type="button" class="act large" onClick=${() => input.current?.click()}>${label}</button>
    <input ref=${input} type="file" hidden accept="image/*" capture=${capture ? 'environment' : null} onChange=${onFile} />`;
}

/** Where it is of: where the phone stood, for one taken now; for another, what its file says. @param {Record<string, any>} values */
function placeOf({ is_taken, position, facts }) {
  return (is_taken ? position : null) ?? facts?.position ?? null;
}

/** @param {Record<string, any>} values @param {string} zone */
function whenOf({ is_taken, at_ms, facts }, zone) {
  if (is_taken) return momentOf(at_ms, zone);
  if (facts?.at === undefined) return undefined;
  const { local, offset } = facts.at;
  if (offset !== null) return { at: `${local}${offset}`, source: 'photo', zone };
  // Its clock is taken to have been set to the place's; the page says so.
  const as_utc = Date.parse(`${local}Z`);
  const off_ms = Date.parse(`${momentOf(as_utc, zone).at.slice(0, 19)}Z`) - as_utc;
  return momentOf(as_utc - off_ms, zone, 'photo');
}

/** What is known of it, in sentences. @param {Record<string, any>} values @param {any} when */
function toldOf({ is_taken, facts }, when) {
  const told = [when === undefined ? words.no_time : words.at(moment(Date.parse(when.at), when.zone))];
  if (!is_taken && facts.at && facts.at.offset === null) told.push(words.no_zone(when.zone));
  if (!is_taken) told.push(facts.position ? words.file_place : words.no_place);
  if (!facts.exposure) told.push(words.no_exposure);
  return told;
}

/**
 * @param {Awaited<ReturnType<typeof aboutOf>>} about
 * @param {Rec | undefined} pin
 * @param {{lat: number, lon: number} | null} position
 */
function siteOf({ sites, visit, wanted }, pin, position) {
  const id = pin?.values.site ?? wanted ?? visit?.values.site ?? (position && siteAt(sites, position)?.id);
  return sites.find((one) => one.id === id);
}

/** @param {import('../session.js').Notebook} notebook @param {Record<string, string>} query */
async function aboutOf(notebook, query) {
  const visit = await ownVisit(notebook);
  const asked = query.pin === undefined ? undefined : await notebook.get(query.pin);
  const wanted = query.site || (asked?.values.site ?? visit?.values.site);
  const at = wanted === undefined ? {} : { site: wanted };
  const [sites, kits, ...pins] = await Promise.all([notebook.all('site'), notebook.all('kit'), ...['perch', 'vantage', 'landmark'].map((kind) => notebook.all(kind, at))]);
  const near = pins.flat();
  if (asked !== undefined && !near.some((one) => one.id === asked.id)) near.unshift(asked);
  return { visit, sites, kits, wanted, pins: near };
}
