/**
 * Several fields that only make sense together, and lists of such. A group in which nothing is filled in is
 * not there at all. Not for: groups that have a way of their own (bearing, distance, position, time).
 */

import { html } from '../doors/htm.js';
import { field as words } from '../words.js';
import { isBlank } from './check.js';
import { FieldFrame } from './field.js';
import { AnyField } from './fields.js';

/** @param {import('../types.d.ts').FieldProps<Record<string, any>>} props */
export function GroupField({ field, id, value, onValue, troubles, zone }) {
  return html`<${FieldFrame} field=${field} id=${id} trouble=${troubles[id]} group>
    <div class="group" id=${id}><${Parts} field=${field} id=${id} value=${value} onValue=${onValue} troubles=${troubles} zone=${zone} /></div>
  </${FieldFrame}>`;
}

/** @param {import('../types.d.ts').FieldProps<Record<string, any>>} props */
function Parts({ field, id, value, onValue, troubles, zone }) {
  /** @param {string} name @param {any} part */
  const put = (name, part) => {
    const next = Object.fromEntries(Object.entries({ ...value, [name]: part }).filter(([, one]) => !isBlank(one)));
    onValue(Object.keys(next).length === 0 ? null : next);
  };
  return (field.fields ?? []).map(
    (part) => html`<${AnyField} key=${part.name} field=${part} id=${`${id}.${part.name}`} value=${value?.[part.name]} onValue=${(/** @type {any} */ said) => put(part.name, said)} troubles=${troubles} zone=${zone} />`,
  );
}

/** @param {import('../types.d.ts').FieldProps<any[]>} props */
export function ListField({ field, id, value, onValue, troubles, zone }) {
  const entries = value ?? [];
  const item = field.item ?? { name: '', kind: 'text', label: '' };
  /** @param {number} place @param {any} entry */
  const put = (place, entry) => onValue(entries.map((one, other) => (other === place ? entry : one)));
  return html`<${FieldFrame} field=${field} id=${id} trouble=${troubles[id]} group>
    ${entries.map((entry, place) => {
      const path = `${id}.${place}`;
      const numbered = { ...item, name: String(place), label: `${item.label} ${place + 1}` };
      return html`<div class="entry" key=${place}>
        <${AnyField} field=${numbered} id=${path} value=${entry} onValue=${(/** @type {any} */ said) => put(place, said)} troubles=${troubles} zone=${zone} />
        <button type="button" class="act other" onClick=${() => onValue(entries.filter((_, other) => other !== place))}>${words.remove}<span class="hidden">: ${numbered.label}</span></button>
      </div>`;
    })}
    <button type="button" class="act other" id=${id} onClick=${() => onValue([...entries, null])}>${words.add}<span class="hidden">: ${item.label}</span></button>
  </${FieldFrame}>`;
}
