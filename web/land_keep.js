/**
 * The pictures of layers brought to this phone while the laptop is reached, so that they are here with no signal.
 * One after another, behind everything else. Not for: showing them (`map/land_picture`, `screens/land`).
 *
 * @typedef {import('./session.js').Notebook} Notebook
 */

import { whenIdle } from './engine/wake.js';

const PAUSE_MS = 4000;

/** Keep bringing pictures. Answers how to stop. @param {Notebook} notebook */
export function keepLandPictures(notebook) {
  let is_stopped = false;
  let is_running = false;
  let waiting = 0;
  const look = async () => {
    if (is_stopped || is_running || !navigator.onLine) return;
    is_running = true;
    try {
      for (const { values } of await notebook.all('layer')) {
        if (is_stopped) return;
        if (typeof values.blob !== 'string' || (await notebook.blob(values.blob)) !== undefined) continue;
        await notebook.fetchBlob(values.blob);
      }
    } catch {
      // Not reached, or no room: tried again with the next news.
    } finally {
      is_running = false;
    }
  };
  const soon = () => {
    clearTimeout(waiting);
    waiting = window.setTimeout(() => whenIdle(() => void look()), PAUSE_MS);
  };
  const stop = notebook.subscribe(soon);
  addEventListener('online', soon);
  soon();
  return () => {
    is_stopped = true;
    clearTimeout(waiting);
    removeEventListener('online', soon);
    stop();
  };
}
