/**
 * A number in the unit that the person uses; counts also by steps. What is typed and is no number is kept as
 * typed, so that a draft loses nothing, and is named when it is to be saved.
 * Not for: distances that are roughly known (field_distance.js).
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { fromShown, number, readNumber, shownUnit, toShown } from '../units.js';
import { FieldFrame, describedBy } from './field.js';
import { Stepper } from './stepper.js';
import { Typed } from './typed.js';

const STEPPED_UP_TO = 100_000; // a count: larger bounds mean a quantity that is typed

/** @param {import('../types.d.ts').FieldProps<number | string>} props */
export function NumberField({ field, id, value, onValue, troubles }) {
  const trouble = troubles[id];
  const shown = { ...field, ...(field.unit && { unit: shownUnit(field.unit) }) };
  const counted = field.kind === 'whole' && !field.unit && (field.high ?? Infinity) <= STEPPED_UP_TO;
  return html`<${FieldFrame} field=${shown} id=${id} trouble=${trouble}>
    <div class="number">
      <${NumberBox} id=${id} value=${value} unit=${field.unit ?? ''} onValue=${onValue} invalid=${trouble !== undefined} describedBy=${describedBy(field, id, trouble)} />
      ${counted ? html`<${Stepper} label=${field.label} value=${typeof value === 'number' ? value : null} low=${field.low} high=${field.high} from=${Math.max(1, field.low ?? 1)} onStep=${onValue} />` : null}
    </div>
  </${FieldFrame}>`;
}

/**
 * The box alone, for fields that are made of several.
 * @param {{id: string, value: number | string | null | undefined, unit?: string, onValue: (value: number | string | null) => void, invalid?: boolean, describedBy?: string | null, label?: string, placeholder?: string}} props
 *   value in our unit; onValue hears a number in our unit, the text where it is none, null where it is empty
 */
export function NumberBox({ id, value, unit = '', onValue, invalid = false, describedBy: described = null, label, placeholder }) {
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  const text = typed ?? (typeof value === 'number' ? number(toShown(value, unit), 4) : (value ?? ''));
  const onText = (/** @type {string} */ said) => {
    setTyped(said);
    const read = readNumber(said);
    onValue(said.trim() === '' ? null : read === null ? said : fromShown(read, unit));
  };
  // While it is typed in, the text is the person's own; afterwards it is what was read.
  return html`<${Typed} id=${id} value=${text} kind="number" invalid=${invalid} describedBy=${described} label=${label} placeholder=${placeholder} onText=${onText} onDone=${() => setTyped(null)} />`;
}
