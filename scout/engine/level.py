"""Whether the lens is on the animal's level, and what shooting down does to the gap.

Tilt is positive where the lens looks up at the animal. It is *not* for skylines or terrain: the
ground round the animal is taken as flat.
"""

from __future__ import annotations

from math import isfinite, radians, sin
from typing import Literal

from scout.engine.exposure import require_finite, require_positive

# Up to the first angle level, up to the second slightly off; common practice, settings [degrees].
LEVEL_ON_PERCH_DEG = (5, 15)
LEVEL_ON_GROUND_DEG = (2, 6)

# Kinds of perch on which the animal stands on the ground or sits on water.
ON_GROUND = ("ground", "water edge", "crossing", "run", "feeding place", "drinking place")


def _tilt(tilt_deg: float) -> float:
    if not (isfinite(tilt_deg) and abs(tilt_deg) <= 90.0):
        raise ValueError(f"tilt_deg: {tilt_deg!r} is no tilt; give degrees from -90 to 90.")
    return tilt_deg


def level_limits_deg(kind: str | None) -> tuple[int, int]:
    """Return up to which tilt a kind of perch counts as level, and as slightly off [degrees]."""
    return LEVEL_ON_GROUND_DEG if kind in ON_GROUND else LEVEL_ON_PERCH_DEG


def level_word(
    tilt_deg: float, kind: str | None, limits_deg: tuple[float, float] | None = None
) -> str:
    """Say how the lens stands to the animal, from the tilt rounded to a whole degree.

    `limits_deg` up to which it is level and slightly off, the usual ones of the kind where None.

    "level" ("eye level" on ground and water), "slightly above", "well below" and so on; above means
    that the lens is above the animal, looking down (negative tilt).
    """
    shown = round(_tilt(tilt_deg))
    level, slight = level_limits_deg(kind) if limits_deg is None else limits_deg
    if abs(shown) <= level:
        return "eye level" if kind in ON_GROUND else "level"
    how = "slightly" if abs(shown) <= slight else "well"
    return f"{how} {'below' if shown > 0 else 'above'}"


def highest_lens_m(
    distance_m: float,
    animal_height_m: float,
    kind: str | None,
    limits_deg: tuple[float, float] | None = None,
) -> float:
    """Return the greatest lens height over the ground or water that is still level [m].

    `animal_height_m` is its eye over the same ground, `distance_m` along the line: 0.15 m at 12 m
    on water gives 0.57 m.
    """
    require_positive("distance_m", distance_m, "m")
    limit = (level_limits_deg(kind) if limits_deg is None else limits_deg)[0]
    return require_finite("animal_height_m", animal_height_m, "m") + distance_m * sin(
        radians(limit)
    )


def ground_gap_m(tilt_deg: float, eye_height_m: float) -> float | None:
    """Return how far behind the animal's eye the line of sight meets the ground or water [m].

    Along the line, over flat ground; `eye_height_m` of the animal over it. It depends on tilt and
    height alone: 5 degrees down and an eye 0.15 m above the water give 1.7 m, from any distance.
    None where the lens does not look down.
    """
    require_positive("eye_height_m", eye_height_m, "m")
    if _tilt(tilt_deg) >= 0.0:
        return None
    return eye_height_m / sin(radians(-tilt_deg))


def gap_behind_m(tilt_deg: float, eye_height_m: float, background_gap_m: float) -> float:
    """Return the gap that counts: to the background, or to the ground that comes before it [m]."""
    ground = ground_gap_m(tilt_deg, eye_height_m)
    return background_gap_m if ground is None else min(ground, background_gap_m)


def shooting_down_sentence(
    tilt_deg: float,
    eye_height_m: float,
    what: Literal["ground", "water"],
    animal: str = "animal",
) -> str | None:
    """Say what looking down puts behind the animal, or None where the lens does not look down."""
    gap = ground_gap_m(tilt_deg, eye_height_m)
    if gap is None or round(tilt_deg) == 0:
        return None
    return f"lens {-tilt_deg:.0f}° above: {what} {gap:.1f} m behind the {animal}'s eye"
