"""What has been let out: pins, sightlines, outlines, sightings and visits as they may leave.

Not for: deciding what may leave (`outgoing`), or how a format writes it.
"""

from __future__ import annotations

from collections.abc import Mapping

import attrs

from scout.notebook.sharing.grid import Spot

Facts = Mapping[str, str | float | int | bool | None]


@attrs.frozen(kw_only=True)
class Place:
    """A pin as it may leave. `label` is its name, or below full precision its code name."""

    kind: str
    label: str
    site: str
    sensitivity: str
    spot: Spot
    elevation_m: float | None
    facts: Facts

    @property
    def told(self) -> Facts:
        """What it says of itself, its position apart, by the names that every format uses."""
        return {"what": self.kind, "name": self.label, "site": self.site, **self.facts}


@attrs.frozen(kw_only=True)
class Line:
    """A sightline both of whose ends leave at full precision."""

    label: str
    vantage: Place
    perch: Place
    light_wanted: str | None
    gap_m: float | str | None


@attrs.frozen(kw_only=True)
class Outline:
    """An area that leaves whole: corners as latitude and longitude."""

    label: str
    kind: str
    corners: tuple[tuple[float, float], ...]


@attrs.frozen(kw_only=True)
class Seen:
    """A sighting as it may leave; `begun` and `ended` are times with offset, or a day alone."""

    species: str
    how: str
    begun: str
    ended: str | None
    count: int | None
    perch: str | None
    site: str
    spot: Spot | None
    sensitivity: str

    @property
    def told(self) -> Facts:
        """What it says of itself, its position apart, by the names that every format uses."""
        return {
            "species": self.species,
            "how": self.how,
            "from": self.begun,
            "until": self.ended,
            "count": self.count,
            "perch": self.perch,
            "site": self.site,
        }


@attrs.frozen(kw_only=True)
class Stay:
    """A visit as it may leave; that nothing was seen is an outcome like any other."""

    site: str
    begun: str
    ended: str | None
    sightings: int
    sensitivity: str
    facts: Facts


@attrs.frozen(kw_only=True)
class Outgoing:
    """All that leaves in one export."""

    places: tuple[Place, ...]
    lines: tuple[Line, ...]
    outlines: tuple[Outline, ...]
    sightings: tuple[Seen, ...]
    stays: tuple[Stay, ...]
    photos: tuple[str, ...]  # SHA-256 of those that may go, without what their files say
    withheld: Mapping[str, int]
    is_exact: bool

    @property
    def statement(self) -> str:
        """Say in one line what leaves."""
        pins = len(self.places)
        kept = [_counted(count, kind) for kind, count in self.withheld.items() if count]
        cells = {one.spot.cell_deg for one in self.places} - {None}
        coarse = [f"{cell:g}°" for cell in sorted(cell for cell in cells if cell is not None)]
        exact = sum(one.spot.cell_deg is None for one in self.places)
        words = [_counted(pins, "pin")]
        if self.is_exact:
            words.append("ALL at full precision, sensitive ones too")
        elif coarse:
            words.append(f"{exact} as recorded, the others to {' or '.join(coarse)}")
        elif pins:
            words.append("none of them sensitive, all as recorded")
        words.append(f"{_counted(len(self.sightings), 'sighting')}")
        stays = f"Withheld: {', '.join(kept)}" if kept else "No position is withheld"
        return f"{', '.join(words)}. {stays}; notes and ids stay behind."


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"
