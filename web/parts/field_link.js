/**
 * A link to another record, or to several: those of the site of the last used one at once, the last used first;
 * any from a sheet with search.
 * Not for: making the other record here.
 */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { nameOf } from '../names.js';
import { useRecords, useSession } from '../session.js';
import { titlesOf } from '../titles.js';
import { field as words, kinds } from '../words.js';
import { Chips } from './chips.js';
import { FieldFrame } from './field.js';
import { Rows } from './rows.js';
import { Sheet } from './sheet.js';

const FEW = 6; // so many are offered at once, without a sheet

/** @param {import('../types.d.ts').FieldProps<string>} props */
export function LinkField({ field, id, value, onValue, troubles }) {
  return html`<${FieldFrame} field=${field} id=${id} trouble=${troubles[id]} group>
    <${Links} id=${id} label=${field.label} kinds=${field.refers_to ?? []} chosen=${value ? [value] : []} needed=${field.needed ?? false} onChosen=${(/** @type {string[]} */ ids) => onValue(ids.at(-1) ?? null)} />
  </${FieldFrame}>`;
}

/** @param {import('../types.d.ts').FieldProps<string[]>} props */
export function LinksField({ field, id, value, onValue, troubles }) {
  return html`<${FieldFrame} field=${field} id=${id} trouble=${troubles[id]} group>
    <${Links} id=${id} label=${field.label} kinds=${field.item?.refers_to ?? []} chosen=${value ?? []} many onChosen=${onValue} />
  </${FieldFrame}>`;
}

/**
 * @param {{id: string, label: string, kinds: string[], chosen: string[], many?: boolean, needed?: boolean, onChosen: (ids: string[]) => void}} props
 */
function Links({ id, label, kinds: wanted, chosen, many = false, needed = false, onChosen }) {
  const { notebook } = useSession();
  const [open, setOpen] = useState(false);
  const offered = useRecords(notebook, () => offer(notebook, wanted, chosen), [wanted.join(), chosen.join()]);
  if (offered === undefined) return html`<p class="soft" aria-busy="true"> </p>`;
  const { choices } = offered;
  const gone = chosen.filter((one) => !choices.some(({ value }) => value === one)).map((one) => ({ value: one, label: words.missing }));
  return html`
    ${choices.length + gone.length === 0 ? html`<p class="soft">${words.none_yet}</p>` : html`<${Chips} id=${id} label=${label} choices=${[...choices, ...gone]} value=${many ? chosen : chosen[0]} many=${many} needed=${needed} onPick=${(/** @type {any} */ picked) => onChosen(many ? picked : picked === null ? [] : [picked])} />`}
    ${offered.more ? html`<button type="button" class="act other" onClick=${() => setOpen(true)}>${words.choose}</button>` : null}
    ${open
      ? html`<${Sheet} title=${label} onClose=${() => setOpen(false)}>
          ${wanted.map(
            (kind) => html`<h3>${kinds[kind]?.many ?? kind}</h3>
              <${Rows} kinds=${[kind]} label=${kinds[kind]?.many ?? kind} search empty=${html`<p class="soft">${words.none_yet}</p>`}
                onPick=${(/** @type {any} */ rec) => {
                  onChosen(many ? [...new Set([...chosen, rec.id])] : [rec.id]);
                  setOpen(false);
                }} />`,
          )}
        </${Sheet}>`
      : null}
  `;
}

/**
 * @param {import('../session.js').Notebook} notebook
 * @param {string[]} wanted
 * @param {string[]} chosen
 */
async function offer(notebook, wanted, chosen) {
  const newestOf = (/** @type {{site?: string}} */ where) => Promise.all(wanted.map((kind) => notebook.all(kind, { ...where, limit: FEW + 1 }))).then((found) => found.flat());
  const [held, newest] = await Promise.all([Promise.all(chosen.map((one) => notebook.get(one))), newestOf({})]);
  const shown = held.filter((rec) => rec !== undefined);
  const site = [...shown, ...newest].find((rec) => rec.values.site !== undefined)?.values.site;
  const isNear = (/** @type {import('../notebook/types.d.ts').Rec} */ rec) => (rec.values.site ?? site) === site;
  // Read again only where other sites come between: a form reads this anew at every Save.
  const found = newest.every(isNear) ? newest : await newestOf({ site });
  const others = found.filter((rec) => !chosen.includes(rec.id));
  const near = others.slice(0, Math.max(0, FEW - shown.length));
  const offered = [...shown, ...near];
  const titles = titlesOf(notebook);
  await titles.learn(offered);
  // A sightline has no name but its two ends.
  const choices = offered.map((rec) => ({ value: rec.id, label: rec.kind === 'sightline' ? titles.of(rec).title : nameOf(rec) }));
  return { choices, more: others.length > near.length || found !== newest };
}
