/**
 * Where to stand, or what background to look for, so that it blurs as wished or as another kit blurs it.
 * Not for: places on a map, or what a kit makes of it otherwise (kit.js).
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { Chips } from '../parts/chips.js';
import { Empty } from '../parts/empty.js';
import { Facts } from '../parts/figure.js';
import { Page } from '../parts/page.js';
import { distance } from '../units.js';
import { kit as words, outing } from '../words_outing.js';
import { Age, Trouble, useAnswer, useEngine } from './answered.js';
import { Circumstances, useKits, usualDistance } from './kit.js';
import './outing_styles.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, query }) {
  const held = useKits(notebook);
  const [picked, setPicked] = useState(/** @type {string | null} */ (query.kit ?? null));
  const [species, setSpecies] = useState(/** @type {string | null} */ (null));
  const [typed_m, setDistance] = useState(/** @type {number | null} */ (null));
  const [gap_m, setGap] = useState(/** @type {number | 'sky'} */ (12));
  const [times, setTimes] = useState(/** @type {number | null} */ (0.5));
  const [like, setLike] = useState(/** @type {string | null} */ (null));
  const [in_hide, setHide] = useState(false);
  const is_ready = useEngine().phase === 'ready';
  const one = held?.kits.find((kit) => kit.id === (picked ?? held.meant)) ?? held?.kits[0];
  const animal = held?.animals.find((each) => each.id === species) ?? held?.animals[0];
  const distance_m = typed_m ?? usualDistance(animal);
  const other = held?.kits.find((kit) => kit.id === like && kit.id !== one?.id);
  const { said, busy, trouble, again } = useAnswer(
    async () => {
      if (one === undefined || animal === undefined) return null;
      const wish = other === undefined ? { times_animal: times ?? 0.5 } : { like: other };
      const request = { kit: one, species: animal, distance_m, gap_m, in_hide, ...wish };
      return { name: 'stand_where', request, how: { subject: ['stand', one.id, animal.id, distance_m, gap_m, in_hide, other?.id ?? times].join('/') } };
    },
    [one, animal, other, distance_m, gap_m, times, in_hide, is_ready],
  );
  if (held === undefined) return html`<${Page} title=${words.title_stand} up="kit" />`;
  if (one === undefined || animal === undefined) {
    const missing = one === undefined ? { text: words.none, act: { label: outing.kit_act, to: 'new/kit' } } : { text: outing.no_species, act: { label: outing.species_act, to: 'new/species' } };
    return html`<${Page} title=${words.title_stand} up="kit"><${Empty} ...${missing} /></${Page}>`;
  }
  const answer = said?.answer;
  const others = held.kits.filter((kit) => kit.id !== one.id).map((kit) => ({ value: kit.id, label: kit.name }));
  const pickTimes = (/** @type {number | null} */ value) => (setTimes(value), setLike(null));
  return html`<${Page} title=${words.title_stand} kicker=${one.name} up="kit">
    <${Age} said=${said} busy=${busy} />
    ${answer ? html`<div class="card"><p class="verdict">${answer.stand_words}</p>
      <${Facts} facts=${[[words.the_gap, answer.gap_words], [words.now, answer.now], [words.want, answer.wanted], [words.keep, answer.keep_distance_m === null ? null : `${distance(answer.keep_distance_m)}, ${words.keep_from}`]]} /></div>` : null}
    <${Trouble} trouble=${trouble} again=${again} />
    <section class="asked">
      ${held.kits.length > 1 ? html`<p class="soft">${words.title}</p><${Chips} label=${words.title} needed choices=${held.kits.map((kit) => ({ value: kit.id, label: kit.name }))} value=${one.id} onPick=${setPicked} />` : null}
      <${Circumstances} animals=${held.animals} animal=${animal.id} onAnimal=${setSpecies} distance_m=${distance_m} onDistance=${setDistance} gap_m=${gap_m} onGap=${setGap} />
      <p class="soft">${words.want}</p><${Chips} label=${words.want} needed choices=${words.times.map(([value, label]) => ({ value, label }))} value=${other === undefined ? times : null} onPick=${pickTimes} />
      ${others.length > 0 ? html`<p class="soft">${words.like}</p><${Chips} label=${words.like} choices=${others} value=${other?.id} onPick=${setLike} />` : null}
      <p class="soft">${words.hide}</p><${Chips} label=${words.hide} needed choices=${[{ value: true, label: words.yes }, { value: false, label: words.no }]} value=${in_hide} onPick=${setHide} />
    </section>
  </${Page}>`;
}
