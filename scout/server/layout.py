"""What fits on a sheet: how many sightlines in full, how many barred, how many lines of cautions.

Heights are guessed from the texts, with room to spare, so that a page stays one sheet whatever a
notebook holds. Cautions come before a further sightline in full. Not for: writing the page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

import attrs

from scout.server.clipped import fitted, shortened
from scout.server.sheet_sizes import Sheet
from scout.server.strip import MARKS_MM

# Heights as they come out in the common size, a little rounded up.
_TIME_MM, _TIME_MORE_MM = 4.55, 3.4
_REASON_MM, _COLUMN_MM, _BARRED_MM = 3.6, 3.45, 4.05
_TITLE_MM, _TITLE_MORE_MM = 6.0, 4.3
_SHORT_MM = 7.2
_COLUMN_HEAD_MM = 7.0
_ALWAYS_HEAD_MM = 6.0

_MOST_STRIPS = 10
_LEAST_BARRED = 3
_MOST_BEHIND = 12  # lines of cautions on the back: the light must have room too
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
    in order; `owed` is what is owed to the animal on each, which is in `reasons` too, and `minded`
    what of it must stand beneath a short strip; `columns` are the walk-in, the cautions (the last
    `always` of which hold always) and what is not known; `skies` is how many strips a
    sightline in full has.
    """

    heading: str
    asked: str
    verdict: str
    times: Sequence[str]
    arrivals: Sequence[str]
    has_sketch: bool
    has_marks: bool  # whether some strip has a row of visits
    skies: int
    names: Sequence[str]
    titles: Sequence[str]
    worth: Sequence[bool]
    reasons: Sequence[Sequence[str]]
    owed: Sequence[Sequence[str]]
    minded: Sequence[Sequence[str]]
    always: int
    barred: Sequence[str]
    columns: Sequence[Sequence[str]]


@attrs.frozen(kw_only=True)
class Plan:
    """What of a card is written, and how many lines its reasons and columns may take.

    The first `in_full` sightlines are written in full; `short` says which of the others, by their
    place from 0, get one line and a strip. `behind`: so many of the cautions, the last ones, stand
    on the back, for the front has no room for all.
    """

    in_full: int
    short: tuple[int, ...]
    reasons: int
    barred: int
    columns: tuple[int, int, int]
    behind: int


def lines_of(texts: Sequence[str], letters: int) -> int:
    """Count the lines that texts take at so many letters a line."""
    return sum(ceil(max(1, len(text)) / letters) for text in texts)


def reasons_in(
    sheet: Sheet, said: Sequence[str], lines: int, owed: Sequence[str] = ()
) -> list[str]:
    """Put a sightline's reasons into so many lines: brackets and middle clauses go first.

    What is `owed` to the animal stands at their head after the first and is never cut: where that
    takes more lines, there are more.
    """
    if lines_of(said, sheet.reason) <= lines:
        return list(said)
    kept = list(said[: 1 + len(owed)])
    rest = [shortened(text, sheet.reason) for text in said[len(kept) :]]
    left = lines - lines_of(kept, sheet.reason)
    return kept + (fitted(rest, sheet.reason, max(1, left)) if rest else [])


def planned(sheet: Sheet, texts: Texts) -> Plan:
    """Choose how much of a card is written."""
    front = _front_mm(sheet, texts)
    needs = [
        lines_of(said, letters) for said, letters in zip(texts.columns, sheet.columns, strict=True)
    ]
    if len(sheet.room_mm) > 1:
        return _on_two_sides(sheet, texts, front, *needs)
    walk, cautions, unknown = needs
    room = sheet.room_mm[-1] - front - _COLUMN_HEAD_MM
    tall = max(cautions, min(walk, _WALK_LINES), min(unknown, _UNKNOWN_LINES))
    chosen = _chosen(sheet, texts, room, tall)
    lines = max(4, int((room - _light_mm(sheet, texts, *chosen)) / _COLUMN_MM))
    return _plan(chosen, (lines, lines, lines), behind=0)


def _on_two_sides(
    sheet: Sheet, texts: Texts, front: float, walk: int, cautions: int, unknown: int
) -> Plan:
    """The way there on the front, the light on the back."""
    lines = max(4, int((sheet.room_mm[0] - front - _COLUMN_HEAD_MM) / _COLUMN_MM))
    room = sheet.room_mm[-1]
    behind = _moved(sheet, texts, lines) if cautions > lines else 0
    if behind:
        moved = texts.columns[1][-behind:]
        room -= lines_of(moved, sheet.always) * _COLUMN_MM + _ALWAYS_HEAD_MM
    return _plan(_chosen(sheet, texts, room, 0), _shared(walk, unknown, lines), behind=behind)


def _moved(sheet: Sheet, texts: Texts, lines: int) -> int:
    """How many cautions stand on the back: those that always hold, then the last of the others."""
    said, moved = texts.columns[1], texts.always
    while 0 < moved < len(said) and lines_of(said[:-moved], sheet.columns[1]) > lines:
        if lines_of(said[-moved - 1 :], sheet.always) > _MOST_BEHIND:
            break
        moved += 1
    return moved


def _chosen(sheet: Sheet, texts: Texts, room: float, tall: int) -> _Choice:
    """The most that fits into the room beside so many lines of columns."""
    fitting = (
        choice
        for choice, lines in _choices(texts, tall)
        if _light_mm(sheet, texts, *choice) + lines * _COLUMN_MM <= room
    )
    return next(fitting, (min(1, len(texts.titles)), (), 5, 0))


def _plan(chosen: _Choice, columns: tuple[int, int, int], *, behind: int) -> Plan:
    in_full, short, reasons, barred = chosen
    return Plan(
        in_full=in_full,
        short=short,
        reasons=reasons,
        barred=barred,
        columns=columns,
        behind=behind,
    )


def _front_mm(sheet: Sheet, texts: Texts) -> float:
    """Everything above the sightlines but the columns."""
    used = sheet.head_mm + 4.9 * (lines_of([texts.verdict], sheet.verdict) - 1)
    used += 4.3 * (len(texts.asked) > sheet.asked)
    used += 6.7 * (len(texts.heading) > sheet.heading)
    beside = len(texts.times) * _TIME_MM
    beside += (lines_of(texts.times, sheet.time) - len(texts.times)) * _TIME_MORE_MM
    table = 6.0 + 4.8 * len(texts.arrivals)
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
    used = 12.0 if sheet.reasons_beside else 14.5
    strip_mm = (18.0 if texts.skies > 1 else 12.4) + (MARKS_MM if texts.has_marks else 0.0)
    in_order = zip(texts.titles[:in_full], texts.reasons, texts.owed, strict=False)
    for title, said, owed in in_order:
        text_mm = lines_of(reasons_in(sheet, said, lines, owed), sheet.reason) * _REASON_MM
        used += max(strip_mm, text_mm) if sheet.reasons_beside else strip_mm + text_mm
        used += _TITLE_MM + _TITLE_MORE_MM * (len(title) > sheet.title)
    used += len(short) * _SHORT_MM + (4.0 if short else 0.0)
    under = [" ".join(texts.minded[place]) for place in short if texts.minded[place]]
    used += lines_of(under, sheet.owed) * _REASON_MM
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
