/** The place that opens with the app where no address asks for one: a visit that runs, the outing where a session is near. */

import { isNear } from '../engine/plans.js';
import { ownVisit } from './visiting_state.js';

/** @param {import('../session.js').Notebook} notebook @param {string} otherwise */
export async function home(notebook, otherwise) {
  if ((await ownVisit(notebook).catch(() => undefined)) !== undefined) return 'write';
  return isNear(await notebook.setting('outing_opened').catch(() => undefined), Date.now()) ? 'outing' : otherwise;
}
