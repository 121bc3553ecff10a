/**
 * A form for one record of a kind, built from the schema: what is needed first, the rest behind one tap.
 * Every keystroke is kept as a draft; a Save that fails leaves everything where it stands.
 * Not for: how one field asks (fields.js), or judging for good (the server does).
 *
 * @typedef {import('../types.d.ts').Field} Field
 * @typedef {import('../notebook/types.d.ts').Rec} Rec
 * @typedef {{values: Record<string, any>, at: number}} Draft
 */

import { html } from '../doors/htm.js';
import { useEffect, useRef, useState } from '../doors/preact.js';
import { canonical } from '../notebook/canonical.js';
import { fieldsOf, useSession } from '../session.js';
import { knownZone, moment, ownZone } from '../times.js';
import { form as words, kinds, saved as saved_words, trouble } from '../words.js';
import { isBlank, troublesOf } from './check.js';
import { AnyField, wayOf } from './fields.js';
import { useHalfWritten } from './half_written.js';
import { SensorSizes } from './sensor_sizes.js';
import { sayable } from './snackbar.js';

/**
 * @param {{id?: string, kind: string, record?: Rec | undefined, given?: Record<string, any>, fields?: string[], hidden?: string[], open?: string[], draft?: string, zone?: string, label?: string, onSaved?: (saved: {group: string, ids: string[]}, values: Record<string, any>) => void, with?: (values: Record<string, any>) => import('../notebook/types.d.ts').Wanted[]}} props
 *   id: of the form element, for the screen's main act; record: the one to change, else a new one is made;
 *   given: values that a new one starts with; fields: only these, in this order; hidden: not these;
 *   open: shown at once though not needed; draft: its name among the kept ones; zone: of the place written
 *   about; label: the words of the Save in the history; with: further edits that belong to the same Save
 */
