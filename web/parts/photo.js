/**
 * A photo from the phone's own store, small; in the night look it is red like everything else.
 * Not for: fetching what is only on the server (the photo's own screen asks first).
 */

import { html } from '../doors/htm.js';
import { useEffect, useState } from '../doors/preact.js';

/** @param {{notebook: import('../session.js').Notebook, sha256: string, alt: string, missing?: string}} props */
export function Photo({ notebook, sha256, alt, missing = '' }) {
  const [url, setUrl] = useState(/** @type {string | null | undefined} */ (undefined));
  useEffect(() => {
    let stopped = false;
    let made = '';
    notebook.blob(sha256).then(
      (blob) => {
        if (stopped) return;
        made = blob === undefined ? '' : URL.createObjectURL(blob);
        setUrl(made || null);
      },
      () => !stopped && setUrl(null),
    );
    return () => {
      stopped = true;
      if (made) URL.revokeObjectURL(made);
    };
  }, [notebook, sha256]);
  if (url) return html`<img class="photo" src=${url} alt=${alt} loading="lazy" decoding="async" />`;
  const named = alt === '' ? { 'aria-hidden': true } : { role: 'img', 'aria-label': alt };
  return html`<div class="photo none" ...${named}>${url === null ? missing : ''}</div>`;
}
