/* The app kept on the phone, so that it opens without signal. The server puts two lines before this file:
 * VERSION, and FILES with the hash of each. Classic and without imports, for module service workers are young.
 * The engine's runtime is kept by the page in caches named engine-…, which outlive a new shell.
 * Not for: records, photos or anything under /api, which never pass through here. */
'use strict';

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
const SHELL = `shell-${VERSION}`;
const SCOPE = new URL(worker.registration.scope);
const FIRST_PAGE = 'index.html';

worker.addEventListener('install', (event) => {
  event.waitUntil(keep());
});

worker.addEventListener('activate', (event) => {
  event.waitUntil(takeCharge());
});

worker.addEventListener('message', (event) => {
  if (event.data === 'take over') event.waitUntil(worker.skipWaiting());
  if (event.data === 'which version') event.ports[0]?.postMessage(VERSION);
});

worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== SCOPE.origin || !url.pathname.startsWith(SCOPE.pathname)) return;
  const name = decodeURI(url.pathname.slice(SCOPE.pathname.length)) || FIRST_PAGE;
  if (name in FILES) event.respondWith(fromShell(name, request));
  else if (name.startsWith('vendor/pyodide/') || name.startsWith('engine/')) event.respondWith(fromEngine(request));
});

/* All of a version or nothing: a file with another hash (a captive portal's page, half an upgrade) fails it,
 * and the browser tries again later. */
async function keep() {
  const cache = await caches.open(SHELL);
  await Promise.all(
    Object.entries(FILES).map(async ([name, integrity]) => {
      const held = await heldElsewhere(name, integrity);
      const answer = held ?? (await fetched(name, integrity));
      await cache.put(new URL(name, SCOPE), marked(answer, integrity));
    }),
  );
}

async function fetched(/** @type {string} */ name, /** @type {string} */ integrity) {
  const ask = (/** @type {RequestCache} */ cache) => fetch(new Request(new URL(name, SCOPE), { cache, integrity }));
  // What the browser's own cache holds may be spoilt; then only the server's word counts.
  const answer = await ask('no-cache').catch(() => ask('reload'));
  if (!answer.ok) throw new Error(`${name}: ${answer.status}`);
  return answer;
}

/* A file that an earlier version holds unchanged is not fetched again: signal is dear. */
async function heldElsewhere(/** @type {string} */ name, /** @type {string} */ integrity) {
  for (const key of await caches.keys()) {
    if (!key.startsWith('shell-') || key === SHELL) continue;
    const held = await (await caches.open(key)).match(new URL(name, SCOPE));
    if (held?.headers.get('X-Integrity') === integrity) return held;
  }
  return undefined;
}

function marked(/** @type {Response} */ answer, /** @type {string} */ integrity) {
  const headers = new Headers(answer.headers);
  headers.set('X-Integrity', integrity);
  headers.delete('Content-Encoding');
  headers.delete('Content-Length');
  return new Response(answer.body, { status: 200, headers });
}

async function takeCharge() {
  const keys = await caches.keys();
  await Promise.all(keys.filter((key) => key.startsWith('shell-') && key !== SHELL).map((key) => caches.delete(key)));
  await worker.clients.claim();
}

async function fromShell(/** @type {string} */ name, /** @type {Request} */ request) {
  const cache = await caches.open(SHELL);
  return (await cache.match(new URL(name, SCOPE))) ?? fetch(request);
}

async function fromEngine(/** @type {Request} */ request) {
  return (await caches.match(request, { ignoreVary: true })) ?? fetch(request);
}
