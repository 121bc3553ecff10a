/**
 * Addresses within the app: `#/perch/<id>`. After the `#`, so that nothing of them reaches a server or a log.
 * Not for: which screen an address shows (screens/index.js).
 *
 * @typedef {{path: string, parts: string[], query: Record<string, string>}} Where
 */

import { useEffect, useState } from './doors/preact.js';

/** Read an address. @param {string} [hash] @returns {Where} */
export function where(hash = location.hash) {
  const [path = '', query = ''] = hash.replace(/^#?\/?/, '').split('?');
  const parts = path.split('/').filter(Boolean).map(decoded);
  return { path: parts.join('/'), parts, query: Object.fromEntries(new URLSearchParams(query)) };
}

/** Write an address. @param {string} path as `perch/<id>` @param {Record<string, string>} [query] */
export function address(path, query = {}) {
  const said = new URLSearchParams(query).toString();
  return `#/${path}${said === '' ? '' : `?${said}`}`;
}

/** How many screens of the app lie behind this one; kept with each entry of the browser's history. */
let behind = depth();
/** Whether the app goes back by itself, as after a Save. */
let is_going = false;
/** Answer whether a person has gone back by the phone's own gesture, while a `popstate` is heard. */
export const isGestured = () => !is_going;
addEventListener('popstate', () => {
  setTimeout(() => (is_going = false)); // once everybody has heard of it
  // A link that was followed makes an entry without it.
  if (history.state?.depth === undefined) history.replaceState({ ...history.state, depth: behind + 1 }, '');
  behind = depth();
});

/** Go to a screen. `instead`: the present one is not to be come back to.
 * @param {string} path @param {{query?: Record<string, string>, instead?: boolean}} [how] */
export function go(path, { query = {}, instead = false } = {}) {
  const to = address(path, query);
  if (to === location.hash) return;
  if (instead) history.replaceState({ depth: behind }, '', to);
  else history.pushState({ depth: ++behind }, '', to);
  dispatchEvent(new HashChangeEvent('hashchange'));
}

/** Go back to where one came from; a page opened here goes to `otherwise`. @param {string} otherwise */
export function back(otherwise = 'book') {
  if (behind > 0) {
    is_going = true;
    history.back();
  } else go(otherwise, { instead: true });
}

/** The hook of `where`. @returns {Where} */
export function useWhere() {
  const [now, setNow] = useState(() => where());
  useEffect(() => {
    const moved = () => setNow(where());
    addEventListener('hashchange', moved);
    addEventListener('popstate', moved);
    return () => {
      removeEventListener('hashchange', moved);
      removeEventListener('popstate', moved);
    };
  }, []);
  return now;
}

/**
 * Match an address against a pattern such as `edit/:kind/:id`; null where it does not fit.
 * @param {string} pattern
 * @param {readonly string[]} parts
 * @returns {Record<string, string> | null}
 */
export function match(pattern, parts) {
  const wanted = pattern.split('/').filter(Boolean);
  if (wanted.length !== parts.length) return null;
  /** @type {Record<string, string>} */
  const params = {};
  for (const [place, part] of wanted.entries()) {
    const said = parts[place] ?? '';
    if (part.startsWith(':')) params[part.slice(1)] = said;
    else if (part !== said) return null;
  }
  return params;
}

function depth() {
  return Number(history.state?.depth ?? 0);
}

/** @param {string} text */
function decoded(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
