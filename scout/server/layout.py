"""What fits on a sheet: how many sightlines in full, how many barred, how many lines of cautions.

Heights are guessed from the texts, with room to spare, so that a page stays one sheet whatever a
notebook holds. Cautions come before a further sightline in full. Not for: writing the page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

import attrs

from scout.server.clipped import fitted, shortened


@attrs.frozen(kw_only=True)
class Sheet:
    """One size of paper: lengths [mm], and how many letters stand in a line."""

    name: str
    sketch_mm: tuple[float, float]
    strip_mm: float
    short_strip_mm: float
    room_mm: tuple[float, ...]  # of each side, less what fonts may differ by
    head_mm: float
    beside_sketch_mm: float  # what stands under the sketch
    heading: int
    asked: int
    verdict: int
    time: int
    wrapped: int  # entries of the timeline that may take a second line
    note: int
    arrival: int
    title: int
    reason: int
    reasons_beside: bool
    barred: int
    others: int
    columns: tuple[int, int, int]
    foot_mm: float


SHEETS = {
    "A4": Sheet(
        name="A4",
        sketch_mm=(98.0, 74.0),
        strip_mm=92.0,
        short_strip_mm=106.0,
        room_mm=(282.0,),
        head_mm=20.0,
        beside_sketch_mm=4.5,
        heading=56,
        asked=118,
        verdict=90,
        time=54,
        wrapped=5,
        note=60,
        arrival=26,
        title=88,
        reason=68,
        reasons_beside=True,
        barred=116,
        others=118,
        columns=(38, 65, 38),
        foot_mm=7.5,
    ),
    "A5": Sheet(
        name="A5",
        sketch_mm=(66.0, 76.0),
        strip_mm=132.0,
        short_strip_mm=70.0,
        room_mm=(196.0, 195.0),
        head_mm=20.0,
        beside_sketch_mm=17.5,
        heading=40,
        asked=82,
        verdict=62,
        time=33,
        wrapped=9,
        note=48,
        arrival=14,
        title=58,
        reason=94,
        reasons_beside=False,
        barred=84,
        others=80,
        columns=(47, 47, 47),
        foot_mm=6.0,
    ),
}

# Heights as they come out in the common size, a little rounded up.
_TIME_MM, _TIME_MORE_MM = 4.6, 3.4
_REASON_MM, _COLUMN_MM, _BARRED_MM = 3.6, 3.45, 4.05
_TITLE_MM, _TITLE_MORE_MM = 6.0, 4.3
_SHORT_MM = 7.2
_COLUMN_HEAD_MM = 7.0

_MOST_STRIPS = 10
_LEAST_BARRED = 3
_LEAST_LINES = 12  # of cautions: fewer only where nothing else can go
_WALK_LINES, _UNKNOWN_LINES = 12, 8  # more than these are cut before a sightline is
# From most to least: sightlines in full, lines of reasons for each of them. Before only one is left
# in full, those without a good minute go without their strips.
_IN_FULL = ((4, 8), (3, 8), (3, 7), (3, 6), (3, 5), (3, 4), (2, 8), (2, 6), (2, 5), (2, 4))
_LEAST_IN_FULL = ((1, 8), (1, 5))


# In full, with a strip, lines of reasons, barred.
_Choice = tuple[int, tuple[int, ...], int, int]


@attrs.frozen(kw_only=True)
class Texts:
    """The texts of a card as they will stand, before any is cut for want of room.

    `names`, `titles`, `worth` (whether there is a good minute) and `reasons` go by the sightlines
    in order; `columns` are the walk-in, the cautions and what is not known; `skies` is how many
    strips a sightline in full has.
    """

    heading: str
    asked: str
    verdict: str
    times: Sequence[str]
    arrivals: Sequence[str]
    has_sketch: bool
    skies: int
    names: Sequence[str]
    titles: Sequence[str]
    worth: Sequence[bool]
    reasons: Sequence[Sequence[str]]
    barred: Sequence[str]
    columns: Sequence[Sequence[str]]


@attrs.frozen(kw_only=True)
class Plan:
    """What of a card is written, and how many lines its reasons and columns may take.

    The first `in_full` sightlines are written in full; `short` says which of the others, by their
    place from 0, get one line and a strip.
    """

    in_full: int
    short: tuple[int, ...]
    reasons: int
    barred: int
    columns: tuple[int, int, int]


def lines_of(texts: Sequence[str], letters: int) -> int:
    """Count the lines that texts take at so many letters a line."""
    return sum(ceil(max(1, len(text)) / letters) for text in texts)


def reasons_in(sheet: Sheet, said: Sequence[str], lines: int) -> list[str]:
    """Put a sightline's reasons into so many lines: brackets and middle clauses go first."""
    if lines_of(said, sheet.reason) > lines:
        said = [shortened(text, sheet.reason) for text in said]
    return fitted(said, sheet.reason, lines)


