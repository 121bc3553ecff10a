"""One elevation model: what is known of it, and which of several a question is put to.

A model is bare earth (the ground under the trees) or a surface (with the trees on it). Not for:
files (`incoming`, `shelf`) or reading heights out of them (`patch`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import attrs

from scout.engine.geodesy import distance_m

BARE: Final = "bare earth"
SURFACE: Final = "surface"
KINDS: Final = (BARE, SURFACE)

# How far heights of a model may be off, as a share of its cell [m], within bounds: a laser survey
# of 1 m cells is good to a hand, a 30 m radar model to 5 m. Common practice.
_PLUS_MINUS_PER_CELL = 0.15
_LEAST_PLUS_MINUS_M, _MOST_PLUS_MINUS_M = 0.15, 10.0


@attrs.frozen(kw_only=True)
class Model:
    """One elevation model that was taken in: metres above sea level, tiled, in its own CRS.

    `cell_m` is the side of a cell on the ground [m]; the edges are degrees of WGS 84;
    `unknown_share` is the share of cells without a height, 0 to 1; `came_from` the name of the
    file it was taken in from, empty where that was not noted.
    """

    id: str
    name: str
    kind: str
    path: Path
    cell_m: float
    south_deg: float
    west_deg: float
    north_deg: float
    east_deg: float
    low_m: float
    high_m: float
    unknown_share: float = 0.0
    was_feet: bool = False
    size_bytes: int = 0
    came_from: str = ""

    @property
    def plus_minus_m(self) -> float:
        """How far a height of it may be off [m]; common practice, from the size of its cells."""
        return min(_MOST_PLUS_MINUS_M, max(_LEAST_PLUS_MINUS_M, _PLUS_MINUS_PER_CELL * self.cell_m))

    @property
    def words(self) -> str:
        """The model in a few words, such as "heath (bare earth, 1 m)"."""
        return f"{self.name} ({self.kind}, {cell_words(self.cell_m)})"

    def covers(self, lat_deg: float, lon_deg: float) -> bool:
        """Tell whether a place lies within its edges (a hole may lie there all the same)."""
        span = (self.east_deg - self.west_deg) % 360.0 or 360.0
        east = (lon_deg - self.west_deg) % 360.0
        return self.south_deg <= lat_deg <= self.north_deg and east <= span

    def away_m(self, lat_deg: float, lon_deg: float) -> float:
        """Give how far a place lies outside its edges, 0 inside [m]."""
        if self.covers(lat_deg, lon_deg):
            return 0.0
        lat = min(self.north_deg, max(self.south_deg, lat_deg))
        span = (self.east_deg - self.west_deg) % 360.0 or 360.0
        east = (lon_deg - self.west_deg) % 360.0
        if east > span:  # the nearer of the two edges, the short way round
            east = span if east - span < 360.0 - east else 0.0
        lon = (self.west_deg + east + 180.0) % 360.0 - 180.0
        return distance_m(lat_deg, lon_deg, lat, lon)

    def furthest_m(self, lat_deg: float, lon_deg: float) -> float:
        """Give how far its farthest corner lies from a place [m]."""
        return max(
            distance_m(lat_deg, lon_deg, lat, lon)
            for lat in (self.south_deg, self.north_deg)
            for lon in (self.west_deg, self.east_deg)
        )


def cell_words(cell_m: float) -> str:
    """Say the size of a cell: "0.5 m", "30 m"."""
    return f"{cell_m:.2g} m" if cell_m < 10.0 else f"{cell_m:.0f} m"


def order_for(
    models: Sequence[Model], cell_m: float, kind: str = BARE, *, only: bool = False
) -> list[Model]:
    """Sort models for a question that needs cells of a size [m]: the first that knows counts.

    Those of the wanted kind come first (`only`: no others at all). Among them the coarsest that is
    still fine enough, which reads least, then the finer ones, then what is too coarse, finest
    first.
    """

    def rank(model: Model) -> tuple[bool, bool, float, str]:
        enough = model.cell_m <= cell_m * 1.01
        return (
            model.kind != kind,
            not enough,
            -model.cell_m if enough else model.cell_m,
            model.id,
        )

    return sorted((one for one in models if not only or one.kind == kind), key=rank)


def finest(models: Sequence[Model], kind: str | None = None) -> Model | None:
    """Answer the model with the smallest cells, of a kind where one is named."""
    fitting = [one for one in models if kind is None or one.kind == kind]
    return min(fitting, key=lambda one: (one.cell_m, one.id), default=None)


def near(models: Sequence[Model], lat_deg: float, lon_deg: float, reach_m: float) -> list[Model]:
    """Answer the models that tell something within a distance of a place [m]."""
    return [one for one in models if one.away_m(lat_deg, lon_deg) <= reach_m]


def cell_of(width_deg: float, height_deg: float, lat_deg: float) -> float:
    """Give the side of a cell on the ground from its size in degrees [m]."""
    metres = 111_320.0
    return math.sqrt(width_deg * math.cos(math.radians(lat_deg)) * height_deg) * metres
