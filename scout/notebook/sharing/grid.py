"""Positions made coarse: moved to the middle of a fixed cell, always the same one.

Never a random shift, for the mean of repeated exports would give the place away. Degrees follow the
four classes of A. D. Chapman, Current Best Practices for Generalizing Sensitive Species Occurrence
Data (2020), doi 10.15468/doc-5jp4-5g10, table 7. Not for: deciding which class a record is of
(`classes`).
"""

from __future__ import annotations

import math
from typing import Final

import attrs

from scout.engine.geodesy import distance_m

# Cells to a degree. "withheld" has none: such a position does not leave at all.
CELLS: Final = {"low": 1000, "medium": 100, "high": 10}
_DECIMALS: Final = {"open": 6, "low": 4, "medium": 3, "high": 2}


@attrs.frozen
class Spot:
    """A position as it may leave: degrees, the radius [m] it is good to, and what was done to it.

    `uncertainty_m` None: nobody noted how good the fix was. `cell_deg` None: as recorded.
    """

    lat: float
    lon: float
    uncertainty_m: float | None
    cell_deg: float | None

    @property
    def generalised(self) -> str | None:
        """Say in words what was done (Darwin Core: dataGeneralizations)."""
        if self.cell_deg is None:
            return None
        return f"position moved to the middle of a fixed {self.cell_deg:g} degree cell"

    @property
    def goodness(self) -> dict[str, float | str | None]:
        """How good the position is and what was done to it, by their Darwin Core names."""
        return {
            "coordinateUncertaintyInMeters": self.uncertainty_m,
            "dataGeneralizations": self.generalised,
        }


def spot(lat: float, lon: float, accuracy_m: float | None, sensitivity: str) -> Spot:
    """Answer a position as a class lets it leave; `sensitivity` is any class but "withheld".

    The uncertainty of a coarse one holds the true place wherever in the cell it is, and the
    accuracy of the fix on top. A longitude of 180° is given as −180°, which is the same meridian.
    """
    lon = -180.0 if lon == 180 else lon
    places = _DECIMALS[sensitivity]
    cells = CELLS.get(sensitivity)
    if cells is None:
        return Spot(round(lat, places), round(lon, places), accuracy_m, None)
    row = min(math.floor(lat * cells), 90 * cells - 1)
    column = min(math.floor(lon * cells), 180 * cells - 1)
    middle = ((row + 0.5) / cells, (column + 0.5) / cells)
    corners = [(row + i) / cells for i in (0, 1)], [(column + i) / cells for i in (0, 1)]
    furthest = max(distance_m(*middle, y, x) for y in corners[0] for x in corners[1])
    return Spot(
        lat=round(middle[0], places),
        lon=round(middle[1], places),
        uncertainty_m=float(math.ceil(furthest + (accuracy_m or 0))),
        cell_deg=1 / cells,
    )
