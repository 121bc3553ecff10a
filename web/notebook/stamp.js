/**
 * The stamp of a change: a tie-break among heads, and nothing else. A hybrid logical clock (Kulkarni
 * et al. 2014) without its message clock: what was merely received moves nothing. Sorts as text.
 * Not for: when something was seen (a record's own data), or conflicts (`merge`: from versions).
 */

const LAST_MS = 10 ** 15 - 1;
const LAST_COUNT = 0xffff;

/**
 * Form a change's stamp: the corrected clock, or one more than the highest head if that is later.
 * @param {number} now_ms the phone's clock [ms since 1970]
 * @param {number} offset_ms server time − phone time at the last good ping [ms]
 * @param {Iterable<string>} heads the stamps of every known head of the registers set
 * @param {string} device the phone's id
 * @returns {string} 15 digits of ms, 4 hex of counter, 8 hex of device
 */
export function stampAfter(now_ms, offset_ms, heads, device) {
  let ms = Math.min(Math.max(Math.floor(now_ms + offset_ms), 0), LAST_MS);
  let count = 0;
  for (const head of heads) {
    const [head_ms, head_count] = oneMore(Number(head.slice(0, 15)), parseInt(head.slice(16, 20), 16));
    if (head_ms > ms || (head_ms === ms && head_count > count)) [ms, count] = [head_ms, head_count];
  }
  const digits = String(ms).padStart(15, '0');
  return `${digits}-${count.toString(16).padStart(4, '0')}-${device.slice(-8)}`;
}

/**
 * @param {number} ms
 * @param {number} count
 */
function oneMore(ms, count) {
  if (count < LAST_COUNT) return [ms, count + 1];
  if (ms < LAST_MS) return [ms + 1, 0];
  return [ms, count]; // past the last stamp there is none; the id breaks the tie
}

/**
 * Answer the ms since 1970 of a stamp, for showing that it lies ahead.
 * @param {string} stamp
 */
export function stampMs(stamp) {
  return Number(stamp.slice(0, 15));
}
