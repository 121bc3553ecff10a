"""Angles round the horizon: wrapping, turning, averaging, and their compass words.

Bearings are degrees clockwise from north. Not for converting magnetic to true (`declination`),
nor for directions between places (`geodesy`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import attrs

from scout.records.rough import ROSE


@attrs.frozen
class MeanBearing:
    """Hold the mean direction of several bearings.

    `bearing_deg` [deg, 0 to below 360]; `spread_deg` is the circular standard deviation [deg];
    `resultant` the length of the mean unit vector [0 to 1].
    """

    bearing_deg: float
    spread_deg: float
    resultant: float


def finite(value: float, field: str) -> float:
    """Give the number back as a float, or raise ValueError naming the field."""
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise ValueError(f"The {field} must be a finite number.")
    return float(value)


def bearing(value: float, field: str = "bearing") -> float:
    """Check a bearing [deg, 0 to 360] and give it back in [0, 360).

    Raises ValueError naming the field: a bearing of 400 is a slip, not a full turn and forty.
    """
    number = finite(value, field)
    if not 0.0 <= number <= 360.0:
        raise ValueError(f"The {field} must lie between 0 and 360 degrees, not {number:g}.")
    return wrap_deg(number)


def wrap_deg(angle_deg: float) -> float:
    """Bring any angle [deg] into [0, 360)."""
    wrapped = finite(angle_deg, "angle") % 360.0
    # -1e-20 % 360.0 is 360.0 in floating point.
    return 0.0 if wrapped >= 360.0 else wrapped + 0.0


def turn_deg(from_deg: float, to_deg: float) -> float:
    """Give the shorter turn from one bearing to another [deg, above -180 to 180].

    Clockwise is positive; a half turn is +180.
    """
    turn = wrap_deg(finite(to_deg, "bearing") - finite(from_deg, "bearing"))
    return turn if turn <= 180.0 else turn - 360.0


def apart_deg(one_deg: float, other_deg: float) -> float:
    """Give the angle between two bearings without its sense [deg, 0 to 180]."""
    return abs(turn_deg(one_deg, other_deg))


def opposite_deg(bearing_deg: float) -> float:
    """Give the bearing the other way round [deg, 0 to below 360]."""
    return wrap_deg(finite(bearing_deg, "bearing") + 180.0)


def mean_bearing(
    bearings_deg: Sequence[float], weights: Sequence[float] | None = None
) -> MeanBearing:
    """Average bearings [deg] as unit vectors, so that 350 and 10 make 0 and not 180.

    Weights, if given, are positive, one for each bearing. Raises ValueError for none at all, and
    where the bearings cancel out so that no direction is the mean.
    Source: Zar (1999), Biostatistical Analysis, chapter 26; the spread is the square root of
    -2 ln r, Mardia (1972).
    """
    if not bearings_deg:
        raise ValueError("A mean bearing needs at least one bearing.")
    shares = [1.0] * len(bearings_deg) if weights is None else list(weights)
    if len(shares) != len(bearings_deg):
        raise ValueError("A mean bearing needs one weight for each bearing.")
    for share in shares:
        if finite(share, "weight of a bearing") <= 0.0:
            raise ValueError("The weight of a bearing must be above 0.")
    radians = [math.radians(wrap_deg(one)) for one in bearings_deg]
    total = math.fsum(shares)
    east = math.fsum(w * math.sin(a) for w, a in zip(shares, radians, strict=True)) / total
    north = math.fsum(w * math.cos(a) for w, a in zip(shares, radians, strict=True)) / total
    resultant = min(1.0, math.hypot(east, north))
    if resultant < 1e-9:
        raise ValueError("The bearings cancel out: they have no mean. Measure again.")
    return MeanBearing(
        bearing_deg=wrap_deg(math.degrees(math.atan2(east, north))),
        spread_deg=math.degrees(math.sqrt(max(0.0, -2.0 * math.log(resultant)))),
        resultant=resultant,
    )


def between(bearing_deg: float, from_deg: float, to_deg: float) -> bool:
    """Say whether a bearing lies in the range clockwise from one bearing to another, ends included.

    All in degrees; 340 to 20 runs across north, 0 to 360 is the whole circle, and a range from a
    bearing to itself holds that bearing alone.
    """
    into_deg = wrap_deg(round(finite(bearing_deg, "bearing") - finite(from_deg, "bearing"), 9))
    return into_deg <= arc_deg(from_deg, to_deg)


def arc_deg(from_deg: float, to_deg: float) -> float:
    """Give the width of the range clockwise from one bearing to another [deg, 0 to 360]."""
    raw = finite(to_deg, "bearing") - finite(from_deg, "bearing")
    # Rounded so that 0.1 + 0.2 does not fall outside a range that ends at 0.3.
    return 360.0 if raw >= 360.0 else wrap_deg(round(raw, 9))


def compass_letters(bearing_deg: float, points: Literal[8, 16] = 16) -> str:
    """Give the nearest compass point in letters, such as "NE"; a tie falls clockwise."""
    return ROSE[_point(bearing_deg, points)][0]


def range_words(from_deg: float, to_deg: float, points: Literal[8, 16] = 16) -> str:
    """Put a clockwise range of bearings into words, such as "NE to SE"."""
    if arc_deg(from_deg, to_deg) >= 360.0:
        return "any direction"
    first, last = compass_letters(from_deg, points), compass_letters(to_deg, points)
    if first == last:
        return f"all but {first}" if arc_deg(from_deg, to_deg) > 180.0 else first
    return f"{first} to {last}"


def _point(bearing_deg: float, points: Literal[8, 16]) -> int:
    if points not in (8, 16):
        raise ValueError("A compass has 8 or 16 points here.")
    step = 360.0 / points
    # Rounded first: two builds of Python may differ in the last bit of a computed bearing.
    nearest = math.floor(round(wrap_deg(bearing_deg), 6) / step + 0.5) % points
    return nearest * (16 // points)
