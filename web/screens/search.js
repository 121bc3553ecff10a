/** All that is written, by its words: notes, names, species, places. */

import { html } from '../doors/htm.js';
import { useState } from '../doors/preact.js';
import { Chips } from '../parts/chips.js';
import { Page } from '../parts/page.js';
import { useSession } from '../session.js';
import { search as words } from '../words_book.js';
import { Rows } from '../parts/rows.js';

/** What one looks for most, first; sightings last, for they are many. @type {Record<string, string[]>} */
const SCOPES = {
  all: ['note', 'site', 'perch', 'vantage', 'landmark', 'species', 'kit', 'permission', 'visit', 'photo', 'tag', 'walk_in', 'area', 'sightline', 'reaction', 'light_reading', 'watch', 'sighting'],
  note: ['note'],
  place: ['site', 'perch', 'vantage', 'landmark', 'area', 'walk_in'],
  watched: ['visit', 'sighting', 'reaction', 'watch'],
  photo: ['photo'],
};

let chosen = 'all';

export function Screen() {
  const { schema } = useSession();
  const [scope, setScope] = useState(chosen);
  chosen = scope;
  const kinds = (SCOPES[scope] ?? []).filter((kind) => schema.kinds[kind] !== undefined);
  return html`<${Page} title=${words.title}>
    <${Chips} label=${words.title} choices=${Object.entries(words.scopes).map(([value, label]) => ({ value, label }))} value=${scope} needed onPick=${setScope} />
    <${Rows} kinds=${kinds} name="search" label=${words.title} search only_found show_kind />
  </${Page}>`;
}
