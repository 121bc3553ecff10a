/**
 * A card handed over as one file that needs nothing else: opened on any phone, printed, kept. A sensitive place
 * goes by its code name alone, and neither the file's name nor its title tells of any place.
 * Not for: the card on the screen (card.js), or the page made for printing (the server's).
 *
 * @typedef {import('../engine/asking.js').Wanted} Wanted
 */

import { cardRequest } from '../engine/asking.js';
import { NoAnswer, engine } from '../engine/engine.js';
import { gatheringOf } from '../engine/gathering.js';
import { CASES, caseOf } from '../engine/moments.js';
import { cardSubject, typedFor } from '../engine/plans.js';
import { withPresence } from '../engine/presence.js';
import { moment } from '../times.js';
import { card as words } from '../words_outing.js';
import { giveFile } from './file_out.js';

const LOOK = `body{font:16px/1.45 system-ui,sans-serif;max-width:42rem;margin:1rem auto;padding:0 1rem;color:#000;background:#fff}
h1{font-size:1.5rem;margin:0}h2{font-size:1.1rem;margin:1.4rem 0 .3rem;border-top:2px solid}p,ul{margin:.3rem 0}table{border-collapse:collapse}
td,th{padding:.15rem .8rem .15rem 0;text-align:left;vertical-align:top}.v{font-weight:700;font-size:1.15rem}svg{width:100%;height:26px;display:block}
article{break-inside:avoid;margin:.9rem 0}@media(prefers-color-scheme:dark){body{color:#eee;background:#000}}`;
const FILLS = /** @type {Record<string, string>} */ ({ dark: 'none', 'sky light': 'url(#a)', sun: 'url(#b)', good: 'currentColor' });

/**
 * Give a card to the share sheet, else to the downloads. Answers true where it was given, null where the person
 * thought better of it.
 * @param {import('../session.js').Notebook} notebook
 * @param {Wanted} wanted
 */
export async function handOver(notebook, wanted) {
  const asked = { ...wanted, discreet: true };
  const records = await gatheringOf(notebook).at(wanted.site);
  const request = cardRequest(records, await withPresence(records, asked));
  const is_marked = isMarked(request);
  const { answer, at } = await engine().ask('outing_card', request, { subject: cardSubject(asked), until: wanted.on }).catch(async (trouble) => {
    // The kept card is the same, where nothing on it is sensitive.
    const kept = trouble instanceof NoAnswer && !is_marked ? await engine().stored(cardSubject(wanted)) : null;
    if (kept?.answer.sensitive === false) return kept;
    throw trouble;
  });
  // What is kept may be older than the mark.
  if (is_marked && answer.sensitive !== true) throw new NoAnswer();
  const name = `outing-${wanted.on}-${wanted.session}.html`;
  const typed = await typedFor(notebook, wanted.site, wanted.on, wanted.session);
  const file = new File([cardFile(answer, new Date(at), typed.at)], name, { type: 'text/html' });
  if (navigator.canShare?.({ files: [file] })) {
    try {
      await navigator.share({ files: [file] });
      return true;
    } catch (fault) {
      if (fault instanceof DOMException && fault.name === 'AbortError') return null;
      // refused after all: the downloads take it
    }
  }
  giveFile(file, name);
  return true;
}

/** Tell whether anything on a card is marked as sensitive by now, as the engine tells it of what it answers. @param {Record<string, any>} request */
function isMarked({ site, species, also = [], perches = [], vantages = [] }) {
  const marks = [...[site, ...perches, ...vantages].map((one) => one?.sensitivity), ...[species, ...also.map((/** @type {any} */ one) => one.species)].map((one) => one?.places)];
  return marks.some((mark) => (mark ?? 'open') !== 'open');
}

/**
 * Write a card as a page. Pure: everything in it is escaped.
 * @param {any} card
 * @param {Date} at when it was worked out
 * @param {number} typed_at when its wind, sky or shutter was typed, 0 for never
 */
