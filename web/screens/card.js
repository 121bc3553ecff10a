/**
 * The outing card of one site and session: whether to go, when, and the sightlines in order. What a person
 * expects of wind and sky, and the shutter wanted, are typed in two taps and kept; the card is ranked anew.
 * Not for: what any of it says (the engine).
 *
 * @typedef {import('../engine/asking.js').Wanted} Wanted
 * @typedef {import('../engine/plans.js').Typed} Typed
 * @typedef {import('../session.js').Notebook} Notebook
 */

import { html } from '../doors/htm.js';
import { useEffect, useMemo, useState } from '../doors/preact.js';
import { cardRequest } from '../engine/asking.js';
import { gatheringOf } from '../engine/gathering.js';
import { UNTYPED, besides, cardSubject, choose, chosen, meantAt, notCounted, typedFor, typedKey } from '../engine/plans.js';
import { withPresence } from '../engine/presence.js';
import { Chips } from '../parts/chips.js';
import { Page } from '../parts/page.js';
import { say } from '../parts/snackbar.js';
import { go } from '../route.js';
import { useRecords } from '../session.js';
import { laterDate } from '../times.js';
import { app } from '../words.js';
import { card as words, outing } from '../words_outing.js';
import { routine } from '../words_routine.js';
import { Age, Trouble, useAnswer, useEngine } from './answered.js';
import { handOver } from './card_file.js';
import { Line } from './card_line.js';
import { Arrivals, Going, Times } from './card_rest.js';
import { Expected } from './card_typed.js';
import './outing_styles.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params }) {
  const { site = '', date = '' } = params;
  const session = params.session === 'dusk' ? 'dusk' : 'dawn';
  const [turn, setTurn] = useState(0);
  const meant = useRecords(notebook, () => meaning(notebook, site), [site, turn]);
  const put = (/** @type {import('../engine/plans.js').Chosen} */ more) => void choose(notebook, { site, ...more }).then(() => setTurn(turn + 1));
  const [typed, setTyped] = useTyped(notebook, site, date, session);
  const is_ready = useEngine().phase === 'ready';
  const wanted = useMemo(() => {
    if (!meant?.species || !meant.kit || typed === undefined) return null;
    const { wind, sky, behaviour } = typed;
    return /** @type {Wanted} */ ({ site, species: meant.species, also: meant.also, kit: meant.kit, on: date, session, behaviour, sky, wind });
  }, [site, date, session, meant, typed]);
  const { said, busy, trouble, again } = useAnswer(
    async () => {
      if (wanted === null) return null;
      const records = await gatheringOf(notebook).at(site);
      return { name: 'outing_card', request: cardRequest(records, await withPresence(records, wanted)), how: { subject: cardSubject(wanted), until: date } };
    },
    [wanted, is_ready],
    { besides: async () => (wanted === null ? [] : besides(wanted)) },
  );
  const card = said?.answer;
  useEffect(() => {
    if (card) void notebook.keepSetting('outing_opened', opened(site, date, session, card)).catch(() => {});
  }, [card]);

  if (meant === null) return html`<${Page} title=${app.nothing_here} up="choice"><p>${outing.empty}</p></${Page}>`;
  const step = (/** @type {number} */ by) => () => {
    const next = session === 'dawn' ? 'dusk' : 'dawn';
    const days = by > 0 === (session === 'dusk') ? by : 0;
    go(`card/${site}/${laterDate(date, days)}/${next}`, { instead: true });
  };
  const more = [
    { label: words.earlier, onAct: step(-1) },
    { label: words.later, onAct: step(1) },
  ];
  const act = { label: words.hand_over, disabled: !card, onAct: () => void handed(notebook, wanted) };
  const title = card?.title;
  return html`<${Page} title=${title ? title.site : (meant?.name ?? outing.title)} kicker=${`${outing[session]}, ${title?.day ?? date}`} up="choice" act=${act} more=${more}>
    <${Age} said=${said} busy=${busy} without=${card && typed ? notCounted(card, typed) : []} />
    ${typed === undefined ? null : html`<${Expected} typed=${typed} card=${card} onTyped=${setTyped} />`}
    ${meant && html`<${Animal} site=${site} meant=${meant} onChosen=${put} />`}
    <${Trouble} trouble=${trouble} again=${again} />
    ${card ? html`<${Told} card=${card} />` : null}
  </${Page}>`;
}

