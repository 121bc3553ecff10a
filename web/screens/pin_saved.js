/**
 * What stands where something was just saved: what it is, and what one does next on the spot.
 * Not for: the record's own page (record.js).
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';
import { written } from '../map/coordinates.js';
import { nameOf } from '../names.js';
import { Facts } from '../parts/figure.js';
import { Button, Page } from '../parts/page.js';
import { useRecords } from '../session.js';
import { distance } from '../units.js';
import { kinds } from '../words.js';
import { done as words, pin } from '../words_write.js';
import { routeOf } from './index.js';
import { awaited } from './late_pin.js';
import { standAt } from './pin_site.js';
import './write_styles.js';

const LOOK_MS = 1000;

/** @typedef {import('../types.d.ts').Act} Act */

/**
 * @param {{notebook: import('../session.js').Notebook, kind: 'perch' | 'vantage' | 'sightline', id: string, line?: string | undefined}} props
 *   line: the sightline that was saved with it
 */
export function Saved({ notebook, kind, id, line }) {
  const found = useRecords(
    notebook,
    async () => {
      const rec = await notebook.get(id);
      const site = rec?.values.site && (await notebook.get(rec.values.site));
      const ends = kind === 'sightline' && rec ? await Promise.all([notebook.get(rec.values.vantage), notebook.get(rec.values.perch)]) : [];
      return { rec, site, ends };
    },
    [id],
  );
  const is_bare = Boolean(found?.rec) && found?.rec?.values.position === undefined && kind !== 'sightline';
  const [, look] = useState(0);
  useEffect(() => {
    // Whether a position is still being taken nobody tells: it is looked at while there is none.
    const timer = is_bare ? setInterval(() => look((turn) => turn + 1), LOOK_MS) : undefined;
    return () => clearInterval(timer);
  }, [is_bare]);
  if (found === undefined) return html`<${Page} title=${words.kicker(kinds[kind]?.one ?? kind)} up="write" />`;
  const { rec, site, ends } = found;
  const another = { perch: { label: words.another, to: 'perch-here' }, vantage: { label: words.another_vantage, to: 'vantage-here' }, sightline: { label: words.another, to: 'perch-here' } }[kind];
  if (rec === undefined || rec.deleted) {
    return html`<${Page} title=${pin[kind === 'vantage' ? 'vantage' : 'perch']} up="write" act=${another}><p>${words.gone}</p></${Page}>`;
  }
  const { position, height_m, lens_height_m } = rec.values;
  const name = kind === 'sightline' ? ends.map((one) => (one ? nameOf(one) : '')).join(' → ') : nameOf(rec);
  const height = height_m ?? lens_height_m;
  return html`<${Page} title=${name} kicker=${words.kicker(kinds[kind]?.one ?? kind)} up="write" act=${another}>
    ${kind === 'sightline'
      ? null
      : html`<p class="placed" role="status">${position ? `${written(position)}${position.accuracy_m === undefined ? '' : `, ± ${distance(position.accuracy_m)}`}, ${position.source ?? ''}` : awaited.has(id) ? words.waits : words.no_position}</p>
          ${is_bare && !awaited.has(id) ? html`<div class="acts"><${Button} act=${{ label: pin.take_now, onAct: () => void standAt(notebook, rec) }} kind="large" /><${Button} act=${{ label: words.type_it, to: `edit/${kind}/${id}` }} kind="large" /></div>` : null}
          <${Facts} facts=${[[pin.site, site ? nameOf(site) : ''], [pin.kind, rec.values.kind ?? rec.values.cover ?? ''], [pin.height, height === undefined ? '' : distance(height)]]} />`}
    <section><h2>${words.next}</h2><div class="next">${next(kind, rec, line).filter((act) => routeOf((act.to ?? '').split('?')[0]?.split('/') ?? []) !== null).map((act) => html`<${Button} act=${act} kind="large" />`)}</div></section>
  </${Page}>`;
}

/**
 * @param {'perch' | 'vantage' | 'sightline'} kind
 * @param {import('../notebook/types.d.ts').Rec} rec
 * @param {string | undefined} line
 * @returns {Act[]}
 */
function next(kind, rec, line) {
  const { id, values } = rec;
  const photo = { label: words.photo, to: `photo-here?pin=${id}` };
  const skyline = (/** @type {string} */ pinned) => ({ label: words.skyline, to: `skyline-here?pin=${pinned}` });
  if (kind === 'vantage') {
    return [
      { label: words.perch_from, to: `perch-here?from=${id}` },
      { label: words.join_perches, to: `sightline-here?vantage=${id}` },
      { label: words.walk_in, to: `walk-in?vantage=${id}` },
      skyline(id),
      photo,
      { label: words.open, to: `vantage/${id}` },
    ];
  }
  const perch = kind === 'perch' ? id : values.perch;
  const its_line = kind === 'sightline' ? id : line;
  return [
    { label: words.light, to: `light?perch=${perch}` },
    its_line === undefined ? { label: words.join, to: `sightline-here?perch=${id}` } : { label: words.sightline, to: `sightline/${its_line}` },
    skyline(perch),
    ...(kind === 'perch' ? [photo] : []),
    { label: words.open, to: kind === 'perch' ? `perch/${id}` : `perch/${perch}` },
  ];
}
