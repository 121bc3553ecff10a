"""What bars a sightline where several animals will do: each is judged by its own law.

Not for: the bars of one animal (`bars`), or what is known of when each comes (`awaited`).
"""

from __future__ import annotations

from collections.abc import Sequence

import attrs

from scout.engine.asked import Asked
from scout.engine.bars import Bars, bars_of
from scout.engine.sightline import Sight
from scout.records.kit import Species
from scout.records.places import Perch, Vantage, WalkIn


def bars_of_all(
    asked: Asked, vantage: Vantage, perch: Perch, sight: Sight, walk_in: WalkIn | None
) -> tuple[Bars, tuple[str, ...]]:
    """Judge a sightline for every animal chosen: its bars, and the ids of those it is not for.

    It is barred where it is for none of them; else what bars it for one speaks against it.
    """
    own = bars_of(asked, vantage, perch, sight, walk_in)
    if not asked.also:
        return own, ()
    each = [(asked.species, own)]
    for other in asked.also:
        alone = attrs.evolve(asked, species=other.species, also=())
        each.append((other.species, bars_of(alone, vantage, perch, sight, walk_in)))
    free = [bars for _, bars in each if not bars.barred]
    if not free:
        return attrs.evolve(own, barred=_said(each, "barred")), tuple(one.id for one, _ in each)
    not_for = [one for one in each if one[1].barred]
    against = [
        *(f"Not for {one.name}: {said}" for one, bars in not_for for said in bars.barred),
        *_said([one for one in each if not one[1].barred], "against"),
    ]
    return (
        Bars(
            barred=(),
            against=tuple(dict.fromkeys(against)),
            notes=_said([one for one in each if not one[1].barred], "notes"),
            bad_winds=next((one.bad_winds for one in free if one.bad_winds[:4] != "none"), "")
            or free[0].bad_winds,
        ),
        tuple(one.id for one, _ in not_for),
    )


def _said(each: Sequence[tuple[Species, Bars]], part: str) -> tuple[str, ...]:
    """The sentences of several animals: what is alike once, else each by its animal's name."""
    first: tuple[str, ...] = getattr(each[0][1], part) if each else ()
    alike = [said for said in first if all(said in getattr(bars, part) for _, bars in each)]
    own = [
        f"{one.name}: {said}" if len(each) > 1 else said
        for one, bars in each
        for said in getattr(bars, part)
        if said not in alike
    ]
    return tuple(dict.fromkeys([*alike, *own]))
