"""Presence step by step: on how many of the efforts that watched a quarter of an hour it was there.

An occupancy, not a rate: that it was there at all within the step counts once. Not for: smooth
curves (`activity`), or what counts as watched (`effort`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from attrs import frozen

from scout.engine.effort import STEP_MIN, Effort, Span, Stay
from scout.engine.jeffreys import LEVEL, Share, share_of

FEWEST_TO_STAND_OUT = 5  # watches of a step, before it can stand out from the others; ours
# Where nothing at all came at other times any single sighting lies above "the others", and two may
# be one animal passing on neighbouring mornings; three are the fewest that show a habit; ours.
FEWEST_SIGHTINGS = 3


@frozen
class Step:
    """One step [min from mean sunrise or sunset] with k of n and its interval."""

    from_min: int
    share: Share

    @property
    def to_min(self) -> int:
        """Where it ends [min]."""
        return self.from_min + STEP_MIN

    def written(self) -> dict[str, float | int]:
        """Write it as {"from_min", "to_min", "k", "n", "low", "high"}."""
        return {"from_min": self.from_min, "to_min": self.to_min, **self.share.written()}


def steps_of(efforts: Sequence[Effort], half: str) -> tuple[Step, ...]:
    """Count the steps of all dawns or all dusks that at least one effort watched.

    An effort watches a step when it watches at least half of it, and finds the animal there when
    some of a stay falls into the part that it watched.
    """
    watched: dict[int, int] = {}
    there: dict[int, int] = {}
    for effort in efforts:
        if effort.half != half:
            continue
        covered = _covered(effort.spans_min)
        present = _present(effort.spans_min, effort.stays)
        for step in covered:
            watched[step] = watched.get(step, 0) + 1
            if step in present:
                there[step] = there.get(step, 0) + 1
    return tuple(
        Step(step * STEP_MIN, share_of(there.get(step, 0), watched[step]))
        for step in sorted(watched)
    )


def standing_out(steps: Sequence[Step], level: float = LEVEL) -> tuple[Step, ...]:
    """Return the steps in which the animal is there more often than in the others taken together.

    The interval of each is widened for how many steps are looked at (Bonferroni), so that an animal
    without habits has a step standing out in one log of ten at most; and it was there on at least
    three of its watches. None: no routine to be seen.
    """
    enough = [step for step in steps if step.share.n >= FEWEST_TO_STAND_OUT]
    if len(enough) < 2:
        return ()
    found = []
    all_k = math.fsum(step.share.k for step in enough)
    all_n = math.fsum(step.share.n for step in enough)
    each = 1.0 - 2.0 * (1.0 - level) / len(enough) if len(enough) > 2 else level
    for step in enough:
        if step.share.k < FEWEST_SIGHTINGS:
            continue
        others = (all_k - step.share.k) / (all_n - step.share.n)
        if share_of(step.share.k, step.share.n, each).low > others:
            found.append(step)
    return tuple(found)


@lru_cache(maxsize=8192)
def _covered(spans: tuple[Span, ...]) -> tuple[int, ...]:
    """The steps of which at least half is watched; perches in view of one watch share them."""
    amount: dict[int, float] = {}
    for start, end in spans:
        first, last = math.floor(start / STEP_MIN), math.floor(end / STEP_MIN)
        if first == last:
            amount[first] = amount.get(first, 0.0) + end - start
            continue
        amount[first] = amount.get(first, 0.0) + (first + 1) * STEP_MIN - start
        for step in range(first + 1, last):
            amount[step] = STEP_MIN
        amount[last] = amount.get(last, 0.0) + end - last * STEP_MIN
    return tuple(step for step in sorted(amount) if amount[step] >= STEP_MIN / 2.0)


def _present(spans: Sequence[Span], stays: Sequence[Stay]) -> dict[int, bool]:
    """The steps with some of a stay in their watched part."""
    found: dict[int, bool] = {}
    for stay in stays:
        if not stay.watched:
            continue
        out = stay.in_min if stay.out_min is None else stay.out_min
        for start, end in spans:
            low, high = max(start, stay.in_min), min(end, out)
            if low > high or low >= end:
                continue
            first = math.floor(low / STEP_MIN)
            last = first if high <= low else math.ceil(high / STEP_MIN) - 1
            for step in range(first, last + 1):
                found[step] = True
    return found
