"""A strip of light in one line of letters: four states through a session, with its hours above.

Not for: working the states out (the engine's stretches carry them).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

_STATES = ("dark", "sky light", "sun", "good")
_MARKS = dict(zip(_STATES, " ·/█", strict=True))
_PLAIN_MARKS = dict(zip(_STATES, " ./#", strict=True))


def utc_of(moment: Mapping[str, str]) -> datetime:
    """Read a moment of an answer."""
    return datetime.fromisoformat(moment["utc"].replace("Z", "+00:00"))


def legend(all_letters: bool) -> str:
    """Say what the marks of a strip mean."""
    marks = _MARKS if all_letters else _PLAIN_MARKS
    return (
        f"{marks['good']} good   {marks['sky light']} shutter reached, other light   "
        f"{marks['sun']} sun, too dim yet   blank: dark"
    )


def cells(
    stretches: Sequence[Mapping[str, Any]],
    start: datetime,
    end: datetime,
    width: int,
    all_letters: bool,
) -> str:
    """Draw stretches between two times; a cell shows the state that has most of its minutes."""
    marks = _MARKS if all_letters else _PLAIN_MARKS
    spans = [(utc_of(one["from"]), utc_of(one["to"]), one["state"]) for one in stretches]
    step = (end - start) / width
    drawn = ""
    for place in range(width):
        left, right = start + place * step, start + (place + 1) * step
        share = dict.fromkeys(_STATES, timedelta())
        for begins, ends, state in spans:
            share[state] += max(timedelta(), min(right, ends) - max(left, begins))
        drawn += marks[max(_STATES, key=lambda state: share[state])]
    return drawn


def row_of_pieces(
    pieces: Sequence[Sequence[Any]], low: float, high: float, width: int, all_letters: bool
) -> str:
    """Draw pieces [from, to, state] in minutes between two ends, as `cells` does with times."""
    marks = _MARKS if all_letters else _PLAIN_MARKS
    step = (high - low) / width
    drawn = ""
    for place in range(width):
        left, right = low + place * step, low + (place + 1) * step
        share = dict.fromkeys(_STATES, 0.0)
        for begins, ends, state in pieces:
            share[state] += max(0.0, min(right, ends) - max(left, begins))
        drawn += marks[max(_STATES, key=lambda state: share[state])]
    return drawn


def hours(start: datetime, end: datetime, width: int, zone: str) -> str:
    """Write the full hours of the local clock where they fall over a strip."""
    place_of = ZoneInfo(zone)
    # The hour stands to the right of its tick; two columns are left for the last one.
    line = [" "] * (width + 2)
    hour = start.replace(minute=0, second=0, microsecond=0)
    free = 0
    while hour <= end:
        # A zone may stand at a half or a quarter of an hour: ask its own clock.
        if hour.astimezone(place_of).minute == 0 and hour >= start:
            at = int((hour - start) / (end - start) * width)
            word = f"|{hour.astimezone(place_of):%H}"
            if at >= free and at + len(word) <= len(line):
                line[at : at + len(word)] = word
                free = at + len(word) + 1
        hour += timedelta(minutes=15)
    return "".join(line).rstrip()
