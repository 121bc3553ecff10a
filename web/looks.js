/**
 * The three looks on the page: day, dark, and a night look of pure red that can be dimmed.
 * Not for: colours (look.css), or the look before the first paint (first_look.js).
 */

import { onPhone, phone } from './phone.js';

const LIGHT = '(prefers-color-scheme: light)';

/** Answer the look that is meant. @returns {'day' | 'dark' | 'night'} */
export function look() {
  const { look: wanted } = phone();
  return wanted === 'phone' ? (matchMedia(LIGHT).matches ? 'day' : 'dark') : wanted;
}

/** Keep the page in the look that is set. Answers how to stop. */
export function keepLook() {
  const query = matchMedia(LIGHT);
  query.addEventListener('change', show);
  const stop = onPhone(show);
  show();
  return () => {
    query.removeEventListener('change', show);
    stop();
  };
}

function show() {
  const html = document.documentElement;
  const now = look();
  html.dataset.look = now;
  html.dataset.hand = phone().hand;
  html.style.backgroundColor = now === 'day' ? '#fff' : '#000';
  // The layer over the night look multiplies: its red is the share of light that is left.
  html.style.setProperty('--lit', String(Math.round(255 * (1 - phone().dim))));
  document.querySelector('meta[name=theme-color]')?.setAttribute('content', now === 'day' ? '#ffffff' : '#000000');
  document.querySelector('meta[name=color-scheme]')?.setAttribute('content', now === 'day' ? 'light' : 'dark');
}
