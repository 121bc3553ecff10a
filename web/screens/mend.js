/** One change that the server could not read, mended field by field and saved in its place. */

import { html } from '../doors/htm.js';
import { useRef, useState } from '../doors/preact.js';
import { troublesOf } from '../parts/check.js';
import { AnyField, wayOf } from '../parts/fields.js';
import { useHalfWritten } from '../parts/half_written.js';
import { Page } from '../parts/page.js';
import { sayable } from '../parts/snackbar.js';
import { back } from '../route.js';
import { fieldsOf, useRecords, useSession } from '../session.js';
import { ownZone } from '../times.js';
import { kinds, saved as saved_words, trouble } from '../words.js';
import { parked as words } from '../words_book.js';
import { reason, registerOf } from './parked.js';
import './book_styles.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook, params }) {
  const { schema } = useSession();
  const left = useRef(false); // one's own Save settles it: the form stays until one has gone back
  const item = useRecords(notebook, async () => (await notebook.parked()).find((one) => one.change.id === params.id) ?? null, [params.id]);
  const held = useRef(item);
  if (item) held.current = item;
  const shown = left.current ? held.current : item;
  const one = kinds[shown?.change.kind ?? '']?.one ?? '';
  if (!shown) return html`<${Page} title=${words.mend_title(one)} up="parked">${shown === null ? html`<p>${words.gone}</p>` : null}</${Page}>`;
  return html`<${Page} title=${words.mend_title(one)} lead=${reason(shown, schema)} up="parked" act=${{ label: words.save, form: 'mend' }}>
    <${Mending} item=${shown} onSaved=${() => {
      left.current = true;
      back('parked');
    }} />
  </${Page}>`;
}

/** @param {{item: import('../notebook/types.d.ts').ParkedItem, onSaved: () => void}} props */
function Mending({ item, onSaved }) {
  const { notebook, schema } = useSession();
  const { change } = item;
  const fields = fieldsOf(schema, change.kind).filter((field) => field.name in change.set && wayOf(field) !== undefined);
  const [values, setValues] = useState(change.set);
  const [troubles, setTroubles] = useState(() => pointed(item));
  const [failed, setFailed] = useState('');
  const [busy, setBusy] = useState(false);
  useHalfWritten(values !== change.set && !busy);
  /** @param {Event} event */
  const send = async (event) => {
    event.preventDefault();
    const found = troublesOf(fields, values);
    setTroubles(found);
    if (busy || Object.keys(found).length > 0) return;
    setBusy(true);
    try {
      const set = Object.fromEntries(Object.entries(values).map(([name, value]) => [name, value === '' || value === undefined ? null : value]));
      const saved = await notebook.mend(change.id, set, { label: words.mended });
      sayable(notebook, saved.group, words.mended);
      onSaved();
    } catch {
      setFailed(saved_words.not_saved);
    } finally {
      setBusy(false);
    }
  };
  const count = Object.keys(troubles).length;
  return html`<form id="mend" class="form" novalidate onSubmit=${send}>
    ${fields.map((field) => html`<${AnyField} key=${field.name} field=${field} id=${field.name} value=${values[field.name]} troubles=${troubles} zone=${ownZone()} onValue=${(/** @type {any} */ value) => setValues({ ...values, [field.name]: value })} />`)}
    <p class="wrong whole" role="alert">${failed || (count > 0 ? trouble.look_above(count) : '')}</p>
  </form>`;
}

/** Put the server's own sentence at its field. @param {import('../notebook/types.d.ts').ParkedItem} item @returns {Record<string, string>} */
function pointed({ field = '', message = '', change }) {
  const register = registerOf(field, change.set);
  return register === undefined || message === '' ? {} : { [register]: message };
}
