/**
 * What a tap in a running visit asks before it writes: which animal, which perch, what it did. All by chips;
 * the phone's keyboard is needed for a new animal's name alone. Not for: writing (visiting_running.js).
 *
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {import('../parts/chips.js').Choice} Choice
 */

import { html } from '../doors/htm.js';
import { useId, useState } from '../doors/preact.js';
import { choicesOf, nameOf } from '../names.js';
import { newId } from '../notebook/ids.js';
import { Chips } from '../parts/chips.js';
import { chipWords } from '../parts/field_distance.js';
import { Sheet } from '../parts/sheet.js';
import { Stepper } from '../parts/stepper.js';
import { Typed } from '../parts/typed.js';
import { CHIPS } from '../rough.js';
import { address } from '../route.js';
import { fieldsOf, useSession } from '../session.js';
import { distance } from '../units.js';
import { visit as words } from '../words_visit.js';
import { Weather } from './visiting_weather.js';

const ANIMALS_SHOWN = 9;
/** Rough lengths of animals [m]: a warbler's, a thrush's, a crow's, a goose's, a deer's. */
const LENGTHS_M = [0.1, 0.2, 0.45, 0.8, 1.3, 2];
const AWAY = CHIPS.filter((chip) => chip.value_m >= 1 && chip.value_m < Infinity);

/**
 * Which animal is here. A tap on it saves; the rest may be said before.
 * @param {{animals: Rec[], onHere: (seen: {species: string, how: string, count: number | null}, name: string, first: import('../notebook/types.d.ts').Wanted[]) => void, onClose: () => void}} props
 *   first: edits that come before it: a new animal
 */
export function HereSheet({ animals, onHere, onClose }) {
  const [how, setHow] = useState('seen');
  const [count, setCount] = useState(/** @type {number | null} */ (null));
  const [is_all, setAll] = useState(false);
  const [is_new, setNew] = useState(animals.length === 0);
  const shown = is_all ? animals : animals.slice(0, ANIMALS_SHOWN);
  const hereIs = (/** @type {string} */ species) => onHere({ species, how, count }, nameOf(/** @type {Rec} */ (animals.find((one) => one.id === species))), []);
  const fresh = (/** @type {Record<string, any>} */ set) => {
    const record = newId(Date.now());
    onHere({ species: record, how, count }, set.name, [{ kind: 'species', record, set }]);
  };
  return html`<${Sheet} title=${words.here_what} onClose=${onClose}>
    <div class="asks">
      <div class="side-by-side">
        <${Chips} large needed label=${words.how} choices=${words.hows} value=${how} onPick=${setHow} />
        <div class="counted"><span>${words.count}</span><${Stepper} label=${words.count} value=${count} low=${1} high=${100_000} from=${2} onStep=${setCount} /></div>
      </div>
      ${is_new
        ? html`<${NewAnimal} onSave=${fresh} />`
        : html`<p class="soft">${words.tap_saves}</p>
            <${Chips} large label=${words.animal} choices=${choicesOf(shown)} value=${null} onPick=${hereIs} />
            <div class="acts">
              ${shown.length < animals.length ? html`<button type="button" class="act other" onClick=${() => setAll(true)}>${words.all_animals(animals.length)}</button>` : null}
              <button type="button" class="act other" onClick=${() => setNew(true)}>${words.new_animal}</button>
            </div>`}
    </div>
  </${Sheet}>`;
}

/** An animal that is not in the notebook yet, with what a record of it needs. @param {{onSave: (set: Record<string, any>) => void}} props */
function NewAnimal({ onSave }) {
  const { schema } = useSession();
  const [name, setName] = useState('');
  const [animal, setAnimal] = useState(/** @type {string | null} */ (null));
  const [length_m, setLength] = useState(/** @type {number | null} */ (null));
  const id = useId();
  const kinds = fieldsOf(schema, 'species').find((field) => field.name === 'animal')?.choices ?? [];
  const is_ready = name.trim() !== '' && animal !== null && length_m !== null;
  return html`<div class="asks">
    <label class="search" for=${id}><span>${words.name}</span><${Typed} id=${id} value=${name} onText=${setName} /></label>
    <p class="soft">${words.kind}</p><${Chips} large label=${words.kind} choices=${kinds.map((value) => ({ value, label: value }))} value=${animal} onPick=${setAnimal} />
    <p class="soft">${words.length}</p><${Chips} large label=${words.length} choices=${LENGTHS_M.map((value) => ({ value, label: distance(value) }))} value=${length_m} onPick=${setLength} />
    <div class="acts"><button type="button" class="act main" disabled=${!is_ready} onClick=${() => onSave({ name: name.trim(), animal, length_m })}>${words.save_here}</button></div>
  </div>`;
}

