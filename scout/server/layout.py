"""What fits on a sheet: how many sightlines in full, how many barred, how many lines of cautions.

Heights are guessed from the texts, with room to spare, so that a page stays one sheet whatever a
notebook holds. Cautions come before a further sightline in full. Not for: writing the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import attrs


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
    asked: int
    verdict: int
    time: int
    note: int
    arrival: int
    title: int
    reason: int
    reasons_beside: bool
    barred: int
    columns: tuple[int, int, int]
    foot_mm: float


SHEETS = {
    "A4": Sheet(
        name="A4",
        sketch_mm=(98.0, 74.0),
        strip_mm=106.0,
        short_strip_mm=106.0,
        room_mm=(280.0,),
        head_mm=20.0,
        beside_sketch_mm=4.5,
        asked=110,
        verdict=90,
        time=50,
        note=60,
        arrival=30,
        title=88,
        reason=54,
        reasons_beside=True,
        barred=116,
        columns=(36, 62, 36),
        foot_mm=7.5,
    ),
    "A5": Sheet(
        name="A5",
        sketch_mm=(66.0, 76.0),
        strip_mm=132.0,
        short_strip_mm=70.0,
        room_mm=(195.0, 195.0),
        head_mm=20.0,
        beside_sketch_mm=16.0,
        asked=74,
        verdict=62,
        time=29,
        note=48,
        arrival=14,
        title=58,
        reason=86,
        reasons_beside=False,
        barred=76,
        columns=(43, 43, 43),
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
# From most to least: sightlines in full, lines of reasons for each of them.
_IN_FULL = ((4, 8), (3, 8), (3, 7), (3, 6), (3, 5), (2, 8), (2, 6), (2, 5), (1, 8), (1, 5))


@attrs.frozen(kw_only=True)
class Texts:
    """The texts of a card as they will stand, before any is cut for want of room.

    `titles` and `reasons` are those of the sightlines in order; `columns` those of the walk-in, of
    the cautions and of what is not known; `skies` is how many strips a sightline in full has.
    """

    asked: str
    verdict: str
    times: Sequence[str]
    arrivals: Sequence[str]
    has_sketch: bool
    skies: int
    titles: Sequence[str]
    reasons: Sequence[Sequence[str]]
    barred: Sequence[str]
    columns: Sequence[Sequence[str]]


@attrs.frozen(kw_only=True)
class Plan:
    """What of a card is written, and how many lines its reasons and columns may take."""

    in_full: int
    short: int
    reasons: int
    barred: int
    columns: tuple[int, int, int]


def lines_of(texts: Sequence[str], letters: int) -> int:
    """Count the lines that texts take at so many letters a line."""
    return sum(ceil(max(1, len(text)) / letters) for text in texts)


def planned(sheet: Sheet, texts: Texts) -> Plan:
    """Choose how much of a card is written."""
    front = _front_mm(sheet, texts)
    walk, cautions, unknown = (
        lines_of(said, letters) for said, letters in zip(texts.columns, sheet.columns, strict=True)
    )
    two_sides = len(sheet.room_mm) > 1
    room = sheet.room_mm[-1]
    wanted = 0.0
    if not two_sides:
        room -= front
        wanted = _COLUMN_HEAD_MM + max(walk, cautions, unknown) * _COLUMN_MM
    count, bars = len(texts.titles), len(texts.barred)
    choices = [
        (min(full, count), lines, few)
        for full, lines in _IN_FULL
        if full <= max(count, 1)
        for few in range(bars, min(_LEAST_BARRED, bars) - 1, -1)
    ]
    fitting = (one for one in choices if _light_mm(sheet, texts, *one) + wanted <= room)
    chosen = next(fitting, choices[-1])
    if two_sides:
        left = sheet.room_mm[0] - front - _COLUMN_HEAD_MM
    else:
        left = room - _light_mm(sheet, texts, *chosen) - _COLUMN_HEAD_MM
    lines = max(4, int(left / _COLUMN_MM))
    return Plan(
        in_full=chosen[0],
        short=min(count, _MOST_STRIPS) - chosen[0],
        reasons=chosen[1],
        barred=chosen[2],
        columns=_shared(walk, unknown, lines) if two_sides else (lines, lines, lines),
    )


def _front_mm(sheet: Sheet, texts: Texts) -> float:
    """Everything above the sightlines but the columns."""
    used = sheet.head_mm + 4.9 * (len(texts.verdict) > sheet.verdict)
    used += 4.3 * (len(texts.asked) > sheet.asked)
    beside = len(texts.times) * _TIME_MM
    beside += (lines_of(texts.times, sheet.time) - len(texts.times)) * _TIME_MORE_MM
    table = 6.6 + 4.8 * len(texts.arrivals)
    table += 3.9 * (lines_of(texts.arrivals, sheet.arrival) - len(texts.arrivals))
    if texts.has_sketch:
        return used + max(beside + table, sheet.sketch_mm[1] + sheet.beside_sketch_mm) + 2.0
    return used + max(beside, table + 10.0) + 2.0


def _light_mm(sheet: Sheet, texts: Texts, in_full: int, lines: int, barred: int) -> float:
    """The sightlines with all that belongs to them, and the foot of the page."""
    used = 12.0 if sheet.reasons_beside else 16.0
    strip_mm = 18.0 if texts.skies > 1 else 12.4
    for title, said in zip(texts.titles[:in_full], texts.reasons, strict=False):
        text_mm = min(lines, lines_of(said, sheet.reason)) * _REASON_MM
        used += max(strip_mm, text_mm) if sheet.reasons_beside else strip_mm + text_mm
        used += _TITLE_MM + _TITLE_MORE_MM * (len(title) > sheet.title)
    short = min(len(texts.titles), _MOST_STRIPS) - in_full
    used += short * _SHORT_MM + (4.0 if short else 0.0)
    said = [*texts.barred[:barred], *(["more"] if barred < len(texts.barred) else [])]
    return used + 2.0 + lines_of(said, sheet.barred) * _BARRED_MM + sheet.foot_mm


def _shared(walk: int, unknown: int, lines: int) -> tuple[int, int, int]:
    """Share one column between the walk-in and what is not known, each what it needs if it can."""
    both = lines - 2
    kept = max(3, min(unknown, max(both - walk, both // 3)))
    return (max(3, both - kept), lines, kept)
