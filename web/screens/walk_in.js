/**
 * The walk-in timed on the way: started at the car, stopped at the vantage, in the dark or by day, with its legs
 * where one marks or writes them. Not for: what a walk-in means for an outing (the engine's).
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { newId } from '../notebook/ids.js';
import { Chips } from '../parts/chips.js';
import { NumberBox } from '../parts/field_number.js';
import { DistanceField } from '../parts/field_distance.js';
import { Page } from '../parts/page.js';
import { useHalfWritten } from '../parts/half_written.js';
import { say } from '../parts/snackbar.js';
import { useHere } from '../parts/standing.js';
import { Typed } from '../parts/typed.js';
import { compassPoint } from '../rough.js';
import { go } from '../route.js';
import { positionOf, takeFix } from '../sensing/fix.js';
import { useRecords, useSession } from '../session.js';
import { clock } from '../times.js';
import { distance, number } from '../units.js';
import { saved as saved_words } from '../words.js';
import { walk as words } from '../words_write.js';
import { useAim } from './aiming.js';
import { BearingAsk, useBearing } from './bearing_ask.js';
import { PickNear } from './near.js';
import { trueFigure } from './pin_edits.js';
import { fieldIn } from './pin_fields.js';
import { useSending } from './write_draft.js';
import { DRAFT, NO_WALK, elapsed, keepWalk, minutesOf, turned, walkEdits, walkIn, walked_ms } from './walk_state.js';
import './write_styles.js';

/** @typedef {import('./walk_state.js').Walk} Walk */

/** @param {import('../types.d.ts').ScreenProps} props `query.vantage`: where it leads */
export function Screen({ notebook, query }) {
  const found = useRecords(notebook, () => pins(notebook));
  const [walk, setWalk] = useState(/** @type {Walk | null | undefined} */ (undefined));
  const now = useRef(/** @type {Walk | null} */ (null));
  const [stood, setStood] = useState(/** @type {{lat: number, lon: number} | null} */ (null));
  const here = useHere(setStood);
  const [wrong, setWrong] = useState(/** @type {Record<string, string>} */ ({}));
  const [marking, setMarking] = useState('');
  const { busy, send } = useSending();
  const [, tick] = useState(0);
  useHalfWritten(Boolean(walk));
  const put = (/** @type {Partial<Walk> | null} */ more) => {
    const next = more === null ? null : { ...(now.current ?? { ...NO_WALK, vantage: query.vantage ?? null }), ...more };
    now.current = next;
    setWalk(next);
    setWrong({});
    return keepWalk(notebook, next).catch(() => say(saved_words.not_saved));
  };
  useEffect(() => {
    let is_gone = false;
    void walkIn(notebook).then((kept) => {
      if (is_gone) return;
      now.current = kept;
      setWalk(kept);
    });
    return () => void (is_gone = true);
  }, []);
  const is_running = Boolean(walk && walk.start_ms !== null && walk.stop_ms === null);
  useEffect(() => {
    if (!is_running) return undefined;
    const timer = setInterval(() => tick((turn) => turn + 1), 1000);
    return () => clearInterval(timer);
  }, [is_running]);
  if (found === undefined || walk === undefined) return html`<${Page} title=${words.title} up="write" />`;

  /** The position comes when it comes; the leg is made of it then. @param {boolean} is_first */
  const mark = (is_first) => {
    setMarking(is_first ? words.start_marking : words.marking);
    const taken = takeFix({ for_s: 20, good_m: 8 });
    void taken.done.then(async (fix) => {
      if (typeof fix === 'string') return setMarking(is_first ? words.start_not_marked : words.not_marked);
      if (now.current !== null) await put(turned(now.current, positionOf(fix)));
      return setMarking(is_first ? words.start_marked : words.marked);
    });
  };
  const start = () => {
    put({ start_ms: Date.now(), stop_ms: null });
    mark(true);
  };
  const stop = () => {
    put({ stop_ms: Date.now() });
    here.take();
  };
  const throwAway = () => {
    const before = now.current;
    put(null);
    say(words.dropped, async () => put(before));
  };
  const save = async () => {
    if (now.current === null) return undefined;
    const minutes = minutesOf(now.current, Date.now());
    const { vantage, in_dark } = now.current;
    if (typeof minutes !== 'number' || !(minutes >= 0 && minutes <= 1440)) return setWrong({ minutes: words.needs_minutes });
    // A pace by day taken for one in the dark sends somebody out too late: neither is guessed.
    if (in_dark === null) return setWrong({ light: words.needs_light });
    if (vantage === null || !found.vantages.some((one) => one.id === vantage)) return setWrong({ vantage: words.needs_vantage });
    const walked = now.current;
    await send(async () => {
      const known = await notebook.byIndex('walk_in', 'vantage', vantage);
      const { group } = await notebook.save(walkEdits(walked, minutes, known, () => newId(Date.now())), { label: words.title, draft: DRAFT });
      put(null);
      // The time cannot be taken again: what is undone is half-written as before.
      say(saved_words.on_phone, async () => {
        await notebook.undo(group);
        await keepWalk(notebook, walked);
        go('walk-in');
      });
      go(`vantage/${vantage}`, { instead: true });
    });
    return undefined;
  };
  const light = html`<div class=${wrong.light ? 'field bad' : 'field'}><p class="field-name">${words.light}</p><${Chips} label=${words.light} large needed value=${walk?.in_dark} choices=${[{ value: true, label: words.dark }, { value: false, label: words.day }]} onPick=${(/** @type {boolean} */ in_dark) => put({ in_dark })} /><p class="wrong" role="alert">${wrong.light ?? ''}</p></div>`;

  if (walk === null || (walk.start_ms === null && walk.minutes === null)) {
    return html`<${Page} title=${words.title} lead=${words.lead} up="write" act=${{ label: words.start, onAct: start }} more=${[{ label: words.by_hand, onAct: () => put({ minutes: '' }) }]}>
      <p class="caution strong">${words.caution}</p>${light}
    </${Page}>`;
  }
  const legs = html`<${Legs} notebook=${notebook} walk=${walk} put=${put} here=${stood ?? walk.last} />`;
  if (is_running) {
    return html`<${Page} title=${words.title} kicker=${`${words.running} ${clock(walk.start_ms ?? 0)}`} up="write" act=${{ label: words.stop, onAct: stop }} more=${[{ label: words.turn, onAct: () => mark(false) }]}>
      <p class="walk-clock"><span class="hidden">${words.elapsed} </span>${elapsed(walked_ms(walk, Date.now()))}</p>
      <p class="caution strong">${words.caution}</p>
      <p class="help" role="status">${marking}</p>${light}${legs}
    </${Page}>`;
  }
  const spot = stood ?? walk.last;
  const more = [...(walk.start_ms === null ? [] : [{ label: words.again, onAct: () => put({ stop_ms: null, minutes: null }) }]), { label: words.drop, onAct: throwAway }];
  return html`<${Page} title=${words.title} up="write" act=${{ label: words.save, onAct: save, disabled: busy }} more=${more}>
    <div class="form">
      <div class=${wrong.minutes ? 'field bad' : 'field'}><label class="field-name" for="minutes">${words.minutes}</label><div class="exact"><${NumberBox} id="minutes" value=${minutesOf(walk, Date.now())} invalid=${wrong.minutes !== undefined} describedBy="minutes-wrong" onValue=${(/** @type {any} */ minutes) => put({ minutes: minutes ?? '' })} /><span class="unit">min</span></div><p class="wrong" id="minutes-wrong" role="alert">${wrong.minutes ?? ''}</p></div>
      ${light}
      <div class=${wrong.vantage ? 'field bad' : 'field'}><p class="field-name">${words.to}</p><${PickNear} id="to" label=${words.to} empty=${words.to_none} recs=${found.vantages} from=${spot} chosen=${[walk.vantage ?? '']} onPick=${(/** @type {string} */ vantage) => put({ vantage })} /><p class="wrong" role="alert">${wrong.vantage ?? ''}</p></div>
      <div class="field"><p class="field-name">${words.from}</p><${PickNear} id="from" label=${words.from} empty=${words.from_none} recs=${found.landmarks} from=${spot} chosen=${[walk.start ?? '']} onPick=${(/** @type {string} */ one) => put({ start: walk.start === one ? null : one })} /></div>
      ${legs}
      <div class="field"><label class="field-name" for="cautions">${words.cautions}</label><${Typed} id="cautions" kind="lines" value=${walk.cautions} onText=${(/** @type {string} */ cautions) => put({ cautions })} /></div>
    </div>
  </${Page}>`;
}

