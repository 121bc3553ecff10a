"""What is known of when an animal comes, as a card is told it: k of n, step by step, or nothing.

The argument `presence` is null, or an object {"perches": {perch id: {"steps": [{"from_min",
"to_min", "k", "n"}, …]}}} where minutes count from sunrise (at dusk from sunset), k of n watches
that covered the step had the animal there.
Not for: drawing it from visits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

import attrs

from scout.engine.minutes import GOOD, Minute
from scout.records.fields import Reader, number_reader
from scout.records.trouble import Refused, Trouble, at_field, shown


@attrs.frozen
class Step:
    """One step of a routine [min from sunrise or sunset] with k of n watches."""

    from_min: float
    to_min: float
    k: int
    n: int

    @property
    def mean(self) -> float:
        """The posterior mean under Jeffreys' prior (Brown, Cai & DasGupta 2001)."""
        return (self.k + 0.5) / (self.n + 1.0)


Routine = Mapping[str, tuple[Step, ...]]
"""The steps known of each perch, by the perch's id."""


def read_routine(raw: object) -> Routine:
    """Read what a request says of an animal's routine. Raises Refused with every fault."""
    perches = raw.get("perches") if isinstance(raw, dict) else None
    if not isinstance(perches, dict):
        raise Refused.one('needs "perches", an object of perch ids, each with its steps')
    found: dict[str, tuple[Step, ...]] = {}
    troubles: list[Trouble] = []
    for perch_id, known in perches.items():
        try:
            steps = known.get("steps") if isinstance(known, dict) else None
            if not isinstance(steps, list):
                raise Refused.one("is no list of steps", "steps")
            found[perch_id] = tuple(_step(one, place) for place, one in enumerate(steps))
        except Refused as refusal:
            troubles += at_field("perches", at_field(perch_id, refusal.troubles))
    if troubles:
        raise Refused(troubles)
    return found


def best_step(
    steps: Sequence[Step],
    minutes: Sequence[Minute],
    states: Sequence[str],
    sun_level_utc: datetime | None,
) -> Step | None:
    """Answer the likeliest step of which at least half lies in good minutes, None for none.

    The earliest where two are equal.
    """
    if sun_level_utc is None or not steps:
        return None
    good = [
        (minute.at_utc - sun_level_utc).total_seconds() / 60.0
        for minute, state in zip(minutes, states, strict=True)
        if state == GOOD
    ]
    fitting = [
        step
        for step in steps
        if step.n > 0
        and sum(step.from_min <= at < step.to_min for at in good)
        >= (step.to_min - step.from_min) / 2.0
    ]
    return max(fitting, key=lambda step: (round(step.mean, 6), -step.from_min), default=None)


_WHOLE = number_reader(low=0, high=1_000_000, whole=True)
_MINUTES = number_reader(low=-1440, high=1440, unit="min")


def _step(raw: object, place: int) -> Step:
    path = ("steps", place)
    if not isinstance(raw, dict):
        raise Refused.one(f"{shown(raw)} is not an object", *path)
    start, end = (_part(raw, name, _MINUTES, path) for name in ("from_min", "to_min"))
    k, n = (_part(raw, name, _WHOLE, path) for name in ("k", "n"))
    if not start < end:
        raise Refused.one("must lie after from_min", *path, "to_min")
    if k > n:
        raise Refused.one(f"{k} is more than n ({n}); k of n watches had the animal", *path, "k")
    return Step(start, end, k, n)


def _part(raw: Mapping[str, Any], name: str, read: Reader, path: tuple[str | int, ...]) -> Any:
    try:
        return read(raw.get(name))
    except Refused as refusal:
        raise Refused.one(refusal.troubles[0].says, *path, name) from None
