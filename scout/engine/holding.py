"""Whether a routine holds: the last weeks' watches against the season's, with the evidence.

Two questions, each with a test that serves few watches: does it still come as often (Fisher's exact
test), does it still come at the same sun time (the rank-sum test of Mann & Whitney). A change is
flagged, not explained. Not for: whether there is a routine at all (`steps`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta

from attrs import frozen

from scout.engine.clocks import day_words
from scout.engine.jeffreys import Share, share_of
from scout.engine.presence import near_in_year

RECENT_DAYS = 28
FEWEST_RECENT = 3
FEWEST_BEFORE = 5
FEWEST_ARRIVALS = 4
CHANGED_BELOW = 0.05


@frozen
class Kept:
    """One watched dawn or dusk: its date, and the first arrival in sun time [min] or None."""

    on: date
    first_min: float | None


@frozen
class Holding:
    """Whether it holds: True, False, None where too little was watched; and why, in words."""

    holds: bool | None
    words: str
    recent: Share
    before: Share


def holding(kept: Sequence[Kept], on: date, season_days: int) -> Holding:
    """Hold the watches of the four weeks before a day against the others of the same season.

    season_days: how far from the day a season reaches, before and after, in whatever year. Nothing
    is said with fewer than 3 recent or 5 earlier ones.
    """
    since = on - timedelta(days=RECENT_DAYS)
    recent = [one for one in kept if since < one.on <= on]
    before = [one for one in kept if one.on <= since and near_in_year(one.on, on, season_days)]
    now, then = _share(recent), _share(before)
    if now.n < FEWEST_RECENT or then.n < FEWEST_BEFORE:
        return Holding(
            None,
            f"Whether it holds cannot be said: {now.n} watched in the last {RECENT_DAYS} days, "
            f"{then.n} before in this season.",
            now,
            then,
        )
    evidence = (
        f"there on {now.k} of {now.n} watched since {_day(since)}, "
        f"on {then.k} of {then.n} watched before"
    )
    if round(fisher_exact(now.k, now.n, then.k, then.n), 4) < CHANGED_BELOW:
        change = "less often" if now.k * then.n < then.k * now.n else "more often"
        return Holding(False, f"May have changed: it comes {change}, {evidence}.", now, then)
    first = [
        [one.first_min for one in part if one.first_min is not None] for part in (recent, before)
    ]
    if min(len(part) for part in first) >= FEWEST_ARRIVALS:
        moved = round(median(first[0]) - median(first[1]))
        if moved and round(rank_sum(first[0], first[1]), 4) < CHANGED_BELOW:
            way = "later" if moved > 0 else "earlier"
            return Holding(
                False,
                f"May have changed: by the sun it comes {abs(moved)} min {way} since "
                f"{_day(since)} ({len(first[0])} arrivals against {len(first[1])}).",
                now,
                then,
            )
    return Holding(True, f"No change to be seen: {evidence}.", now, then)


def fisher_exact(k: int, n: int, other_k: int, other_n: int) -> float:
    """Return the chance of shares at least as unlike as k of n and another k of n, were they alike.

    Two-sided: all tables no likelier than this one. Source: Fisher 1935.
    """
    total, hits = n + other_n, k + other_k

    def log_chance(found: int) -> float:
        return _log_choose(n, found) + _log_choose(other_n, hits - found)

    whole = _log_choose(total, hits)
    found = log_chance(k)
    tables = range(max(0, hits - other_n), min(n, hits) + 1)
    likely = [log_chance(one) for one in tables]
    return min(1.0, math.fsum(math.exp(one - whole) for one in likely if one <= found + 1e-7))


def rank_sum(one: Sequence[float], other: Sequence[float]) -> float:
    """Return the two-sided chance of ranks at least as unlike, were both lists alike.

    By the normal law, corrected for ties and for continuity. Source: Mann & Whitney 1947.
    """
    values = sorted([*one, *other])
    ranks: dict[float, float] = {}
    ties = 0.0
    place = 0
    while place < len(values):
        last = place
        while last < len(values) and values[last] == values[place]:
            last += 1
        ranks[values[place]] = (place + 1 + last) / 2.0
        ties += float((last - place) ** 3 - (last - place))
        place = last
    n, m = len(one), len(other)
    u = math.fsum(ranks[value] for value in one) - n * (n + 1) / 2.0
    count = n + m
    spread = math.sqrt(n * m / 12.0 * (count + 1 - ties / (count * (count - 1))))
    if spread == 0.0:
        return 1.0
    off = max(0.0, abs(u - n * m / 2.0) - 0.5)
    return math.erfc(off / spread / math.sqrt(2.0))


def median(values: Sequence[float]) -> float:
    """Return the middle of some values."""
    ordered = sorted(values)
    count = len(ordered)
    return (ordered[(count - 1) // 2] + ordered[count // 2]) / 2.0


def _share(kept: Sequence[Kept]) -> Share:
    return share_of(len([one for one in kept if one.first_min is not None]), len(kept))


def _day(day: date) -> str:
    return day_words(day).split(" ", 1)[1]


def _log_choose(n: int, k: int) -> float:
    return math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
