"""How far a place to sit must lie from the perches that it is not for.

The animal that sits there decides, not the one that is looked for; and who sits beside a nest to
photograph something else sits beside a nest. Not for: the perch that a place is for (`spared`), or
pins that betray each other in what leaves the notebook.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Final

from attrs import frozen

from scout.engine.geodesy import distance_m
from scout.engine.sightline import pin_plus_minus_m
from scout.engine.spared import OPEN, perch_spared
from scout.records.kit import Species
from scout.records.places import Perch
from scout.records.visits import Sighting

BESIDE_M: Final = 100.0
"""What lies nearer than this to a pin tells where it is, and disturbs what is there; ours."""
_ROUNDED_M: Final = 0.2  # a kept place's position is rounded to a millionth of a degree


@frozen(kw_only=True)
class KeepOff:
    """One perch to keep off: by how much [m], and whether it is a spared one."""

    perch: Perch
    m: float
    spared: bool

    @property
    def named(self) -> str | None:
        """Its name, None where that is not to be said."""
        bare = self.perch.sensitivity in OPEN and self.perch.kind != "nest or den"
        return self.perch.name if bare else None

    @property
    def words(self) -> str:
        """Say that a place lies too near it."""
        if self.spared:
            return f"Near a spared perch{f': {self.named}' if self.named else ''}."
        return f"Within the keep-distance of what was seen at {self.perch.name}."

    def reaches(self, lat_deg: float, lon_deg: float) -> bool:
        """Tell whether a place lies too near."""
        pin = self.perch.position
        return distance_m(pin.lat, pin.lon, lat_deg, lon_deg) < self.m - _ROUNDED_M


def keep_offs(
    perches: Iterable[Perch],
    species: Iterable[Species],
    sightings: Iterable[Sighting],
    on: date,
    least_m: float,
) -> list[KeepOff]:
    """Answer how far to keep off each perch on a day, never less than `least_m`.

    A spared one by the largest open keep-distance of all `species` and at least 100 m; another by
    the largest of those that were noted there; and by the ± of its pin besides.
    """
    keeps = {one.id: one.keep_distance_open_m or 0.0 for one in species}
    seen: dict[str, set[str]] = {}
    for one in sightings:
        if one.perch is not None:
            seen.setdefault(one.perch, set()).add(one.species)
    found = []
    for perch in perches:
        spared = perch_spared(perch, on) is not None
        there = keeps if spared else seen.get(perch.id, set())
        most = max((keeps.get(one, 0.0) for one in there), default=0.0)
        least = max(least_m, BESIDE_M) if spared else least_m
        away = max(most, least) + pin_plus_minus_m(perch.position)
        found.append(KeepOff(perch=perch, m=away, spared=spared))
    return found
