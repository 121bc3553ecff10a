"""First light on the land: the minute at which the sun reaches each spot of a stretch of country.

The shadow of every hill is swept along the sun's direction, minute step by minute step; what stands
beyond the stretch counts as it is seen from its middle. Not for: drawing it (`pictures`), or one
perch's own skyline, which is finer (`skylines`).
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import Final

import attrs
import numpy as np

from scout.engine.skyline import Skyline
from scout.engine.sun import SunPath
from scout.terrain.patch import Floats, Patch
from scout.terrain.taking_in import Progress, quiet

STEP_MIN: Final = 2.0
LONGEST_MIN: Final = 240.0
_EPSILON_M = 0.02  # of rounding between one row and the next


@attrs.frozen(kw_only=True, eq=False)
class FirstLight:
    """When direct light comes (at dusk: goes), over a patch.

    `minutes` after the level sunrise (at dusk: before the level sunset), NaN where it does not come
    within LONGEST_MIN; `level_utc` that sunrise or sunset.
    """

    patch: Patch
    minutes: Floats
    level_utc: datetime
    dawn: bool


def first_light(
    patch: Patch,
    level_utc: datetime,
    *,
    dawn: bool = True,
    far: Skyline | None = None,
    height_m: float = 0.0,
    step_min: float = STEP_MIN,
    progress: Progress = quiet,
) -> FirstLight:
    """Follow the sun up from the level sunrise (at dusk back from the level sunset).

    `far` is the skyline of what lies beyond the patch, seen from its middle. `height_m` over the
    ground at which the light is looked for. The centre of the sun counts, as it is seen.
    """
    path = SunPath(patch.lat_deg, patch.lon_deg)
    minutes = np.full(patch.heights_m.shape, np.nan, dtype=np.float32)
    way = 1.0 if dawn else -1.0
    heights = np.where(np.isnan(patch.heights_m), np.float32(-1e6), patch.heights_m)
    known = ~np.isnan(patch.heights_m)
    count = int(LONGEST_MIN / step_min)
    before: Floats | None = None
    for step in range(count + 1):
        after = step * step_min
        at = level_utc + timedelta(minutes=way * after)
        altitude, azimuth = path.apparent(at.timestamp())
        progress(step / count, "following the sun")
        if altitude <= 0.0:
            continue
        over = _over_shadow(heights, patch.cell_m, azimuth, altitude) + np.float32(height_m)
        beyond = None if far is None else far.altitude_at(azimuth)
        if beyond is not None and beyond > altitude:
            over = np.minimum(over, np.float32(-1.0))
        lit = over >= -_EPSILON_M
        fresh = lit & np.isnan(minutes)
        if before is None or step == 0:
            minutes[fresh] = after
        else:
            # Between two steps the shadow's edge passes as the depth of shade shrinks.
            deep = np.maximum(-before, 0.0)
            part = deep / np.maximum(deep + np.maximum(over, 0.0) + np.float32(1e-3), 1e-3)
            between = (after - step_min + part * step_min).astype(np.float32)
            minutes[fresh] = np.minimum(between, np.float32(after))[fresh]
        before = over
        if not (np.isnan(minutes) & known).any():
            break
    minutes[~known] = np.nan
    progress(1.0, "done")
    return FirstLight(patch=patch, minutes=minutes, level_utc=level_utc, dawn=dawn)


def _over_shadow(heights: Floats, cell_m: float, azimuth_deg: float, altitude_deg: float) -> Floats:
    """Give how far the ground stands above the shadow cast on it; negative in shade [m].

    The grid is swept row by row away from the sun; each row takes over the shadow of the row
    before, moved sideways by the sun's direction and sunk by its altitude.
    """
    turn = math.radians(azimuth_deg)
    east, north = math.sin(turn), math.cos(turn)
    across = abs(east) > abs(north)  # sweep columns where the sun stands more east or west
    grid = heights.T if across else heights
    lead, side = (east, -north) if across else (-north, east)
    # `lead`: the sun's direction in rows, `side` in columns of the grid as it is swept.
    rows = grid if lead < 0.0 else grid[::-1]
    slide = side / abs(lead)  # columns towards the sun for one row towards it
    length = cell_m * math.hypot(1.0, slide)
    sink = np.float32(length * math.tan(math.radians(altitude_deg)))
    count = rows.shape[1]
    over = np.empty_like(rows)
    over[0] = 0.0
    shade = rows[0].copy()
    shift = math.floor(slide)
    part = np.float32(slide - shift)
    spots = np.arange(count)
    low = np.clip(spots + shift, 0, count - 1)
    high = np.clip(spots + shift + 1, 0, count - 1)
    outside_low, outside_high = spots + shift < 0, spots + shift + 1 >= count
    outside = outside_low | outside_high
    for row in range(1, rows.shape[0]):
        coming = shade[low] * (1 - part) + shade[high] * part - sink
        coming[outside] = -1e6  # from beyond the edge comes only what `far` tells of
        land = rows[row]
        over[row] = land - coming
        shade = np.maximum(land, coming)
    back = over if lead < 0.0 else over[::-1]
    found: Floats = np.minimum(back.T if across else back, np.float32(1e3))
    return np.ascontiguousarray(found)


def margin_m(half_m: float) -> float:
    """How much land round a stretch is swept with it, so that its edges are right [m]."""
    return max(200.0, 0.5 * half_m)


def levels_min(minutes: Floats, wanted: int = 8) -> list[int]:
    """Choose the minutes at which lines are drawn: few enough to be told apart."""
    known = minutes[np.isfinite(minutes)]
    if not known.size:
        return []
    low, high = (float(one) for one in np.percentile(known, (1.0, 99.0)))
    span = high - low
    step = next((one for one in (2, 5, 10, 15, 20, 30) if span / one <= wanted), 60)
    first = math.ceil(low / step) * step
    return [one for one in range(int(first), int(high) + 1, step) if one > low]
