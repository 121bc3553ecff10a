/**
 * Instants as a person reads and types them, in the zone of a place. What is written keeps the zone's offset.
 * Not for: computing when anything happens (the engine).
 */

import { phone } from './phone.js';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

/** @type {Map<string, Intl.DateTimeFormat>} */
const formats = new Map();

/** Answer the zone of the phone itself. */
export function ownZone() {
  return Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC';
}

/** Answer the first zone whose clocks are known here; the phone's own where none is. @param {...(string | undefined)} zones */
export function knownZone(...zones) {
  return zones.find((zone) => zone !== undefined && isZone(zone)) ?? ownZone();
}

/** @param {string} zone */
function isZone(zone) {
  try {
    return parts(0, zone).year > 0;
  } catch {
    return false;
  }
}

/** Answer how far a zone's clocks are ahead of UTC at an instant [min]. @param {number} at_ms @param {string} zone */
export function offset_min(at_ms, zone) {
  const shown = parts(at_ms, zone);
  const as_utc = Date.UTC(shown.year, shown.month - 1, shown.day, shown.hour, shown.minute);
  return Math.round((as_utc - Math.floor(at_ms / MINUTE_MS) * MINUTE_MS) / MINUTE_MS);
}

/** Write the time of day as `04:35` or `4:35 am`. @param {number} at_ms @param {string} [zone] */
export function clock(at_ms, zone = ownZone()) {
  const { hour, minute } = parts(at_ms, zone);
  const minutes = String(minute).padStart(2, '0');
  if (phone().hours === 24) return `${String(hour).padStart(2, '0')}:${minutes}`;
  return `${hour % 12 || 12}:${minutes} ${hour < 12 ? 'am' : 'pm'}`;
}

/** Write the day as `Tue 12 May`, with the year where it is another one.
 * @param {number} at_ms @param {string} [zone] @param {number} [now_ms] */
export function day(at_ms, zone = ownZone(), now_ms = Date.now()) {
  const same_year = parts(at_ms, zone).year === parts(now_ms, zone).year;
  const wanted = /** @type {const} */ ({ weekday: 'short', day: 'numeric', month: 'short', timeZone: zone });
  const text = new Intl.DateTimeFormat('en-GB', same_year ? wanted : { ...wanted, year: 'numeric' }).format(at_ms);
  return text.replaceAll(',', '');
}

/** Write an instant short: the clock today, else with its day. @param {number} at_ms @param {string} [zone] */
export function moment(at_ms, zone = ownZone(), now_ms = Date.now()) {
  const today = dateOf(at_ms, zone) === dateOf(now_ms, zone);
  return today ? clock(at_ms, zone) : `${day(at_ms, zone, now_ms)} ${clock(at_ms, zone)}`;
}

/** Answer the calendar date as `2026-05-12`. @param {number} at_ms @param {string} [zone] */
export function dateOf(at_ms, zone = ownZone()) {
  const { year, month, day } = parts(at_ms, zone);
  return `${year}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
}

/** Answer the date so many days later. @param {string} date @param {number} days */
export function laterDate(date, days) {
  return new Date(Date.parse(`${date}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10);
}

/** Write an instant with the offset of its zone: `2026-05-12T04:35:00+01:00`. @param {number} at_ms @param {string} zone */
export function written(at_ms, zone) {
  const offset = offset_min(at_ms, zone);
  const local = new Date(at_ms + offset * MINUTE_MS).toISOString().slice(0, 19);
  if (offset === 0) return `${local}Z`;
  const size = Math.abs(offset);
  const hours = String(Math.floor(size / 60)).padStart(2, '0');
  return `${local}${offset < 0 ? '-' : '+'}${hours}:${String(size % 60).padStart(2, '0')}`;
}

/**
 * Answer the instant of a date and a time of day in a zone. Where clocks are put back the earlier one counts;
 * a time that is skipped counts as if they had not been put forward.
 * @param {string} date
 * @param {number} minutes since midnight
 * @param {string} zone
 */
export function instantOf(date, minutes, zone) {
  const local = Date.parse(`${date}T00:00:00Z`) + minutes * MINUTE_MS;
  const before = local - offset_min(local - DAY_MS, zone) * MINUTE_MS;
  const after = local - offset_min(local + DAY_MS, zone) * MINUTE_MS;
  const shows = (/** @type {number} */ at_ms) => at_ms + offset_min(at_ms, zone) * MINUTE_MS === local;
  return shows(before) || !shows(after) ? before : after;
}

/** Answer the minutes since midnight on a zone's clock. @param {number} at_ms @param {string} zone */
export function minutesOf(at_ms, zone) {
  const { hour, minute } = parts(at_ms, zone);
  return hour * 60 + minute;
}

/**
 * Read a time of day as a person types it: `4:35`, `0435`, `435`, `16.35`, `4:35 pm`. Null for anything else.
 * @param {string} typed
 * @returns {number | null} minutes since midnight
 */
export function readClock(typed) {
  const found = /^(\d{1,2})[:.h ]?(\d{2})\s*(am|pm)?$/i.exec(typed.trim());
  if (!found) return null;
  let hour = Number(found[1]);
  const minute = Number(found[2]);
  const half = found[3]?.toLowerCase();
  if (minute > 59 || (half !== undefined && (hour < 1 || hour > 12))) return null;
  if (half !== undefined) hour = (hour % 12) + (half === 'pm' ? 12 : 0);
  return hour > 23 ? null : hour * 60 + minute;
}

/** @param {number} at_ms @param {string} zone */
function parts(at_ms, zone) {
  let format = formats.get(zone);
  if (format === undefined) {
    const numeric = /** @type {const} */ ('numeric');
    const shape = { year: numeric, month: numeric, day: numeric, hour: numeric, minute: numeric };
    format = new Intl.DateTimeFormat('en-GB', { ...shape, hourCycle: 'h23', calendar: 'gregory', timeZone: zone });
    formats.set(zone, format);
  }
  const said = Object.fromEntries(format.formatToParts(at_ms).map(({ type, value }) => [type, Number(value)]));
  const { year = 0, month = 1, day = 1, hour = 0, minute = 0 } = said;
  return { year, month, day, hour, minute };
}
