"""Outings as calendar entries (iCalendar, RFC 5545): a name and a time, no place and no animal.

A calendar is read by whoever sees the screen and by whoever runs it, so a sensitive place stands
there by its code name alone. Not for: choosing the mornings (the engine's).
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable

import attrs

MEDIA_TYPE = "text/calendar"
_MOST_OCTETS = 75


@attrs.frozen(kw_only=True)
class Entry:
    """One outing: what it is called, from when to when [UTC]."""

    name: str
    start: dt.datetime
    end: dt.datetime


def calendar_of(entries: Iterable[Entry], made: dt.datetime) -> bytes:
    """Write the entries; the same outing written again takes the place of the first."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//scouting notebook//EN"]
    for one in entries:
        lines += [
            "BEGIN:VEVENT",
            f"UID:{_uid(one)}",
            f"DTSTAMP:{_utc(made)}",
            f"DTSTART:{_utc(one.start)}",
            f"DTEND:{_utc(one.end)}",
            f"SUMMARY:{_text(one.name)}",
            "CLASS:PRIVATE",
            "END:VEVENT",
        ]
    lines.append("END:VCALENDAR")
    return b"".join(_folded(line) + b"\r\n" for line in lines)


def _uid(one: Entry) -> str:
    said = f"{one.name}\n{_utc(one.start)[:8]}\n{one.start.hour < 12}"
    return f"{hashlib.sha256(said.encode()).hexdigest()[:32]}@scouting-notebook"


def _utc(at: dt.datetime) -> str:
    return at.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")


def _text(words: str) -> str:
    for plain, escaped in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        words = words.replace(plain, escaped)
    return "".join(c for c in words if c >= " ")


def _folded(line: str) -> bytes:
    """Fold a line at 75 octets (section 3.1), never within a letter."""
    pieces, piece = [], b""
    for letter in line:
        octets = letter.encode()
        if len(piece) + len(octets) > _MOST_OCTETS:
            pieces.append(piece)
            piece = b" "
        piece += octets
    return b"\r\n".join([*pieces, piece])
