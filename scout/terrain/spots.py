"""The best distinct places out of a search, each with every figure behind it.

Not for: the search itself (`finder`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from typing import Final

import attrs
import numpy as np

from scout.engine.angles import opposite_deg, wrap_deg
from scout.engine.geodesy import LocalPlane, distance_m
from scout.engine.sightline import PIN_PLUS_MINUS_M
from scout.engine.wind import winds_words
from scout.terrain.finder import LIGHT_STEP_DEG, Found
from scout.terrain.way_in import Outline, Recorded, WayIn, way_in

MOST_SPOTS: Final = 6
APART_M: Final = 8.0
APART_DEG: Final = 20.0


@attrs.frozen(kw_only=True)
class Spot:
    """One place to sit: where, for which perch, and what is known of it.

    `plus_minus_m` of the distance, once one has gone there by such a position as a phone's;
    `bearing_deg` true and `tilt_deg` lens to perch; `gap_m` infinite for sky, at least that where
    `gap_open`; `good_min` by sky; `way` in, None where none is known; `bad_winds` in words;
    `room_cells` how much room it has, 0 to 3.
    """

    perch: str
    perch_name: str
    lat_deg: float
    lon_deg: float
    ground_m: float
    lens_height_m: float
    distance_m: float
    plus_minus_m: float
    bearing_deg: float
    tilt_deg: float
    gap_m: float
    gap_open: bool
    good_min: dict[str, int]
    slope_deg: float
    bad_winds: str
    way: WayIn | None
    room_cells: int

    def as_json(self) -> dict[str, object]:
        """Answer it with every figure rounded as it is printed."""
        seen = None if self.way is None else self.way.seen
        return {
            "perch": self.perch,
            "perch_name": self.perch_name,
            "lat": round(self.lat_deg, 6),
            "lon": round(self.lon_deg, 6),
            "ground_m": round(self.ground_m, 1),
            "lens_height_m": self.lens_height_m,
            "distance_m": round(self.distance_m, 1),
            "plus_minus_m": round(self.plus_minus_m),
            "bearing_deg": round(self.bearing_deg) % 360,
            "tilt_deg": round(self.tilt_deg, 1),
            "gap_m": None if math.isinf(self.gap_m) else round(self.gap_m, 1),
            "gap_at_least": self.gap_open,
            "sky_behind": math.isinf(self.gap_m),
            "good_min": self.good_min,
            "slope_deg": round(self.slope_deg),
            "bad_winds": self.bad_winds,
            "walk_seen_percent": None if seen is None else round(100 * seen),
            "walk_m": None if self.way is None else round(self.way.length_m),
            "walk_by": None if self.way is None else self.way.by,
        }


def best_spots(
    found: Sequence[Found],
    *,
    start: tuple[float, float] | None = None,
    ways: Sequence[Recorded] = (),
    outlines: Sequence[Outline] = (),
    half_width_deg: float = 45.0,
    most: int = MOST_SPOTS,
) -> list[Spot]:
    """Choose the best places that are distinct from each other, best first.

    By good minutes, then the larger gap, then the more level line. Two count as distinct where
    they lie 8 m apart or 20° round the same perch. `ways`: recorded walk-ins; `start` of a straight
    one (latitude, longitude); `outlines` that nobody should walk through; `half_width_deg` of the
    bad winds.
    """
    ranked: list[tuple[tuple[float, ...], int, int, int]] = []
    for place, one in enumerate(found):
        rows, columns = np.nonzero(one.good_min)
        minutes = one.good_min[rows, columns].astype(float)
        gaps = np.minimum(one.gap_m[rows, columns], 500.0).astype(float)
        tilts = np.abs(one.tilt_deg[rows, columns]).astype(float)
        room = _room(one)[rows, columns]
        # A place with room round it before one that a pin could miss.
        order = np.lexsort((columns, rows, np.round(tilts), -np.round(gaps), -room, -minutes))
        for spot in _thinned(one, rows, columns, order, most):
            ranked.append(
                (
                    (-minutes[spot], -float(room[spot]), -round(gaps[spot]), round(tilts[spot])),
                    place,
                    int(rows[spot]),
                    int(columns[spot]),
                )
            )
    ranked.sort()
    way = partial(way_in, start=start, known=ways, outlines=outlines)
    spots: list[Spot] = []
    for _, place, row, column in ranked:
        made = _spot(found[place], row, column, way, half_width_deg)
        # One place may serve two perches: it stands once, for the better.
        if all(_apart_m(made, other) >= APART_M / 2.0 for other in spots):
            spots.append(made)
        if len(spots) == most:
            break
    return spots


def _apart_m(one: Spot, other: Spot) -> float:
    return distance_m(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg)


def _room(one: Found) -> np.ndarray:
    """How many of the nine cells round each also serve, in three steps."""
    good = (one.good_min > 0).astype(np.int16)
    padded = np.pad(good, 1)
    size = one.patch.size
    around = sum(
        padded[down : down + size, over : over + size] for down in range(3) for over in range(3)
    )
    room: np.ndarray = np.asarray(around) // 3
    return room


def _thinned(
    one: Found, rows: np.ndarray, columns: np.ndarray, order: np.ndarray, most: int
) -> list[int]:
    east, north = one.patch.axes_m()
    x, y = east[columns], north[rows]
    turn = np.degrees(np.arctan2(x, y))
    chosen: list[int] = []
    open_ones = np.ones(len(order), dtype=bool)
    for place, spot in enumerate(order):
        if not open_ones[place]:
            continue
        chosen.append(int(spot))
        if len(chosen) == most:
            break
        rest = order[place:]
        near = np.hypot(x[rest] - x[spot], y[rest] - y[spot]) < APART_M
        along = np.abs((turn[rest] - turn[spot] + 180.0) % 360.0 - 180.0) < APART_DEG
        open_ones[place:] &= ~(near | along)
    return chosen


def _spot(
    one: Found,
    row: int,
    column: int,
    way: Callable[[Found, tuple[float, float]], WayIn | None],
    half_width_deg: float,
) -> Spot:
    east, north = (
        float(axis[place]) for axis, place in zip(one.patch.axes_m(), (column, row), strict=True)
    )
    target = one.target
    plane = LocalPlane(target.lat_deg, target.lon_deg)
    lat, lon = plane.to_globe(east, north)
    toward = wrap_deg(math.degrees(math.atan2(east, north)))
    bearing = opposite_deg(toward)
    step = round(toward / LIGHT_STEP_DEG) % (360 // LIGHT_STEP_DEG)
    clear, sun_out, sun_in, overcast = one.counts[step]
    share = one.wanted.sun_share
    return Spot(
        perch=target.id,
        perch_name=target.name,
        lat_deg=lat,
        lon_deg=lon,
        ground_m=float(one.ground.heights_m[row, column]),
        lens_height_m=one.wanted.lens_height_m,
        distance_m=math.hypot(east, north),
        plus_minus_m=math.hypot(target.plus_minus_m, PIN_PLUS_MINUS_M),
        bearing_deg=bearing,
        tilt_deg=float(one.tilt_deg[row, column]),
        gap_m=float(one.gap_m[row, column]),
        gap_open=bool(one.gap_open[row, column]),
        good_min={
            "clear": clear,
            "in and out": round(share * sun_out + (1.0 - share) * sun_in),
            "overcast": overcast,
        },
        slope_deg=float(one.slope_deg[row, column]),
        bad_winds=winds_words(one.wanted.animal, bearing, half_width_deg),
        way=way(one, (east, north)),
        room_cells=int(_room(one)[row, column]),
    )
