/**
 * Entries for a calendar (iCalendar, RFC 5545): a name and a time, no place. A calendar is read by whoever sees the
 * screen and by whoever runs it: the name is the caller's to veil. Pure, so that node can prove it.
 * Not for: choosing the days (the engine's).
 *
 * @typedef {{name: string, start: string, end: string}} Entry UTC, as 2026-05-12T04:35Z
 */

const MOST_OCTETS = 75;
export const CALENDAR_TYPE = 'text/calendar;charset=utf-8';

/** @param {Entry[]} entries @param {number} made_ms */
export function calendarOf(entries, made_ms) {
  const lines = ['BEGIN:VCALENDAR', 'VERSION:2.0', 'PRODID:-//scouting notebook//EN'];
  for (const { name, start, end } of entries) {
    lines.push('BEGIN:VEVENT', `UID:${uidOf(name, start)}`, `DTSTAMP:${stamp(made_ms)}`, `DTSTART:${stamp(Date.parse(start))}`, `DTEND:${stamp(Date.parse(end))}`, `SUMMARY:${text(name)}`, 'CLASS:PRIVATE', 'END:VEVENT');
  }
  lines.push('END:VCALENDAR');
  return lines.map((line) => `${folded(line)}\r\n`).join('');
}

/** One day of one name is one entry: written again, it takes the place of the first. @param {string} name @param {string} start */
function uidOf(name, start) {
  // FNV-1a, 64 bits: a name for an entry, no secret.
  let hash = 0xcbf29ce484222325n;
  for (const octet of new TextEncoder().encode(`${name}\n${start.slice(0, 10)}`)) hash = BigInt.asUintN(64, (hash ^ BigInt(octet)) * 0x100000001b3n);
  return `${hash.toString(16).padStart(16, '0')}@scouting-notebook`;
}

/** @param {number} at_ms */
function stamp(at_ms) {
  return new Date(at_ms).toISOString().replace(/[-:]|\.\d{3}/g, '');
}

/** @param {string} words */
function text(words) {
  const escaped = words.replace(/[\\;,]/g, (letter) => `\\${letter}`).replaceAll('\n', '\\n');
  return [...escaped].filter((letter) => letter >= ' ').join('');
}

/** Fold a line at 75 octets (section 3.1), never within a letter. @param {string} line */
function folded(line) {
  const octets = new TextEncoder();
  const pieces = [''];
  let length = 0;
  for (const letter of line) {
    const more = octets.encode(letter).length;
    if (length + more > MOST_OCTETS) {
      pieces.push(' ');
      length = 1;
    }
    pieces.push(pieces.pop() + letter);
    length += more;
  }
  return pieces.join('\r\n');
}
