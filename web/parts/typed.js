/**
 * A place to type in. By day it is the browser's own; in the night look the app's red keys stand beneath it
 * and the phone's keyboard stays down. Not for: reading what was typed (the field types).
 */

import { html } from '../doors/htm.js';
import { useRef, useState } from '../doors/preact.js';
import { look } from '../looks.js';
import { usePhone } from '../phone.js';
import { Pad } from './pad.js';

/** @type {Record<string, {mode: string, keys: 'number' | 'text' | 'clock'}>} */
const KINDS = {
  text: { mode: 'text', keys: 'text' },
  search: { mode: 'search', keys: 'text' },
  lines: { mode: 'text', keys: 'text' },
  number: { mode: 'decimal', keys: 'number' },
  clock: { mode: 'text', keys: 'clock' },
};

/**
 * @param {{id: string, value: string, onText: (text: string) => void, kind?: 'text' | 'search' | 'lines' | 'number' | 'clock', onDone?: () => void, invalid?: boolean, describedBy?: string | null, label?: string, placeholder?: string}} props
 *   label: its name where no <label> points at it; lines: several
 */
export function Typed({ id, value, onText, kind = 'text', onDone, invalid = false, describedBy, label, placeholder }) {
  usePhone(); // the look may change while it is shown
  const box = useRef(/** @type {HTMLInputElement | HTMLTextAreaElement | null} */ (null));
  const [open, setOpen] = useState(false);
  const [bright, setBright] = useState(false);
  const { mode, keys } = /** @type {{mode: string, keys: 'number' | 'text' | 'clock'}} */ (KINDS[kind]);
  const red = look() === 'night' && !bright;
  const given = {
    id,
    ref: box,
    value,
    class: 'typed',
    inputMode: red ? 'none' : mode,
    autocomplete: 'off',
    autocapitalize: kind === 'text' || kind === 'lines' ? 'sentences' : 'off',
    spellcheck: false,
    'aria-invalid': invalid ? 'true' : null,
    'aria-describedby': describedBy ?? null,
    'aria-label': label ?? null,
    placeholder: placeholder ?? null,
    onInput: (/** @type {Event} */ event) => onText(/** @type {HTMLInputElement} */ (event.target).value),
    onFocus: () => setOpen(true),
    onBlur: () => {
      setOpen(false);
      onDone?.();
    },
  };
  /** @param {(text: string, from: number, to: number) => [string, number]} change */
  const change = (change) => {
    const [text, at] = change(value, box.current?.selectionStart ?? value.length, box.current?.selectionEnd ?? value.length);
    onText(text);
    requestAnimationFrame(() => box.current?.setSelectionRange(at, at));
  };
  const onKey = (/** @type {string} */ key) => change((text, from, to) => [text.slice(0, from) + key + text.slice(to), from + key.length]);
  const onDelete = () =>
    change((text, from, to) => {
      const start = from === to ? Math.max(0, from - 1) : from;
      return [text.slice(0, start) + text.slice(to), start];
    });
  const bare = kind === 'lines' ? html`<textarea rows="3" ...${given}></textarea>` : html`<input type=${kind === 'search' ? 'search' : 'text'} ...${given} />`;
  if (!(red && open)) return bare;
  return html`${bare}<${Pad} keys=${keys} onKey=${onKey} onDelete=${onDelete} onDone=${() => box.current?.blur()} onBright=${() => {
    setBright(true);
    box.current?.blur();
    requestAnimationFrame(() => box.current?.focus());
  }} />`;
}
