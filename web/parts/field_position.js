/**
 * A position: one fix where one stands, shown while it gets better; or typed. The map puts one in by itself.
 * Not for: taking the fix (standing.js), reading what is typed (map/coordinates.js).
 *
 * @typedef {import('./standing.js').Position} Position
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { written } from '../map/coordinates.js';
import { field as words } from '../words.js';
import { FieldFrame, describedBy } from './field.js';
import { Standing, placeOf, useHere } from './standing.js';
import { Typed } from './typed.js';

/** @param {import('../types.d.ts').FieldProps<Position | string>} props */
export function PositionField({ field, id, value, onValue, troubles }) {
  const trouble = troubles[id] ?? troubles[`${id}.lat`] ?? troubles[`${id}.lon`];
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  const here = useHere(onValue);
  const again = () => {
    setTyped(null);
    here.take();
  };
  const type = (/** @type {string} */ text) => {
    setTyped(text);
    const read = placeOf(text);
    if (read !== null) here.drop();
    onValue(text.trim() === '' ? null : (read ?? text));
  };
  const held = typeof value === 'object' ? value : null;
  const shown = typed ?? (typeof value === 'string' ? value : held ? written(held) : '');
  return html`<${FieldFrame} field=${field} id=${id} trouble=${trouble} group>
    <${Standing} here=${here} position=${held} again=${again} />
    <${Typed} id=${id} value=${shown} label=${words.typed_position} placeholder=${words.typed_position} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} onText=${type} onDone=${() => setTyped(null)} />
  </${FieldFrame}>`;
}
