/**
 * A few words to tap, one of them or several. What is chosen stands in solid ink; a second tap takes it back
 * where nothing need be chosen. Not for: more than some twenty choices (list.js with search).
 *
 * @typedef {{value: any, label: string, help?: string}} Choice
 */

import { html } from '../doors/htm.js';

/**
 * @param {{choices: readonly Choice[], value: any, onPick: (value: any) => void, label?: string, labelled?: string, many?: boolean, needed?: boolean, id?: string, large?: boolean, describedBy?: string | null}} props
 *   value: the chosen one, or with `many` an array of them; onPick hears the new value (null: none);
 *   label or labelled (id of an element): name of the group; large: ≥ 64 px
 */
export function Chips({ choices, value, onPick, label, labelled, many = false, needed = false, id, large = false, describedBy }) {
  const chosen = many ? new Set(value ?? []) : new Set(value === undefined || value === null ? [] : [value]);
  /** @param {any} one */
  const tap = (one) => {
    if (!many) {
      if (!chosen.has(one)) onPick(one);
      else if (!needed) onPick(null);
      return;
    }
    const next = choices.map((choice) => choice.value).filter((other) => (other === one ? !chosen.has(one) : chosen.has(other)));
    onPick(next);
  };
  return html`<div class=${large ? 'chips large' : 'chips'} id=${id} role="group" aria-label=${label ?? null} aria-labelledby=${labelled ?? null} aria-describedby=${describedBy ?? null}>
    ${choices.map(
      (choice) => html`<button type="button" class="chip" key=${choice.value} aria-pressed=${chosen.has(choice.value)} onClick=${() => tap(choice.value)}>${choice.label}</button>`,
    )}
  </div>`;
}
