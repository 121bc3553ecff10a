"""What each way of measuring is good for: a plus-minus for every value by how it was measured.

Read by the records and by the engine alike. Every plus-minus here is common practice, no source; a
person may always type a better one. Not for reading what a person wrote: that is `rough`.
"""

from __future__ import annotations

import math
from typing import Literal

import attrs

Quantity = Literal["bearing", "distance", "tilt", "position", "elevation"]

POINT16_PLUS_MINUS_DEG = 11.0
POINT8_PLUS_MINUS_DEG = 22.0


@attrs.frozen
class How:
    """Say what one way of measuring is good for; its key is the word shown.

    Each plus-minus is None where the way does not measure that quantity: bearing and tilt [deg],
    position and elevation [m], distance as metres and as a share of it (the larger counts).
    """

    key: str
    bearing_deg: float | None = None
    distance_m: float | None = None
    distance_share: float | None = None
    tilt_deg: float | None = None
    position_m: float | None = None
    elevation_m: float | None = None
    least_distance_m: float = 0.0


HOW: dict[str, How] = {
    how.key: how
    for how in (
        How("sighting compass", bearing_deg=2.0),
        How("phone compass", bearing_deg=10.0),  # 5 to 15
        How("sun shadow", bearing_deg=3.0),
        How("compass word", bearing_deg=POINT8_PLUS_MINUS_DEG),
        How("phone edge", tilt_deg=1.5),  # 1 to 2
        How("clinometer", tilt_deg=0.5),
        How("rangefinder", distance_m=1.0, least_distance_m=5.0),
        How("tape", distance_m=0.05, distance_share=0.005, elevation_m=0.1),
        How("pacing", distance_m=0.5, distance_share=0.10),
        How("map", bearing_deg=3.0, distance_m=5.0, position_m=5.0, elevation_m=5.0),
        How("satellite fix", position_m=10.0, elevation_m=15.0),  # 5 to 15 under trees
        How("terrain", elevation_m=5.0),
        How(
            "guess",
            bearing_deg=POINT8_PLUS_MINUS_DEG,
            distance_m=0.5,
            distance_share=0.25,
            tilt_deg=5.0,
            position_m=50.0,
            elevation_m=20.0,
        ),
    )
}
"""Every way of measuring by its key (common practice, no source)."""


def plus_minus(how: str, quantity: Quantity, value: float = 0.0) -> float:
    """Give the plus-minus of a value by how it was measured.

    `how` is a key of `HOW`; `value` [m] matters to distances alone. Returns degrees for a bearing
    or tilt, metres for the others. Raises ValueError where this way of measuring does not give
    that quantity. Common practice, no source.
    """
    way = _way(how)
    if quantity == "bearing":
        answer = way.bearing_deg
    elif quantity == "tilt":
        answer = way.tilt_deg
    elif quantity == "position":
        answer = way.position_m
    elif quantity == "elevation":
        answer = way.elevation_m
    elif quantity == "distance":
        if not math.isfinite(value) or value < 0.0:
            raise ValueError("The distance must be a number of metres, 0 or more.")
        shares = [
            share
            for share in (
                way.distance_m,
                None if way.distance_share is None else way.distance_share * value,
            )
            if share is not None
        ]
        answer = max(shares) if shares else None
    else:
        raise ValueError(
            f"{quantity!r} is not measured here: bearing, distance, tilt, position, elevation are."
        )
    if answer is None:
        able = ", ".join(other.key for other in HOW.values() if _measures(other, quantity))
        raise ValueError(f"A {quantity} is not measured by {way.key}. Choose one of: {able}.")
    return answer


def caution(how: str, value_m: float) -> str | None:
    """Say when a distance [m] is nearer than the instrument can measure, else None."""
    way = _way(how)
    if value_m < way.least_distance_m:
        return (
            f"A {way.key} is useless under {way.least_distance_m:g} m: "
            "use a tape or pace the distance."
        )
    return None


def _way(how: str) -> How:
    way = HOW.get(how)
    if way is None:
        raise ValueError(f"{how!r} is no way of measuring. Choose one of: {', '.join(HOW)}.")
    return way


def _measures(way: How, quantity: Quantity) -> bool:
    fields = {
        "bearing": (way.bearing_deg,),
        "tilt": (way.tilt_deg,),
        "position": (way.position_m,),
        "elevation": (way.elevation_m,),
        "distance": (way.distance_m, way.distance_share),
    }[quantity]
    return any(field is not None for field in fields)
