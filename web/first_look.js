/* The look before the first paint. A classic script on purpose: a module would run after it, and a white
 * flash costs the eyes minutes in the dark. Not for: changing the look later (looks.js). */
(() => {
  'use strict';
  const html = document.documentElement;
  /** @type {{look?: string, hand?: string}} */
  let kept = {};
  try {
    kept = JSON.parse(localStorage.getItem('phone') ?? '{}') ?? {};
  } catch {
    // forbidden or spoilt: the phone's own wish decides
  }
  const wish = matchMedia('(prefers-color-scheme: light)').matches ? 'day' : 'dark';
  const look = ['day', 'dark', 'night'].includes(kept.look ?? '') ? kept.look : wish;
  html.dataset.look = look;
  html.dataset.hand = kept.hand === 'left' ? 'left' : 'right';
  html.style.backgroundColor = look === 'day' ? '#fff' : '#000';
})();
