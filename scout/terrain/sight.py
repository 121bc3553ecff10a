"""One line of sight over the land: does anything stand in it, and what stands behind the perch?

The line is carried on behind the perch until it meets the land: that is the gap. Not for: its
picture (`sight_picture`), or the light along it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np

from scout.engine.geodesy import destination
from scout.records.trouble import Refused
from scout.terrain.model import BARE, Model, finest, order_for
from scout.terrain.patch import Doubles, heights_at
from scout.terrain.rays import drop_m
from scout.terrain.seen import FINE_ENOUGH, too_coarse

BEHIND_M: Final = 2_000.0
_STEP_SHARE = 0.5  # of a cell
_MOST_STEPS = 4_000
_GROWTH = 1.02  # behind the perch the steps grow with the distance from the lens


@attrs.frozen(kw_only=True)
class Line:
    """A line of sight as it is known: from a lens, along a bearing [deg true], to a perch.

    `distance_m` along the ground; heights over the ground [m]; `tilt_deg` where it was measured
    (up positive), which then counts before what the ground says; `tilt_plus_minus_deg` of either.
    """

    lat_deg: float
    lon_deg: float
    bearing_deg: float
    distance_m: float
    lens_height_m: float
    perch_height_m: float
    tilt_deg: float | None = None
    tilt_plus_minus_deg: float = 1.5


@attrs.frozen(kw_only=True, eq=False)
class Sighted:
    """A line of sight with the land under it.

    Distances from the lens [m]; `ground_m` the land above sea level, the Earth's curve taken off;
    `line_m` the line. `blocked_at_m` the first thing in the way, None where the line is free;
    `clearance_m` the least height of the line over the land (negative: how far it is blocked).
    `gap_m` behind the perch, infinite for sky, None where no model tells (nothing then stands
    within `gap_least_m`); `gap_low_m` and
    `gap_high_m` what the tilt's ± makes of it.
    """

    line: Line
    away_m: Doubles
    ground_m: Doubles
    line_m: Doubles
    tilt_deg: float
    blocked_at_m: float | None
    clearance_m: float
    clearance_at_m: float
    gap_m: float | None
    gap_least_m: float
    gap_low_m: float | None
    gap_high_m: float | None
    made_from: str
    remarks: tuple[str, ...]

    @property
    def sight_words(self) -> str:
        """Whether the perch is seen, in a sentence."""
        if self.blocked_at_m is None:
            return (
                f"Free: the line passes {self.clearance_m:.1f} m over the land at its nearest, "
                f"{self.clearance_at_m:.0f} m from the lens."
            )
        return (
            f"Blocked {self.blocked_at_m:.0f} m from the lens: the land stands up to "
            f"{-self.clearance_m:.1f} m in the line, most at {self.clearance_at_m:.0f} m."
        )

    @property
    def gap_words(self) -> str:
        """What stands behind the perch, in a sentence."""
        if self.gap_m is None:
            return (
                f"Nothing stands within {_metres(self.gap_least_m)} behind the perch; what stands "
                "further off is not known: no model there is fine enough."
            )
        if math.isinf(self.gap_m):
            words = "Sky stands behind the perch"
        else:
            words = f"The land stands {_metres(self.gap_m)} behind the perch"
        low, high = self.gap_low_m, self.gap_high_m
        if low is None or high is None or _metres(low) == _metres(high):
            return f"{words}."
        return f"{words} (with the tilt's ±: {_metres(low)} to {_metres(high)})."


def sight_of(
    models: Sequence[Model], line: Line, kind: str = BARE, behind_m: float = BEHIND_M
) -> Sighted:
    """Follow a line of sight over the land and carry it on behind the perch.

    Raises Refused where no model knows both ends, and where its cells are larger than a tenth of
    the line.
    """
    over = [one for one in models if one.covers(line.lat_deg, line.lon_deg)]
    best = finest(over, kind) or finest(over)
    if best is None:
        raise Refused.one(
            "no elevation model covers this line; take in the tile in which it lies"
            if models
            else "there is no elevation model here yet; take one in first"
        )
    coarse = too_coarse(best.cell_m, line.distance_m)
    if coarse is not None:
        raise Refused.one(coarse)
    away = _steps(line.distance_m, best.cell_m * _STEP_SHARE, behind_m)
    heights, whose, asked = _land(over, line, away, kind)
    lens_ground, perch_ground = _at(heights, away, 0.0), _at(heights, away, line.distance_m)
    bare_under = _bare_ends(over, line)
    lens_ground = bare_under[0] if math.isfinite(bare_under[0]) else lens_ground
    perch_ground = bare_under[1] if math.isfinite(bare_under[1]) else perch_ground
    if not (math.isfinite(lens_ground) and math.isfinite(perch_ground)):
        raise Refused.one("the models have a hole under this line; get one without")
    eye = lens_ground + line.lens_height_m
    flat = heights - drop_m(away)
    derived = (
        perch_ground + line.perch_height_m - float(drop_m(np.array([line.distance_m]))[0]) - eye
    ) / line.distance_m
    slope = derived if line.tilt_deg is None else math.tan(math.radians(line.tilt_deg))
    line_m = eye + slope * away
    blocked, clearance, at = _in_the_way(away, line_m - flat, line.distance_m, best.cell_m)
    told = _trusted(whose, asked, away)
    gap = _gap(away, flat, eye, slope, line.distance_m, told)
    lean = line.tilt_plus_minus_deg
    low = _gap(away, flat, eye, _leaned(slope, -lean), line.distance_m, told)
    high = _gap(away, flat, eye, _leaned(slope, lean), line.distance_m, told)
    remarks = []
    if line.tilt_deg is not None:
        said = math.degrees(math.atan(derived))
        if abs(said - line.tilt_deg) > max(2.0, line.tilt_plus_minus_deg):
            remarks.append(
                f"The tilt was measured as {line.tilt_deg:+.0f}°, the land says "
                f"{round(said) or 0:+d}°; what was measured counts."
            )
    used = [one for place, one in enumerate(asked) if (whose == place).any()]
    if used and used[0].kind == BARE:
        remarks.append("Bare earth: bushes and trees are not in it; look before you trust it.")
    return Sighted(
        line=line,
        away_m=away,
        ground_m=flat,
        line_m=line_m,
        tilt_deg=math.degrees(math.atan(slope)),
        blocked_at_m=blocked,
        clearance_m=clearance,
        clearance_at_m=at,
        gap_m=gap,
        gap_least_m=_known_m(away, heights, told, line.distance_m),
        gap_low_m=low,
        gap_high_m=high,
        made_from="; ".join(one.words for one in used),
        remarks=tuple(remarks),
    )


def _steps(distance_m: float, step_m: float, behind_m: float) -> Doubles:
    """Distances from the lens: even up to the perch, then growing."""
    count = min(_MOST_STEPS, max(8, math.ceil(distance_m / step_m)))
    before = np.linspace(0.0, distance_m, count + 1)
    beyond = [distance_m]
    while beyond[-1] < distance_m + behind_m:
        beyond.append(
            min(
                distance_m + behind_m,
                max(beyond[-1] + step_m, distance_m + (beyond[-1] - distance_m) * _GROWTH),
            )
        )
    return np.concatenate([before, np.array(beyond[1:])])


def _land(
    models: Sequence[Model], line: Line, away: Doubles, kind: str
) -> tuple[Doubles, Doubles, list[Model]]:
    """The land along the line, from the finest model of the wanted kind, others in its holes."""
    places = [destination(line.lat_deg, line.lon_deg, line.bearing_deg, float(one)) for one in away]
    heights = np.full(len(away), np.nan)
    whose = np.full(len(away), -1.0)
    asked = order_for(models, 0.0, kind)
    for place, model in enumerate(asked):
        left = np.flatnonzero(np.isnan(heights))
        if not left.size:
            break
        found = heights_at(model, [places[spot] for spot in left])
        known = np.isfinite(found)
        heights[left[known]] = found[known]
        whose[left[known]] = place
    return heights, whose, asked


def _bare_ends(models: Sequence[Model], line: Line) -> tuple[float, float]:
    """The bare ground under both ends: a lens stands on the ground, not on a tree."""
    bare = finest(models, BARE)
    if bare is None:
        return math.nan, math.nan
    end = destination(line.lat_deg, line.lon_deg, line.bearing_deg, line.distance_m)
    found = heights_at(bare, [(line.lat_deg, line.lon_deg), end])
    return float(found[0]), float(found[1])


def _at(heights: Doubles, away: Doubles, distance_m: float) -> float:
    return float(heights[int(np.argmin(np.abs(away - distance_m)))])


def _in_the_way(
    away: Doubles, over: Doubles, distance_m: float, cell_m: float
) -> tuple[float | None, float, float]:
    """Find the first thing in the line before the perch, and where it passes lowest.

    Within a cell and a half of either end nothing counts: what lens and perch stand on is there.
    """
    margin = min(1.5 * cell_m, 0.2 * distance_m)
    inside = (away >= margin) & (away <= distance_m - margin) & np.isfinite(over)
    if not inside.any():
        return None, 0.0, 0.0
    spots = np.flatnonzero(inside)
    lowest = spots[int(np.argmin(over[spots]))]
    hit = spots[over[spots] < 0.0]
    first = float(away[hit[0]]) if hit.size else None
    return first, float(over[lowest]), float(away[lowest])


def _trusted(whose: Doubles, asked: Sequence[Model], away: Doubles) -> Doubles:
    """Where the land is told by cells that are fine enough for the distance."""
    cells = np.array([*(one.cell_m for one in asked), math.inf])
    mine = cells[whose.astype(int)]
    told: Doubles = (mine <= np.maximum(away, 1e-9) / FINE_ENOUGH).astype(np.float64)
    return told


def _gap(
    away: Doubles,
    flat: Doubles,
    eye: float,
    slope: float,
    distance_m: float,
    told: Doubles,
) -> float | None:
    """How far behind the perch the line meets the land; infinite for never, None for unknown."""
    behind = away > distance_m * 1.0001
    over = eye + slope * away - flat
    hit = np.flatnonzero(behind & (over <= 0.0))
    unknown = np.flatnonzero(behind & (np.isnan(over) | (told == 0.0)))
    if hit.size and not (unknown.size and unknown[0] < hit[0]):
        spot = int(hit[0])
        before = over[spot - 1]
        part = 1.0 if not before > 0.0 else before / (before - over[spot])
        met = away[spot - 1] + part * (away[spot] - away[spot - 1])
        return max(0.0, float(met) - distance_m)
    # Land further off than the last model tells could still stand there, if it is high enough;
    # a line that looks up by more than land rises anywhere ends in the sky.
    if unknown.size:
        return None
    return math.inf


def _known_m(away: Doubles, heights: Doubles, told: Doubles, distance_m: float) -> float:
    """How far behind the perch the land is told well enough [m]."""
    unknown = np.flatnonzero((away > distance_m * 1.0001) & (np.isnan(heights) | (told == 0.0)))
    last = away[-1] if not unknown.size else away[unknown[0] - 1]
    return max(0.0, float(last) - distance_m)


def _leaned(slope: float, by_deg: float) -> float:
    return math.tan(math.atan(slope) + math.radians(by_deg))


def _metres(distance_m: float) -> str:
    if math.isinf(distance_m):
        return "sky"
    return f"{distance_m:.1f} m" if distance_m < 9.95 else f"{distance_m:.0f} m"