export function Form({ id = 'form', kind, record, given = {}, fields, hidden = [], open = [], draft = `${kind}/${record?.id ?? 'new'}`, zone = ownZone(), label, onSaved, with: alongside }) {
  const { notebook, schema } = useSession();
  const start = useRef({ ...given, ...record?.values });
  const over = useRef(record); // as the person had it on screen
  const [values, setValues] = useState(/** @type {Record<string, any> | null} */ (null));
  const [kept, setKept] = useState(/** @type {number | null} */ (null));
  const [troubles, setTroubles] = useState(/** @type {Record<string, string>} */ ({}));
  const [failed, setFailed] = useState('');
  const [busy, setBusy] = useState(false);
  const sending = useRef(false); // known at once, where a state is known at the next drawing
  const [all, setAll] = useState(false);
  const asked = shownFields(fieldsOf(schema, kind), fields, hidden);
  const dirty = values !== null && changes(values, start.current, asked).length > 0;
  useHalfWritten(dirty && !busy);

  useEffect(() => {
    let stopped = false;
    notebook.draft(draft).then(
      (/** @type {Draft | undefined} */ found) => {
        if (stopped) return;
        if (found) setKept(found.at);
        setValues({ ...start.current, ...found?.values });
      },
      () => !stopped && setValues(start.current),
    );
    return () => void (stopped = true);
  }, [draft]);

  if (values === null) return html`<form id=${id} class="form" aria-busy="true"></form>`;

  /** @param {Record<string, any>} more */
  const put = (more) => {
    const next = { ...values, ...more };
    setValues(next);
    setFailed('');
    // A sentence goes as soon as it is heeded; a new one waits for the Save.
    if (Object.keys(troubles).length > 0) setTroubles(stillTrue(troubles, troublesOf(asked, next)));
    notebook.keepDraft(draft, { values: next, at: Date.now() }).catch(() => setFailed(saved_words.not_saved));
  };
  const dropDraft = async () => {
    await notebook.dropDraft(draft);
    setValues({ ...start.current });
    setKept(null);
    setTroubles({});
  };
  /** @param {Event} event */
  const send = async (event) => {
    event.preventDefault();
    if (sending.current) return;
    const found = troublesOf(asked, values);
    setTroubles(found);
    if (Object.keys(found).length > 0) {
      if (Object.keys(found).some((path) => !isOpen(path))) setAll(true);
      requestAnimationFrame(() => focusFirst(id));
      return;
    }
    sending.current = true;
    setBusy(true);
    try {
      const set = Object.fromEntries([...changes(values, start.current, asked), ...(record ? [] : Object.entries(given).filter(([name]) => !asked.some((field) => field.name === name)))]);
      const fresh = record ? {} : Object.fromEntries(Object.entries(values).filter(([, value]) => !isBlank(value)));
      const edit = { kind, set: record ? set : { ...fresh, ...set }, ...(record && { record: record.id, over: over.current ?? record }) };
      const more = alongside?.(values) ?? [];
      const edits = Object.keys(edit.set).length > 0 ? [edit, ...more] : more;
      if (edits.length === 0) {
        await notebook.dropDraft(draft);
        onSaved?.({ group: '', ids: record ? [record.id] : [] }, values);
        return;
      }
      const saved = await notebook.save(edits, { label: label ?? kinds[kind]?.one ?? kind, draft });
      sayable(notebook, saved.group);
      start.current = values;
      onSaved?.(saved, values);
    } catch {
      setFailed(saved_words.not_saved);
    } finally {
      sending.current = false;
      setBusy(false);
    }
  };
  const first = asked.filter((field) => field.needed || open.includes(field.name) || fields !== undefined || (record !== undefined && !isBlank(start.current[field.name])));
  const isOpen = (/** @type {string} */ path) => first.some((field) => field.name === path.split('.')[0]);
  const rest = asked.filter((field) => !first.includes(field));
  const shown = (/** @type {Field} */ field) =>
    html`${field.name === 'sensor_width_mm' ? html`<${SensorSizes} values=${values} put=${put} />` : null}<${AnyField} key=${field.name} field=${field} id=${field.name} value=${values[field.name]} troubles=${troubles} zone=${knownZone(zone)} onValue=${(/** @type {any} */ value) => put({ [field.name]: value })} />`;
  const count = Object.keys(troubles).length;
  return html`<form id=${id} class="form" novalidate onSubmit=${send}>
    ${kept === null ? null : html`<p class="kept" role="status"><span>${words.kept(moment(kept))}</span><button type="button" class="act other" onClick=${dropDraft}>${words.drop}</button></p>`}
    ${first.map(shown)}
    ${rest.length > 0 ? html`<button type="button" class="act large unfold" aria-expanded=${all} onClick=${() => setAll(!all)}>${words.more}</button>` : null}
    ${all ? rest.map(shown) : null}
    <p class="wrong whole" role="alert">${failed || (count > 0 ? trouble.look_above(count) : '')}</p>
  </form>`;
}

/** @param {readonly Field[]} known @param {string[] | undefined} wanted @param {string[]} hidden */
function shownFields(known, wanted, hidden) {
  const able = known.filter((field) => field.name !== 'id' && wayOf(field) !== undefined && !hidden.includes(field.name));
  if (wanted === undefined) return able;
  return wanted.map((name) => able.find((field) => field.name === name)).filter((field) => field !== undefined);
}

/**
 * Answer what differs from what stood there, as pairs; null takes a value back.
 * @param {Record<string, any>} values
 * @param {Record<string, any>} before
 * @param {readonly Field[]} asked
 * @returns {[string, any][]}
 */
function changes(values, before, asked) {
  const plain = (/** @type {any} */ value) => (isBlank(value) ? null : value);
  return asked
    .map((field) => /** @type {[string, any]} */ ([field.name, plain(values[field.name])]))
    .filter(([name, value]) => canonical(value) !== canonical(plain(before[name])));
}

/** @param {Record<string, string>} before @param {Record<string, string>} now */
function stillTrue(before, now) {
  return Object.fromEntries(Object.keys(before).filter((path) => path in now).map((path) => [path, now[path] ?? '']));
}

/** @param {string} form */
function focusFirst(form) {
  const bad = document.getElementById(form)?.querySelector('.field.bad');
  const control = /** @type {HTMLElement | null} */ (bad?.querySelector('input, textarea, button') ?? null);
  control?.focus();
  bad?.scrollIntoView({ block: 'center' });
}
