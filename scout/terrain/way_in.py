"""The way in to a found place: by a recorded walk-in where one ends near it, else a straight line.

How much of it the perch can see of somebody walking. Not for: the times of a walk (the engine's
`approach`), or a way round anything.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np

from scout.engine.geodesy import LocalPlane
from scout.terrain.finder import Found
from scout.terrain.patch import Doubles
from scout.terrain.wanted import WALKER_M

_LOOKS: Final = 60
# Nobody who has walked to a hide starts again from the car for a place this near; common practice.
_NEAR_ITS_END_M: Final = 100.0

Point = tuple[float, float]


@attrs.frozen
class Recorded:
    """A recorded walk-in: the vantage it ends at, and its corners (latitude, longitude)."""

    to: str
    corners: tuple[Point, ...]


@attrs.frozen(kw_only=True)
class WayIn:
    """A way to a place: its length [m], which way in words, and the share the perch can see of it.

    `seen` None where the land under it is not known.
    """

    length_m: float
    by: str
    seen: float | None


def recorded(to: str, end: Point, legs: Sequence[tuple[float, float]]) -> Recorded:
    """Lay legs in walking order (bearing [deg true], length [m]) back from the vantage they end at.

    `end` is the vantage (latitude, longitude). Flat, as they were paced.
    """
    plane = LocalPlane(*end)
    east = north = 0.0
    corners = [end]
    for bearing, length_m in reversed(legs):
        turn = math.radians(bearing)
        east, north = east - length_m * math.sin(turn), north - length_m * math.cos(turn)
        corners.append(plane.to_globe(east, north))
    return Recorded(to, tuple(reversed(corners)))


def way_in(
    found: Found, end: tuple[float, float], start: Point | None, known: Sequence[Recorded]
) -> WayIn | None:
    """Answer the way to a place [m east and north of the perch]; None where none is known.

    `start`: where a straight line would begin (latitude, longitude); `known`: recorded walk-ins.
    """
    plane = LocalPlane(found.target.lat_deg, found.target.lon_deg)
    laid = [(one, [plane.to_plane(*corner) for corner in one.corners]) for one in known]
    near = [(math.dist(corners[-1], end), one.to, corners) for one, corners in laid]
    nearest = min(near, key=lambda row: row[:2], default=None)
    if nearest is not None and nearest[0] <= _NEAR_ITS_END_M:
        rest, to, corners = nearest
        by = f"by the walk-in to {to}" + (f", then {rest:.0f} m straight" if rest >= 0.5 else "")
        return _seen(found, np.array([*corners, end]), by)
    if start is None:
        return None
    return _seen(found, np.array([plane.to_plane(*start), end]), "in a straight line")


def _seen(found: Found, corners: Doubles, by: str) -> WayIn:
    """Look at somebody walking it from the perch, at even steps."""
    steps = np.hypot(*np.diff(corners, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    looks = (np.arange(_LOOKS) + 0.5) / _LOOKS * along[-1]
    x, y = (np.interp(looks, along, corners[:, axis]) for axis in (0, 1))
    away = np.hypot(x, y)
    toward = np.degrees(np.arctan2(x, y)) % 360.0
    # The ground's own slope at each look is what the table says just there.
    ground = found.polar.at(toward, away)
    head = ground + WALKER_M / np.maximum(away, 1.0)
    known = np.isfinite(ground)
    seen = head >= found.polar.before(toward, away)
    return WayIn(
        length_m=float(along[-1]), by=by, seen=float(seen[known].mean()) if known.any() else None
    )
