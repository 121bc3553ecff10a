/**
 * The engine started when the page has been painted and is idle; where it does not start the app says so
 * once, and goes on without. Not for: asking it.
 *
 * @typedef {import('../notebook/notebook.js').Notebook} Notebook
 */

import { mention } from '../parts/snackbar.js';
import { engine as words } from '../words_outing.js';
import { keepAhead } from './ahead.js';
import { engine } from './engine.js';

const TOLD = 'engine_told';

/** Start the engine behind everything else. Answers how to stop what it keeps doing. @param {Notebook} notebook */
export function wakeWhenIdle(notebook) {
  const here = engine();
  /** @type {() => void} */
  let stopAhead = () => {};
  let is_stopped = false;
  const wake = async () => {
    await here.wake();
    if (is_stopped) return;
    await told(notebook, here.state.phase === 'failed' ? here.state.reason : '');
    // Without the engine the server may work the coming days out, while it is in reach.
    stopAhead();
    stopAhead = keepAhead(notebook, here);
  };
  // What failed for want of a server may start when there is one again.
  const again = () => here.state.phase === 'failed' && here.state.reason !== 'refused' && document.visibilityState === 'visible' && void wake();
  whenIdle(() => void wake());
  addEventListener('online', again);
  document.addEventListener('visibilitychange', again);
  return () => {
    is_stopped = true;
    stopAhead();
    removeEventListener('online', again);
    document.removeEventListener('visibilitychange', again);
  };
}

/** Run a piece of work when nothing else is to do. @param {() => void} work */
export function whenIdle(work) {
  // Safari has no idle callback; there a pause after the first paint does.
  if ('requestIdleCallback' in globalThis) requestIdleCallback(work, { timeout: 5000 });
  else setTimeout(work, 1000);
}

/** @param {Notebook} notebook @param {string} reason '' where it works */
async function told(notebook, reason) {
  const before = (await notebook.setting(TOLD)) ?? '';
  if (before === reason) return;
  await notebook.keepSetting(TOLD, reason).catch(() => {});
  if (reason !== '') mention(words.failed(reason));
}
