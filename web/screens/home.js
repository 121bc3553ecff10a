/** The place that opens with the app where no address asks for one: the outing where a session is near. */

import { isNear } from '../engine/plans.js';

/** @param {import('../session.js').Notebook} notebook @param {string} otherwise */
export async function home(notebook, otherwise) {
  return isNear(await notebook.setting('outing_opened').catch(() => undefined), Date.now()) ? 'outing' : otherwise;
}
