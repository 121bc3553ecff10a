"""The way in to a found place: by a recorded walk-in where one ends near it, else a straight line.

How much of it the perch can see of somebody walking. Not for: the times of a walk (the engine's
`approach`), or a way round what it crosses: that is only said.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
import numpy.typing as npt

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


@attrs.frozen
class Outline:
    """Water, or ground not to be entered: its name in words, its corners (latitude, longitude)."""

    name: str
    corners: tuple[Point, ...]


@attrs.frozen(kw_only=True)
class WayIn:
    """A way to a place: its length [m], which way in words, and the share the perch can see of it.

    The words say which outlines it crosses. `seen` None where the land under it is not known.
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
    found: Found,
    end: tuple[float, float],
    start: Point | None,
    known: Sequence[Recorded],
    outlines: Sequence[Outline],
) -> WayIn | None:
    """Answer the way to a place [m east and north of the perch]; None where none is known.

    `start`: where a straight line would begin (latitude, longitude); `known`: recorded walk-ins.
    The place itself lies in none of the `outlines`.
    """
    plane = LocalPlane(found.target.lat_deg, found.target.lon_deg)
    laid = [(one, [plane.to_plane(*corner) for corner in one.corners]) for one in known]
    near = [(math.dist(corners[-1], end), one.to, corners) for one, corners in laid]
    nearest = min(near, key=lambda row: row[:2], default=None)
    if nearest is not None and nearest[0] <= _NEAR_ITS_END_M:
        rest, to, corners = nearest
        by = f"by the walk-in to {to}" + (f", then {rest:.0f} m straight" if rest >= 0.5 else "")
        return _seen(found, np.array([*corners, end]), by, outlines)
    if start is None:
        return None
    straight = np.array([plane.to_plane(*start), end])
    return _seen(found, straight, "in a straight line", outlines)


def _crossed(found: Found, corners: Doubles, outlines: Sequence[Outline]) -> str:
    """Say which outlines a way crosses; empty for none.

    Its end lies outside, so that whatever is inside of one comes over an edge of it.
    """
    plane = LocalPlane(found.target.lat_deg, found.target.lon_deg)
    crossed = []
    for outline in outlines:
        ring = np.array([plane.to_plane(*corner) for corner in outline.corners])
        if _cut(corners[:-1, None], corners[1:, None], ring, np.roll(ring, -1, axis=0)):
            crossed.append(outline.name)
    if not crossed:
        return ""
    if len(crossed) > 2:
        crossed = [", ".join(crossed[:2]), f"{len(crossed) - 2} more"]
    return f"; crosses {' and '.join(crossed)}: find a way round"


def _cut(a: Doubles, b: Doubles, c: Doubles, d: Doubles) -> bool:
    """Tell whether any of the lines from a to b crosses any of those from c to d."""

    def left(start: Doubles, end: Doubles, point: Doubles) -> npt.NDArray[np.bool_]:
        way, off = end - start, point - start
        return np.asarray(way[..., 0] * off[..., 1] - way[..., 1] * off[..., 0] > 0.0)

    ends = (left(a, b, c) != left(a, b, d)) & (left(c, d, a) != left(c, d, b))
    return bool(ends.any())


def _seen(found: Found, corners: Doubles, by: str, outlines: Sequence[Outline]) -> WayIn:
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
        length_m=float(along[-1]),
        by=by + _crossed(found, corners, outlines),
        seen=float(seen[known].mean()) if known.any() else None,
    )
