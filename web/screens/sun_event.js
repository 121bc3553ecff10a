/**
 * "Sun on it" and "sun off it" as the notebook keeps them: the pin, which of the two, and the moment. Where the
 * sun stood then the engine works out whenever it needs it, so nothing of it is stored and nothing waits.
 * Not for: skylines that are aimed or typed (skyline_here.js).
 */

import { written } from '../times.js';

/**
 * Answer the edits of one such tap.
 * @param {{pin: string, is_on: boolean, at_ms: number, zone: string, record?: string, source?: 'device' | 'person'}} event
 *   pin: the perch or vantage; zone: of its site; record: an id for it, where the caller wants to know it;
 *   source: `person` where the time was typed
 * @returns {import('../notebook/types.d.ts').Wanted[]}
 */
export function sunEventEdits({ pin, is_on, at_ms, zone, record, source = 'device' }) {
  const set = { pin, source: is_on ? 'sun on it' : 'sun off it', at: { at: written(at_ms, zone), source, zone } };
  return [{ kind: 'skyline', ...(record !== undefined && { record }), set }];
}
