/**
 * The app kept on the phone: whether it opens without signal, and a new version that waits until nothing is
 * half-written. Not for: what is kept (sw.js).
 *
 * @typedef {'ready' | 'not_yet' | 'insecure' | 'unable'} Offline
 */

import { html } from './doors/htm.js';
import { useEffect, useState } from './doors/preact.js';
import { isHalfWritten } from './parts/half_written.js';
import { update as words } from './words.js';

const LOOK_AGAIN_MS = 3_600_000;
const ASK_AGAIN_MS = 2000;

/** @type {ServiceWorker | null} */
let waiting = null;
let wanted = false;
let looked_ms = 0;
/** @type {Set<() => void>} */
const listeners = new Set();
const tell = () => listeners.forEach((listener) => listener());

/** Have the app kept on the phone, and hear of new versions. */
export async function keepApp() {
  const workers = navigator.serviceWorker;
  if (workers === undefined) return;
  workers.addEventListener('controllerchange', () => {
    // Only a page that asked for the new version is loaded again; others ask their person first.
    if (wanted) location.reload();
    tell();
  });
  try {
    const registration = await workers.register('sw.js', { updateViaCache: 'none' });
    looked_ms = Date.now();
    watch(registration);
    document.addEventListener('visibilitychange', () => {
      if (document.visibilityState !== 'visible' || Date.now() - looked_ms < LOOK_AGAIN_MS) return;
      looked_ms = Date.now();
      registration.update().catch(() => {}); // away from the server, the kept version does
    });
  } catch {
    // an address that is not secure, or a first visit that lost its network: said in `useOffline`
  }
  tell();
}

/** @param {ServiceWorkerRegistration} registration */
function watch(registration) {
  const settle = () => {
    // Without one in charge there is nothing to wait for: that is the first visit.
    waiting = navigator.serviceWorker.controller === null ? null : registration.waiting;
    tell();
  };
  registration.addEventListener('updatefound', () => registration.installing?.addEventListener('statechange', settle));
  settle();
}

/** Ask for a new version when nothing is half-written: once in the app. */
export function UpdateNotice() {
  const [asked, setAsked] = useState(false);
  const [later, setLater] = useState(/** @type {ServiceWorker | null} */ (null));
  useEffect(() => {
    let stopped = false;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    let timer;
    const look = async () => {
      clearTimeout(timer);
      const free = waiting !== null && !(await isHalfWritten());
      if (stopped) return;
      setAsked(free);
      if (waiting !== null) timer = setTimeout(look, ASK_AGAIN_MS);
    };
    listeners.add(look);
    void look();
    return () => {
      stopped = true;
      clearTimeout(timer);
      listeners.delete(look);
    };
  }, []);
  const use = async () => {
    if (waiting === null || (await isHalfWritten())) return setAsked(false);
    wanted = true;
    waiting.postMessage('take over');
    return undefined;
  };
  if (!asked || waiting === later) return null;
  return html`<div class="notice" role="status"><span>${words.ready}</span><button type="button" onClick=${use}>${words.now}</button><button type="button" onClick=${() => setLater(waiting)}>${words.later}</button></div>`;
}

/** The hook of whether the app opens without signal, and which version this is. @returns {{state: Offline, version: string}} */
export function useOffline() {
  const [told, setTold] = useState({ state: /** @type {Offline} */ ('not_yet'), version: '' });
  useEffect(() => {
    let stopped = false;
    const look = async () => {
      const found = await standing();
      if (!stopped) setTold(found);
    };
    listeners.add(look);
    void look();
    return () => {
      stopped = true;
      listeners.delete(look);
    };
  }, []);
  return told;
}

/** @returns {Promise<{state: Offline, version: string}>} */
async function standing() {
  if (!globalThis.isSecureContext) return { state: 'insecure', version: '' };
  if (navigator.serviceWorker === undefined) return { state: 'unable', version: '' };
  const worker = navigator.serviceWorker.controller;
  if (worker === null) return { state: 'not_yet', version: '' };
  const channel = new MessageChannel();
  const version = await new Promise((resolve) => {
    channel.port1.onmessage = ({ data }) => resolve(String(data));
    worker.postMessage('which version', [channel.port2]);
    setTimeout(() => resolve(''), 2000);
  });
  return { state: 'ready', version };
}