/**
 * Something noticed me, or something else. What it did comes last: a tap on it saves.
 * @param {{here: Rec[], animals: Rec[], named: (id: string | undefined) => string, onNoticed: (noticed: {what: string, sighting?: Rec | undefined, species?: string | undefined, distance_m: number | null, cause: string | null}) => void, onClose: () => void}} props
 */
export function NoticedSheet({ here, animals, named, onNoticed, onClose }) {
  const { schema } = useSession();
  const [who, setWho] = useState(/** @type {string | null} */ (here.length === 1 ? (here[0]?.id ?? null) : null));
  const [away_m, setAway] = useState(/** @type {number | null} */ (null));
  const [cause, setCause] = useState(/** @type {string | null} */ ('me'));
  const whats = fieldsOf(schema, 'reaction').find((field) => field.name === 'what')?.choices ?? [];
  const some = here.length > 0 ? here.map((one) => ({ value: one.id, label: named(one.values.species) })) : choicesOf(animals.slice(0, ANIMALS_SHOWN));
  const did = (/** @type {string} */ what) => {
    const sighting = here.find((one) => one.id === who);
    onNoticed({ what, sighting, species: sighting === undefined ? (who ?? undefined) : undefined, distance_m: away_m, cause });
  };
  return html`<${Sheet} title=${words.noticed} onClose=${onClose}>
    <div class="asks">
      ${some.length > 0 ? html`<p class="soft">${words.who_noticed}</p><${Chips} large label=${words.who_noticed} choices=${some} value=${who} onPick=${setWho} />` : null}
      <p class="soft">${words.away}</p><${Chips} large label=${words.away} choices=${AWAY.map((chip) => ({ value: chip.value_m, label: chipWords(chip) }))} value=${away_m} onPick=${setAway} />
      <p class="soft">${words.cause}</p><${Chips} large label=${words.cause} choices=${words.causes} value=${cause} onPick=${setCause} />
      <div class="stuck"><p class="soft">${words.did}</p><div class="big-acts">${whats.map((what) => html`<button type="button" class="act large" key=${what} onClick=${() => did(what)}>${what}</button>`)}</div></div>
    </div>
  </${Sheet}>`;
}

/**
 * One of a few.
 * @param {{title: string, choices: Choice[], empty?: string, onPick: (value: string) => void, onClose: () => void}} props
 */
export function PickSheet({ title, choices, empty = '', onPick, onClose }) {
  return html`<${Sheet} title=${title} onClose=${onClose}>
    ${choices.length === 0 ? html`<p>${empty}</p>` : html`<div class="big-acts">${choices.map((one) => html`<button type="button" class="act large" key=${one.value} onClick=${() => onPick(one.value)}>${one.label}</button>`)}</div>`}
    ${title === words.where_to ? html`<div class="acts"><a class="act other" href=${address('vantage-here')}>${words.new_vantage}</a></div>` : null}
  </${Sheet}>`;
}

/**
 * The weather as it is now; one Save.
 * @param {{visit: Rec, onSave: (more: Record<string, any>) => void, onClose: () => void}} props
 */
export function WeatherSheet({ visit, onSave, onClose }) {
  const [more, setMore] = useState(/** @type {Record<string, any>} */ ({}));
  const is_said = Object.keys(more).length > 0;
  return html`<${Sheet} title=${words.set_weather} onClose=${onClose} acts=${[{ label: words.keep, onAct: () => onSave(more), disabled: !is_said }]}>
    <${Weather} values=${{ ...visit.values, ...more }} onValue=${(/** @type {Record<string, any>} */ one) => setMore({ ...more, ...one })} />
  </${Sheet}>`;
}
