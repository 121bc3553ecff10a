"""The land round a perch as slopes: for every azimuth and distance, how steeply it rises from it.

Read once, it answers what stands behind the perch on any line, what stands behind somebody who sits
in front of it, and what of a way it can see. Not for: skylines for the sun (`skylines`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
import numpy.typing as npt

from scout.terrain.model import BARE, Model
from scout.terrain.patch import Doubles, Patch
from scout.terrain.rays import distances_m, heights_along, slopes
from scout.terrain.rings import Ring, rings

Mask = npt.NDArray[np.bool_]

AZIMUTHS: Final = 720
REACH_M: Final = 2_000.0
_CELLS_OUT = 60.0  # a gap need not be known finer than a sixtieth of itself
_GROWTH = 4.0


@attrs.frozen(eq=False)
class Polar:
    """Slopes of the land seen from a perch's animal, [azimuth, distance].

    `away_m` the distances [m]; `here` the slope of the ground itself; `highest` the steepest up to
    each distance, `beyond` the steepest from each on; -inf where nothing is known.
    """

    away_m: Doubles
    here: Doubles
    highest: Doubles
    beyond: Doubles
    reach_m: Doubles

    def gaps_m(self, azimuths_deg: Doubles, tilt_slopes: Doubles) -> tuple[Doubles, Mask]:
        """Give how far from the perch lines of sight meet the land: inf for sky [m].

        `azimuths_deg` towards which a line leaves the perch, away from the lens; `tilt_slopes` how
        it rises. The second answer tells where the land is not known far enough: the gap is then
        at least what was given.
        """
        bins = _bins(azimuths_deg)
        order = np.argsort(bins, kind="stable")
        found = np.empty(len(bins))
        edges = np.searchsorted(bins[order], np.arange(AZIMUTHS + 1))
        away = np.append(self.away_m, np.inf)
        for azimuth in np.flatnonzero(np.diff(edges)):
            mine = order[edges[azimuth] : edges[azimuth + 1]]
            found[mine] = away[np.searchsorted(self.highest[azimuth], tilt_slopes[mine])]
        known = self.reach_m[bins]
        open_ended = np.isinf(found) & (known < 0.9 * self.away_m[-1])
        return np.where(open_ended, known, found), open_ended

    def behind(self, azimuths_deg: Doubles, from_m: Doubles) -> Doubles:
        """Give the steepest slope of the land from distances on; -inf where there is none."""
        spots = np.searchsorted(self.away_m, from_m)
        padded = np.concatenate([self.beyond, np.full((AZIMUTHS, 1), -np.inf)], axis=1)
        found: Doubles = padded[_bins(azimuths_deg), spots]
        return found

    def before(self, azimuths_deg: Doubles, until_m: Doubles) -> Doubles:
        """Give the steepest slope of the land nearer than distances; -inf where there is none."""
        spots = np.searchsorted(self.away_m, until_m)
        padded = np.concatenate([np.full((AZIMUTHS, 1), -np.inf), self.highest], axis=1)
        found: Doubles = padded[_bins(azimuths_deg), spots]
        return found

    def at(self, azimuths_deg: Doubles, away_m: Doubles) -> Doubles:
        """Give the slope of the ground itself at places; NaN where it is not known."""
        spots = np.minimum(np.searchsorted(self.away_m, away_m), len(self.away_m) - 1)
        found = self.here[_bins(azimuths_deg), spots]
        found = np.where(away_m > self.away_m[-1], np.nan, found)
        return np.where(np.isfinite(found), found, np.nan)


def polar_of(
    models: Sequence[Model],
    lat_deg: float,
    lon_deg: float,
    eye_m: float,
    near: Patch,
    kind: str = BARE,
    reach_m: float = REACH_M,
) -> Polar:
    """Read the land round a perch; `near` is the patch of its surroundings, read already."""
    azimuths = np.arange(AZIMUTHS, dtype=np.float64) * (360.0 / AZIMUTHS)
    inner = near.half_m
    found = [Ring(1.5 * near.cell_m, inner, near)]
    found += rings(
        models,
        lat_deg,
        lon_deg,
        reach_m,
        kind,
        start_m=inner,
        cells_out=_CELLS_OUT,
        growth=_GROWTH,
    )
    away, rises = [], []
    for ring in found:
        along = distances_m(ring.start_m, ring.end_m, ring.patch.cell_m)
        away.append(along)
        rises.append(slopes(heights_along(ring.patch, azimuths, along), along, eye_m))
    distances = np.concatenate(away)
    table = np.concatenate(rises, axis=1)
    known = np.isfinite(table)
    table = np.where(known, table, -np.inf)
    return Polar(
        away_m=distances,
        here=table,
        highest=np.maximum.accumulate(table, axis=1),
        beyond=np.maximum.accumulate(table[:, ::-1], axis=1)[:, ::-1],
        reach_m=np.where(known, distances, 0.0).max(axis=1),
    )


def _bins(azimuths_deg: Doubles) -> npt.NDArray[np.intp]:
    found: npt.NDArray[np.intp] = np.round(azimuths_deg * (AZIMUTHS / 360.0)).astype(np.intp)
    return found % AZIMUTHS