/** @param {{card: any}} props */
function Told({ card }) {
  const ends = spanOf(card);
  return html`<div class="card">
    <p class="verdict">${card.verdict}</p>
    ${card.headline ? html`<p>${card.headline}</p>` : null}
    <p>${card.routine}</p>
    ${card.session.remarks.map((/** @type {string} */ remark) => html`<p>${remark}</p>`)}
    <${Times} card=${card} />
    <${Arrivals} card=${card} />
    <section class="lines"><h2>${words.order}</h2>
      ${card.sightlines.length === 0 ? html`<p>${words.none}</p>` : null}
      ${card.sightlines.map((/** @type {any} */ line) => html`<${Line} key=${line.id} line=${line} card=${card} ends=${ends} />`)}
    </section>
    <${Going} card=${card} />
  </div>`;
}

/** Animal and kit: they stay as chosen. @param {{site: string, meant: NonNullable<Awaited<ReturnType<typeof meaning>>>, onChosen: (more: import('../engine/plans.js').Chosen) => void}} props */
function Animal({ site, meant, onChosen }) {
  const [open, setOpen] = useState(false);
  const nameIn = (/** @type {import('../engine/asking.js').Plain[]} */ some, /** @type {string | undefined} */ id) => some.find((one) => one.id === id)?.name ?? '';
  const pick = (/** @type {import('../engine/asking.js').Plain[]} */ some) => some.map((one) => ({ value: one.id, label: one.name }));
  return html`<section class="meant">
    <button type="button" class="act" aria-expanded=${open} onClick=${() => setOpen(!open)}>${[meant.species, ...meant.also].map((id) => nameIn(meant.animals, id)).join(', ')} · ${nameIn(meant.kits, meant.kit)}</button>
    ${open
      ? html`<p class="soft" id="meant-species">${words.species}</p><${Chips} labelled="meant-species" needed choices=${pick(meant.animals)} value=${meant.species} onPick=${(/** @type {string} */ id) => onChosen({ species: { [site]: id } })} />
          ${meant.animals.length > 1 ? html`<p class="soft" id="meant-also">${routine.also}</p><${Chips} labelled="meant-also" many choices=${pick(meant.animals.filter((one) => one.id !== meant.species))} value=${meant.also} onPick=${(/** @type {string[]} */ ids) => onChosen({ also: { [site]: ids } })} />` : null}
          <p class="soft" id="meant-kit">${words.kit}</p><${Chips} labelled="meant-kit" needed choices=${pick(meant.kits)} value=${meant.kit} onPick=${(/** @type {string} */ id) => onChosen({ kit: id })} />`
      : null}
  </section>`;
}

/**
 * What was typed for a session is kept: it is dark when it is read.
 * @param {Notebook} notebook
 * @param {string} site
 * @param {string} date
 * @param {string} session
 * @returns {[Typed | undefined, (more: Partial<Typed>) => void]}
 */
function useTyped(notebook, site, date, session) {
  const [typed, setTyped] = useState(/** @type {Typed | undefined} */ (undefined));
  useEffect(() => {
    setTyped(undefined);
    void typedFor(notebook, site, date, session).then(setTyped);
  }, [site, date, session]);
  const put = (/** @type {Partial<Typed>} */ more) => {
    const next = { ...UNTYPED, ...typed, ...more, at: Date.now() };
    setTyped(next);
    void notebook.keepSetting(typedKey(site, date, session), next).catch(() => {});
  };
  return [typed, put];
}

/** @param {Notebook} notebook @param {string} site */
async function meaning(notebook, site) {
  const [records, wished] = await Promise.all([gatheringOf(notebook).at(site), chosen(notebook)]);
  const here = records.site?.find((one) => one.id === site);
  if (here === undefined) return null;
  return { name: here.name, animals: records.species ?? [], kits: records.kit ?? [], ...meantAt(records, site, wished) };
}

/** From the first to the last minute that any strip shows. @param {any} card */
function spanOf(card) {
  const all = [...card.sightlines, ...card.barred].flatMap((line) => line.stretches.clear);
  if (all.length === 0) return null;
  const times = all.flatMap((one) => [one.from.utc, one.to.utc]).sort();
  return { start: times[0], end: times[times.length - 1] };
}

/** @param {string} site @param {string} date @param {'dawn' | 'dusk'} session @param {any} card @returns {import('../engine/plans.js').Opened} */
function opened(site, date, session, card) {
  const [start, end] = [card.session.start, card.session.end].map((at) => (at === null ? null : Date.parse(at.utc)));
  return { site, date, session, start: start ?? null, end: end ?? null };
}

/** @param {Notebook} notebook @param {Wanted | null} wanted */
async function handed(notebook, wanted) {
  if (wanted === null) return;
  const did = await handOver(notebook, wanted).catch(() => false);
  if (did !== null) say(did ? words.handed : words.not_handed);
}