/** @param {{notebook: import('../session.js').Notebook, walk: Walk, put: (more: Partial<Walk>) => void, here: {lat: number, lon: number} | null}} props */
function Legs({ notebook, walk, put, here }) {
  const { schema } = useSession();
  const [said, setSaid] = useState({ bearing: /** @type {any} */ (null), distance: /** @type {any} */ (null) });
  const [wrong, setWrong] = useState('');
  const aim = useAim();
  const direction = useBearing(notebook, here, said.bearing, (bearing) => setSaid((before) => ({ ...before, bearing })), aim);
  const add = () => {
    const { bearing, distance: far } = said;
    const is_read = typeof bearing?.read_deg === 'number' && bearing.read_deg >= 0 && bearing.read_deg <= 360;
    if (!is_read || !(typeof far?.m === 'number' && far.m >= 0.1 && far.m <= 50_000)) return setWrong(words.leg_needs);
    put({ legs: [...walk.legs, { bearing_deg: Math.round(trueFigure(bearing).true_deg) % 360, distance_m: far.m }] });
    setSaid({ bearing: null, distance: null });
    setWrong('');
    return undefined;
  };
  return html`<section><h2>${words.legs}</h2>
    ${walk.legs.length === 0 ? html`<p class="soft">${words.no_legs}</p>` : html`<ol class="points">${walk.legs.map((leg, place) => html`<li><span><b>${number(leg.bearing_deg, 0)}° ${compassPoint(leg.bearing_deg)[0]}</b>, <b>${distance(leg.distance_m)}</b></span><button type="button" class="act other" onClick=${() => put({ legs: walk.legs.filter((_, other) => other !== place) })}>${words.leg_remove}<span class="hidden">: ${words.legs} ${place + 1}</span></button></li>`)}</ol>`}
    <details class="fold"><summary>${words.leg}</summary>
      <${BearingAsk} notebook=${notebook} id="leg_bearing" label=${words.leg_bearing} here=${here} value=${said.bearing} onValue=${(/** @type {any} */ bearing) => setSaid({ ...said, bearing })} aim=${aim} said=${direction} />
      <${DistanceField} field=${fieldIn(schema, 'measurement', 'distance', { label: words.leg_distance })} id="leg_distance" value=${said.distance} troubles=${{}} zone="" onValue=${(/** @type {any} */ one) => setSaid({ ...said, distance: one })} />
      <p class="wrong" role="alert">${wrong}</p>
      <button type="button" class="act other" onClick=${add}>${words.add_leg}</button>
    </details></section>`;
}

/** @param {import('../session.js').Notebook} notebook */
async function pins(notebook) {
  const [vantages, landmarks] = await Promise.all([notebook.all('vantage'), notebook.all('landmark')]);
  return { vantages, landmarks: landmarks.filter((one) => one.values.kind !== 'hazard') };
}
