/**
 * The frame of a field in a form: its name, its help, what is wrong with it.
 * Not for: what is typed or tapped in it (field_text.js and its brothers).
 */

import { html } from '../doors/htm.js';
import { field as words } from '../words.js';

/**
 * @param {{field: import('../types.d.ts').Field, id: string, trouble?: string | undefined, group?: boolean, children: import('../types.d.ts').Children}} props
 *   group: several controls, so that the name belongs to all of them
 */
export function FieldFrame({ field, id, trouble, group = false, children }) {
  const unit = group || !field.unit ? null : html` <span class="unit">${field.unit}</span>`;
  const name = html`${field.label}${unit}${field.needed ? html` <span class="needed">${words.needed}</span>` : null}`;
  const help = field.help ? html`<p class="help" id=${`${id}-help`}>${field.help}</p>` : null;
  const wrong = html`<p class="wrong" id=${`${id}-wrong`} role="alert">${trouble ?? ''}</p>`;
  if (group) {
    return html`<div class=${trouble ? 'field bad' : 'field'} role="group" aria-labelledby=${`${id}-name`} data-field=${id}>
      <p class="field-name" id=${`${id}-name`}>${name}</p>${help}${children}${wrong}
    </div>`;
  }
  return html`<div class=${trouble ? 'field bad' : 'field'} data-field=${id}>
    <label class="field-name" for=${id} id=${`${id}-name`}>${name}</label>${help}${children}${wrong}
  </div>`;
}

/** Answer the ids of what describes a field. @param {import('../types.d.ts').Field} field @param {string} id @param {string | undefined} trouble */
export function describedBy(field, id, trouble) {
  const ids = [field.help ? `${id}-help` : '', trouble ? `${id}-wrong` : ''].filter(Boolean);
  return ids.length > 0 ? ids.join(' ') : null;
}