def planned(sheet: Sheet, texts: Texts) -> Plan:
    """Choose how much of a card is written."""
    front = _front_mm(sheet, texts)
    walk, cautions, unknown = (
        lines_of(said, letters) for said, letters in zip(texts.columns, sheet.columns, strict=True)
    )
    two_sides = len(sheet.room_mm) > 1
    room = sheet.room_mm[-1]
    tall = 0
    if not two_sides:
        room -= front + _COLUMN_HEAD_MM
        tall = max(cautions, min(walk, _WALK_LINES), min(unknown, _UNKNOWN_LINES))
    fitting = (
        choice
        for choice, lines in _choices(texts, tall)
        if _light_mm(sheet, texts, *choice) + lines * _COLUMN_MM <= room
    )
    chosen = next(fitting, (min(1, len(texts.titles)), (), 5, 0))
    if two_sides:
        left = sheet.room_mm[0] - front - _COLUMN_HEAD_MM
    else:
        left = room - _light_mm(sheet, texts, *chosen)
    lines = max(4, int(left / _COLUMN_MM))
    return Plan(
        in_full=chosen[0],
        short=chosen[1],
        reasons=chosen[2],
        barred=chosen[3],
        columns=_shared(walk, unknown, lines) if two_sides else (lines, lines, lines),
    )


def _front_mm(sheet: Sheet, texts: Texts) -> float:
    """Everything above the sightlines but the columns."""
    used = sheet.head_mm + 4.9 * (len(texts.verdict) > sheet.verdict)
    used += 4.3 * (len(texts.asked) > sheet.asked)
    used += 6.7 * (len(texts.heading) > sheet.heading)
    beside = len(texts.times) * _TIME_MM
    beside += (lines_of(texts.times, sheet.time) - len(texts.times)) * _TIME_MORE_MM
    table = 6.6 + 4.8 * len(texts.arrivals)
    table += 3.9 * (lines_of(texts.arrivals, sheet.arrival) - len(texts.arrivals))
    if texts.has_sketch:
        return used + max(beside + table, sheet.sketch_mm[1] + sheet.beside_sketch_mm) + 2.0
    return used + max(beside, table + 10.0) + 2.0


def _choices(texts: Texts, tall: int) -> Iterator[tuple[_Choice, int]]:
    """Go through what may be written, from most to least, with the lines of columns to keep."""
    bars = len(texts.barred)
    count = len(texts.titles)
    fewest = min(_LEAST_BARRED, bars)
    for idle_too, fulls, lines in (
        (True, _IN_FULL, tall),
        (False, _IN_FULL, tall),
        (False, _LEAST_IN_FULL, tall),
        (False, _LEAST_IN_FULL, min(tall, _LEAST_LINES)),
    ):
        for full, reasons in fulls:
            for few in range(bars, fewest - 1, -1):
                if full <= max(count, 1):
                    in_full = min(full, count)
                    yield (in_full, _short(texts, in_full, idle_too), reasons, few), lines
    short = _short(texts, 1, False)
    for most in range(len(short), -1, -1):
        yield (min(1, count), short[:most], 5, fewest), min(tall, _LEAST_LINES)


def _short(texts: Texts, in_full: int, idle_too: bool) -> tuple[int, ...]:
    """Which sightlines get a strip after those in full: all, or those that have a good minute."""
    others = range(in_full, min(len(texts.titles), _MOST_STRIPS))
    return tuple(place for place in others if idle_too or texts.worth[place])


def _light_mm(
    sheet: Sheet, texts: Texts, in_full: int, short: Sequence[int], lines: int, barred: int
) -> float:
    """The sightlines with all that belongs to them, and the foot of the page."""
    used = 12.0 if sheet.reasons_beside else 16.0
    strip_mm = 18.0 if texts.skies > 1 else 12.4
    for title, said in zip(texts.titles[:in_full], texts.reasons, strict=False):
        text_mm = lines_of(reasons_in(sheet, said, lines), sheet.reason) * _REASON_MM
        used += max(strip_mm, text_mm) if sheet.reasons_beside else strip_mm + text_mm
        used += _TITLE_MM + _TITLE_MORE_MM * (len(title) > sheet.title)
    used += len(short) * _SHORT_MM + (4.0 if short else 0.0)
    others = [
        name for place, name in enumerate(texts.names) if place >= in_full and place not in short
    ]
    if others:
        words = " · ".join(["Also, in order:", *others])
        used += _BARRED_MM * lines_of([words], sheet.others) + 1.0
    said = [*texts.barred[:barred], *(["more"] if barred < len(texts.barred) else [])]
    return used + 2.0 + lines_of(said, sheet.barred) * _BARRED_MM + sheet.foot_mm


def _shared(walk: int, unknown: int, lines: int) -> tuple[int, int, int]:
    """Share one column between the walk-in and what is not known, each what it needs if it can."""
    both = lines - 2
    kept = max(3, min(unknown, max(both - walk, both // 3)))
    return (max(3, both - kept), lines, kept)
