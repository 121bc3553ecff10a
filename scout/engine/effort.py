"""Effort: the minutes in which somebody could have seen an animal, and when it was there.

Absence is data only where it was watched. Not watched are what is darker than civil twilight,
unless the animal was heard then or the watch says otherwise; the first minutes after arrival; and
the unconfirmed tail of a forgotten visit. Whatever several people and cameras watched in one dawn
or dusk is one effort. Not for: counting (`steps`), or where the places are.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from attrs import frozen

from scout.engine.anchoring import DAWN, DUSK, Anchoring, Day, Days, mean_anchoring
from scout.engine.log import SEEN_HOW, Came, Log, Watched

STEP_MIN = 15
USUAL_SETTLING_MIN = 20.0  # after arrival nothing shows itself: common practice, no source

Span = tuple[float, float]
_Slot = tuple[int, str]  # number of the solar day, and dawn or dusk


class Stay(NamedTuple):
    """One presence at the place: as noted [s since 1970-01-01 UTC] and in sun time [min].

    out_s and out_min are None where nobody noted when it left. watched: some of it falls into
    watched minutes.
    """

    in_s: float
    out_s: float | None
    in_min: float
    out_min: float | None
    perch: str | None
    watched: bool


@frozen
class Effort:
    """One dawn or dusk in which a place was watched.

    spans_s, spans_min: the watched minutes, as they were and in sun time, in order and apart.
    visits: the ids of the visits in it; none for a trail camera alone.
    """

    day: Day
    half: str
    spans_s: tuple[Span, ...]
    spans_min: tuple[Span, ...]
    stays: tuple[Stay, ...]
    visits: tuple[str, ...]

    @property
    def there(self) -> bool:
        """Whether the animal came in watched minutes."""
        return any(stay.watched for stay in self.stays)

    @property
    def first_min(self) -> float | None:
        """The first arrival in watched minutes, in sun time [min]."""
        return next((stay.in_min for stay in self.stays if stay.watched), None)


@frozen
class Place:
    """What is looked at: a perch, the perches of an area with the area itself, or a whole site.

    perches None: everything. inside: whether a position belongs to it.
    """

    perches: frozenset[str] | None = None
    inside: Callable[[tuple[float, float]], bool] | None = None

    def holds(self, one: Came) -> bool:
        """Tell whether a sighting was at this place."""
        if self.perches is None or one.perch in self.perches:
            return True
        return (
            one.perch is None
            and one.where is not None
            and self.inside is not None
            and self.inside(one.where)
        )


class Efforts:
    """A log's efforts: worked out once, then asked for one place after another.

    reached: the perches that each vantage has a sightline to, for watches that name none.
    settling_min: how long after arrival nothing counts as watched [min].
    """

    def __init__(
        self,
        log: Log,
        days: Days,
        reached: Mapping[str, Sequence[str]] | None = None,
        settling_min: float = USUAL_SETTLING_MIN,
    ) -> None:
        self._log = log
        self._reached = reached or {}
        spans = [quiet_span(watch, log, settling_min) for watch in log.watches]
        self._days = days
        self.anchoring: Anchoring = mean_anchoring(
            days.day(number)
            for number in sorted(
                {
                    number
                    for start, end in spans
                    if start < end
                    for number in range(days.number(start), days.number(end) + 1)
                }
            )
        )
        heard: dict[str, list[float]] = {}
        self._seen: dict[_Slot, list[Came]] = {}
        self._joined: dict[tuple[_Slot, tuple[Span, ...]], tuple[tuple[Span, ...], ...]] = {}
        here: list[Came] = []
        first = last = math.inf
        for one in log.came:  # in order of time, so that a slot serves many
            if one.how in SEEN_HOW:
                if not first <= one.in_s < last:
                    day = days.at(one.in_s)
                    half = day.half(one.in_s)
                    first, last = (
                        (day.start_s, day.noon_s) if half == DAWN else (day.noon_s, day.end_s)
                    )
                    slot = (day.number, half)
                    here = self._seen.setdefault(slot, [])
                here.append(one)
            elif one.how == "heard":
                heard.setdefault(one.watch, []).append(one.in_s)
        self._pieces = [
            (watch, self._pieces_of(watch, span, heard.get(watch.id, ())))
            for watch, span in zip(log.watches, spans, strict=True)
        ]

    def at(
        self, place: Place, keep: Callable[[Watched], bool] = lambda _: True
    ) -> tuple[Effort, ...]:
        """Return the efforts on a place in order of time, of the watches that `keep` lets in."""
        spans: dict[_Slot, list[Span]] = {}
        visits: dict[_Slot, list[str]] = {}
        counted: dict[str, bool] = {}
        for watch, pieces in self._pieces:
            if not self._watches(watch, place) or not keep(watch):
                continue
            counted[watch.id] = True
            for slot, span in pieces:
                spans.setdefault(slot, []).append(span)
                if watch.visit is not None:
                    visits.setdefault(slot, []).append(watch.visit)
        only = place.perches if place.inside is None else None
        found = []
        for slot in sorted(spans):
            stays = [
                one
                for one in self._seen.get(slot, ())
                if one.watch in counted
                and (place.holds(one) if only is None else one.perch in only)
            ]
            found.append(self._effort(slot, spans[slot], stays, visits.get(slot, ())))
        return tuple(found)

    def watched(self) -> int:
        """Return how many dawns and dusks were watched anywhere: as many as `at` everywhere."""
        return len({slot for _, pieces in self._pieces for slot, _ in pieces})

    def _watches(self, watch: Watched, place: Place) -> bool:
        if place.perches is None:
            return True
        seen = watch.perches or self._reached.get(watch.vantage or "", ())
        return not place.perches.isdisjoint(seen)

    def _pieces_of(
        self, watch: Watched, span: Span, heard: Sequence[float]
    ) -> list[tuple[_Slot, Span]]:
        begin, finish = span
        pieces: list[tuple[_Slot, Span]] = []
        if finish <= begin:
            return pieces
        for number in range(self._days.number(begin), self._days.number(finish) + 1):
            day = self._days.day(number)
            for half, first, last in (
                (DAWN, day.start_s, day.noon_s),
                (DUSK, day.noon_s, day.end_s),
            ):
                start, end = max(begin, first), min(finish, last)
                if start >= end:
                    continue
                if watch.in_the_dark or watch.camera:
                    pieces.append(((number, half), (start, end)))
                    continue
                light = _light_of(day)
                for low, high in (light, *self._heard_steps(day, half, heard, light)):
                    if max(start, low) < min(end, high):
                        pieces.append(((number, half), (max(start, low), min(end, high))))
        return pieces

    def _heard_steps(self, day: Day, half: str, heard: Sequence[float], light: Span) -> list[Span]:
        """The steps in the dark in which the animal was heard: there somebody was all ears."""
        steps = []
        for at in heard:
            if not day.start_s <= at < day.end_s or light[0] <= at < light[1]:
                continue
            if day.half(at) != half:
                continue
            step = math.floor(self.anchoring.anchored_min(day, at, half) / STEP_MIN) * STEP_MIN
            first, last = (
                self.anchoring.moment_s(day, float(minute), half)
                for minute in (step, step + STEP_MIN)
            )
            steps.append((first, last))
        return steps

    def _effort(
        self, slot: _Slot, spans: Sequence[Span], came: Sequence[Came], visits: Iterable[str]
    ) -> Effort:
        day, half = self._days.day(slot[0]), slot[1]
        clock = self.anchoring.clock(day, half)
        # Perches that were watched in the same minutes share them.
        key = (slot, tuple(spans))
        found = self._joined.get(key)
        if found is None:
            joined = merged(spans)
            found = joined, tuple((clock(start), clock(end)) for start, end in joined)
            self._joined[key] = found
        joined, joined_min = found
        stays = []
        for _, _, in_s, out_s, perch, _, _ in came:
            end = in_s if out_s is None else max(in_s, out_s)
            watched = False
            for start, last in joined:
                if start <= end and in_s < last:
                    watched = True
                    break
            stays.append(
                Stay(
                    in_s,
                    None if out_s is None else end,
                    clock(in_s),
                    None if out_s is None else clock(end),
                    perch,
                    watched,
                )
            )
        return Effort(
            day,
            half,
            joined,
            joined_min,
            tuple(stays),
            tuple(dict.fromkeys(visits)),
        )


def quiet_span(watch: Watched, log: Log, settling_min: float = USUAL_SETTLING_MIN) -> Span:
    """Return from when to when a watch can count at all [s]; end before start: not at all.

    From the moment it was quiet again, else some minutes after arrival (nobody arrives at a trail
    camera), to its end or its visit's; where that is not sure, to the last thing noted in it.
    """
    visit = None if watch.visit is None else log.visits.get(watch.visit)
    start = watch.start_s if watch.camera else watch.start_s + 60.0 * settling_min
    if watch.quiet_s is not None:
        start = max(watch.start_s, watch.quiet_s)
    end, unsure = watch.end_s, watch.end_unsure
    if visit is not None and visit.end_s is not None:
        if end is None:
            end, unsure = visit.end_s, unsure or visit.end_unsure
        elif visit.end_unsure and end >= visit.end_s:
            unsure = True
    if end is None or unsure:
        noted = log.last_s.get(watch.id, watch.start_s)
        end = noted if end is None else min(end, noted)
    return start, end


def merged(spans: Sequence[Span]) -> tuple[Span, ...]:
    """Return spans joined where they touch or overlap, in order."""
    found: list[Span] = []
    for start, end in sorted(spans):
        if found and start <= found[-1][1]:
            if end > found[-1][1]:
                found[-1] = (found[-1][0], end)
        else:
            found.append((start, end))
    return tuple(found)


def _light_of(day: Day) -> Span:
    """From civil dawn to civil dusk [s]; the whole day in the light nights, nothing in the dark."""
    if day.light:
        return day.start_s, day.end_s
    if day.civil_rise_min is None or day.civil_set_min is None:
        return day.noon_s, day.noon_s
    return day.noon_s + 60.0 * day.civil_rise_min, day.noon_s + 60.0 * day.civil_set_min
