"""Tallies of some efforts: one mark a visit, by sky, wind and month, and which perch after which.

Counts of mornings, never percentages alone; where they are few it is said. Not for: quarter hours
(`steps`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Any

from scout.engine.angles import compass_letters
from scout.engine.effort import Effort
from scout.engine.haunts import Haunts
from scout.engine.jeffreys import share_of
from scout.engine.light import SKIES
from scout.engine.log import Visited
from scout.engine.printed import Printed
from scout.engine.unwatched import WINDS

NEXT_PERCH_WITHIN_S = 3600.0

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def marks_of(haunts: Haunts, efforts: Sequence[Effort], printed: Printed) -> list[dict[str, Any]]:
    """Answer one mark a watched dawn or dusk, in order of sun time.

    {"date", "seen", "at_min", "clock", "from_min", "to_min", "visits"}: one that saw it stands at
    the first arrival, a blank one in the middle of what was watched; minutes in sun time.
    """
    found = []
    for effort in efforts:
        first = next((stay for stay in effort.stays if stay.watched), None)
        start, end = effort.spans_min[0][0], effort.spans_min[-1][1]
        at = (start + end) / 2.0 if first is None else first.in_min
        found.append(
            {
                "date": haunts.date_of(effort).isoformat(),
                "seen": first is not None,
                "at_min": round(at, 1),
                "clock": None if first is None else printed.clock(haunts.moment(first.in_s)),
                "from_min": round(start, 1),
                "to_min": round(end, 1),
                "visits": list(effort.visits),
            }
        )
    return sorted(found, key=lambda mark: (mark["at_min"], mark["date"]))


def tallies_of(haunts: Haunts, efforts: Sequence[Effort]) -> dict[str, list[dict[str, Any]]]:
    """Answer {"sky", "wind", "month"}, a list each: {"word", "k", "n", "low", "high", "words"}."""

    def visited(effort: Effort) -> Visited | None:
        return next(
            (haunts.log.visits[one] for one in effort.visits if one in haunts.log.visits), None
        )

    def sky(effort: Effort) -> str | None:
        visit = visited(effort)
        return None if visit is None else visit.sky

    def wind(effort: Effort) -> str | None:
        visit = visited(effort)
        if visit is None or visit.wind_from_deg is None:
            return None
        return "calm" if visit.wind_force == 0.0 else compass_letters(visit.wind_from_deg, 8)

    def month(effort: Effort) -> str:
        return _MONTHS[haunts.date_of(effort).month - 1]

    fewest = haunts.settings.fewest_watches
    return {
        "sky": _by(efforts, sky, SKIES, fewest),
        "wind": _by(efforts, wind, (*WINDS, "calm"), fewest),
        "month": _by(efforts, month, _MONTHS, fewest),
    }


def order_of(efforts: Sequence[Effort], names: Mapping[str, str]) -> list[dict[str, Any]]:
    """Answer which perch it went to after which within the hour, the most usual first.

    {"from", "to", "times"}; names by perch id, perches without a name are left out.
    """
    times: dict[tuple[str, str], int] = {}
    for effort in efforts:
        there = [stay for stay in effort.stays if stay.perch in names]
        for one, following in pairwise(there):
            gone = one.in_s if one.out_s is None else one.out_s
            if one.perch == following.perch or following.in_s - gone > NEXT_PERCH_WITHIN_S:
                continue
            pair = (one.perch or "", following.perch or "")
            times[pair] = times.get(pair, 0) + 1
    return [
        {"from": names[pair[0]], "to": names[pair[1]], "times": count}
        for pair, count in sorted(times.items(), key=lambda kept: (-kept[1], kept[0]))
    ]


def few_words(n: int, fewest: int) -> str | None:
    """Say that a number of watches is below the fewest that say something, None where it is not."""
    if n >= fewest:
        return None
    if n == 0:
        return "not watched"
    return f"nothing can be said: {n} watch{'' if n == 1 else 'es'}"


def _by(
    efforts: Sequence[Effort],
    key: Callable[[Effort], str | None],
    words: Sequence[str],
    fewest: int,
) -> list[dict[str, Any]]:
    counts: dict[str, list[int]] = {word: [0, 0] for word in words}
    for effort in efforts:
        word = key(effort)
        if word is not None:
            counts[word][0] += effort.there
            counts[word][1] += 1
    found = []
    for word, (k, n) in counts.items():
        if n:
            share = share_of(k, n)
            few = few_words(n, fewest)
            said = share.words if few is None else f"{k} of {n}: {few}"
            found.append({"word": word, **share.written(), "words": said})
    return found
