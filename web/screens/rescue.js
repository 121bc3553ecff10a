/** The rescue file: everything that is on this phone alone, given out without any network. */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { Page } from '../parts/page.js';
import { useStanding } from '../session.js';
import { dateOf } from '../times.js';
import { bytes } from '../units.js';
import { sync } from '../words.js';
import { rescue as words } from '../words_book.js';
import { giveFile } from './file_out.js';

/** @param {import('../types.d.ts').ScreenProps} props */
export function Screen({ notebook }) {
  const state = useStanding(notebook);
  const [told, setTold] = useState('');
  const [busy, setBusy] = useState(false);
  const make = async () => {
    setBusy(true);
    setTold('');
    try {
      const file = await notebook.rescue();
      const name = `rescue-${dateOf(Date.now())}.ndjson`;
      giveFile(file, name);
      setTold(words.made(name, bytes(file.size)));
    } catch {
      setTold(words.failed);
    } finally {
      setBusy(false);
    }
  };
  const nothing = state !== undefined && state.waiting_changes + state.waiting_photos + state.parked === 0;
  return html`<${Page} title=${words.title} lead=${words.lead} up="sync" act=${{ label: busy ? words.making : words.make, onAct: make, disabled: busy }}>
    <p>${nothing ? words.nothing : state === undefined ? '' : sync.line(state)}</p>
    <p>${words.what}</p>
    <p><b>${words.place}</b></p>
    <p role="status">${told}</p>
  </${Page}>`;
}