export function cardFile(card, at, typed_at) {
  const { title, asked, session } = card;
  const about = [title.optic, `${asked.behaviour} ${asked.shutter}`, asked.sky ?? `${words.sky}: ${words.three}`, asked.wind ?? `${words.wind}: ${words.not_typed}`];
  if (typed_at > 0) about.push(words.typed_at(moment(typed_at)));
  const reached = card.arrivals.map((/** @type {any} */ one) => rowOf('td', `${one.behaviour} ${one.shutter}`, (sky) => one[sky]?.clock ?? words.never));
  const until = words.shutter_from[/** @type {'dawn' | 'dusk'} */ (title.session)];
  const times = card.timeline.map((/** @type {any} */ one) => `<tr><td>${safe(one.at.clock)}</td><td><b>${safe(one.what)}</b> ${safe(one.note ?? '')}</td></tr>`).join('');
  const barred = card.barred.map((/** @type {any} */ line) => `<li>${safe(line.name)}: ${safe(line.barred.join(' '))}</li>`);
  return `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'"><title>${safe(words.file_title)}</title><style>${LOOK}</style>
<svg style="height:0;position:absolute" aria-hidden="true"><defs><pattern id="a" width="5" height="5" patternUnits="userSpaceOnUse"><circle cx="1.5" cy="1.5" r="1" fill="currentColor"/></pattern><pattern id="b" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M1 0v5" stroke="currentColor" stroke-width="1.6"/></pattern></defs></svg>
<h1>${safe(title.site)}</h1><p>${safe(title.session)}, ${safe(title.day)} · ${safe(title.species)} · ${safe(about.join(' · '))}</p>
<p class="v">${safe(card.verdict)}</p><p>${safe(card.routine)}</p>${session.remarks.map((/** @type {string} */ one) => `<p>${safe(one)}</p>`).join('')}
<table>${times}</table>${reached.length > 0 ? `<h2>${safe(until)}</h2><table>${rowOf('th', '', (sky) => words.skies[sky])}${reached.join('')}</table>` : ''}<h2>${safe(words.order)}</h2>${card.sightlines.map((/** @type {any} */ line) => lineOf(line, caseOf(card))).join('')}
${list(words.barred, barred)}<h2>${safe(words.going)}</h2>${card.walk_in ? `<p>${safe(words.walk_in)} ${safe(card.walk_in.words)}</p>` : ''}<p>${safe(card.permission)}</p><p>${safe(card.access ?? '')}</p>
${list(words.cautions, items(card.cautions))}${list(words.not_known, items(card.not_known))}<p>${safe(words.worked_out(at.toISOString().slice(0, 16).replace('T', ' ')))}</p></html>`;
}

/** @param {'td' | 'th'} tag @param {string} name @param {(sky: typeof CASES[number]) => string} said */
function rowOf(tag, name, said) {
  return `<tr>${[name, ...CASES.map(said)].map((one) => `<${tag}>${safe(one)}</${tag}>`).join('')}</tr>`;
}

/** @param {any} line @param {string} sky */
function lineOf(line, sky) {
  const said = [line.clears_words, line.line_words, line.level, line.background, line.presence, line.stay, line.left, `${words.winds}: ${line.bad_winds}`].filter(Boolean);
  const reasons = [...line.for, ...line.against, ...line.notes].join(' ');
  return `<article><b>${line.rank} ${safe(line.name)}</b> ${safe(line.best_words)}${strip(line.stretches[sky])}<p>${safe(said.join(' · '))}</p><p>${safe(reasons)}</p></article>`;
}

/** @param {any[]} stretches */
function strip(stretches) {
  if (stretches.length === 0) return '';
  const at = (/** @type {any} */ moment) => Date.parse(moment.utc);
  const [start, end] = [at(stretches[0].from), at(stretches[stretches.length - 1].to)];
  const x = (/** @type {any} */ moment) => ((360 * (at(moment) - start)) / (end - start)).toFixed(1);
  const cells = stretches.map((one) => `<rect x="${x(one.from)}" width="${(Number(x(one.to)) - Number(x(one.from))).toFixed(1)}" y="1" height="20" fill="${FILLS[one.state] ?? 'none'}"/>`);
  return `<svg viewBox="0 0 360 22" preserveAspectRatio="none"><rect width="360" height="20" y="1" fill="none" stroke="currentColor"/>${cells.join('')}</svg><small>${safe(stretches[0].from.clock)}–${safe(stretches[stretches.length - 1].to.clock)}</small>`;
}

/** @param {string} title @param {string[]} lines ready made */
function list(title, lines) {
  return lines.length === 0 ? '' : `<h2>${safe(title)}</h2><ul>${lines.join('')}</ul>`;
}

/** @param {string[]} sentences */
function items(sentences) {
  return sentences.map((one) => `<li>${safe(one)}</li>`);
}

/** @param {string} text */
function safe(text) {
  return String(text).replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);
}
