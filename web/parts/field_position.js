/**
 * A position: one fix where one stands, shown while it gets better; or typed. The map puts one in by itself.
 * Not for: taking the fix (sensing/fix.js), reading what is typed (map/coordinates.js).
 *
 * @typedef {{lat: number, lon: number, accuracy_m?: number, source?: string}} Position
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { typed as readPosition, written } from '../map/coordinates.js';
import { positionOf, takeFix } from '../sensing/fix.js';
import { distance } from '../units.js';
import { field as words } from '../words.js';
import { FieldFrame, describedBy } from './field.js';
import { Typed } from './typed.js';

/** @param {import('../types.d.ts').FieldProps<Position | string>} props */
export function PositionField({ field, id, value, onValue, troubles }) {
  const trouble = troubles[id] ?? troubles[`${id}.lat`] ?? troubles[`${id}.lon`];
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  const [taking, setTaking] = useState(/** @type {string | null} */ (null));
  const fix = useRef(/** @type {ReturnType<typeof takeFix> | null} */ (null));
  useEffect(() => () => fix.current?.stop(), []);
  const take = async () => {
    setTyped(null);
    setTaking(words.here_taking);
    fix.current = takeFix({ onBetter: (better) => onValue(positionOf(better)) });
    const found = await fix.current.done;
    fix.current = null;
    setTaking(typeof found === 'string' && found !== 'stopped' ? words.no_fix(found) : null);
  };
  const type = (/** @type {string} */ text) => {
    setTyped(text);
    const read = readPosition(text);
    onValue(text.trim() === '' ? null : read === null ? text : { ...read, source: 'typed' });
  };
  const held = typeof value === 'object' ? value : null;
  const shown = typed ?? (typeof value === 'string' ? value : held ? written(held) : '');
  return html`<${FieldFrame} field=${field} id=${id} trouble=${trouble} group>
    <div class="acts-row">
      ${fix.current === null
        ? html`<button type="button" class="act large" onClick=${take}>${held ? words.here_again : words.here}</button>`
        : html`<button type="button" class="act large" onClick=${() => fix.current?.stop()}>${words.here_stop}</button>`}
      <output class="value" for=${id}>${held?.accuracy_m === undefined ? '' : `± ${distance(held.accuracy_m)}`}</output>
    </div>
    <p class="help" role="status">${taking ?? ''}</p>
    <${Typed} id=${id} value=${shown} label=${words.typed_position} placeholder=${words.typed_position} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} onText=${type} onDone=${() => setTyped(null)} />
    ${held?.source ? html`<p class="soft">${held.source}</p>` : null}
  </${FieldFrame}>`;
}
