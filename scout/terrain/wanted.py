"""What a place to sit must offer: the conditions of a search, with the reasons they come from.

Not for: searching (`finder`).
"""

from __future__ import annotations

from typing import Final

import attrs

from scout.engine.carried import optic_of
from scout.engine.level import ON_GROUND
from scout.engine.reach import reach_m
from scout.records.kit import Kit, Species
from scout.records.settings import Settings
from scout.records.trouble import Refused

# Height of the lens over the ground [m]: common practice, no source.
POSTURES: Final = {"lying": 0.3, "sitting": 0.9, "kneeling": 1.1, "standing": 1.6}
HEAD_OVER_LENS_M: Final = 0.25
MOST_SLOPE_DEG: Final = 15.0
LEAST_GAP_M: Final = 5.0
MOST_REACH_M: Final = 400.0
WALKER_M: Final = 1.7

_NO_KEEP_DISTANCE = (
    "{animal} has no keep-distance {where} yet, and without one no place is looked for; set your "
    "own from what you saw of it. No figure holds everywhere"
)


@attrs.frozen(kw_only=True)
class Wanted:
    """The conditions: distances, heights and gaps [m], angles [deg].

    `animal` is mammal, bird or other. `nearest_m` is the keep-distance: nothing nearer is ever
    offered. `farthest_m` is where the animal no longer fills the wanted picture.
    """

    animal: str
    nearest_m: float
    farthest_m: float
    lens_height_m: float
    level_perch_deg: float
    level_ground_deg: float
    least_gap_m: float = LEAST_GAP_M
    most_slope_deg: float = MOST_SLOPE_DEG
    light_wanted: str = "any"
    sky: str = "in and out"
    sun_share: float = 0.5

    def level_deg(self, perch_kind: str | None) -> float:
        """Up to which tilt a line to a kind of perch is level."""
        return self.level_ground_deg if perch_kind in ON_GROUND else self.level_perch_deg


def wanted_of(
    kit: Kit,
    species: Species,
    settings: Settings,
    *,
    posture: str = "sitting",
    in_hide: bool = False,
    least_gap_m: float = LEAST_GAP_M,
    light_wanted: str = "any",
    sky: str = "in and out",
    farthest_m: float | None = None,
) -> Wanted:
    """Put the conditions together from kit, animal and settings.

    Raises Refused where there is no keep-distance, and where nothing beyond it fills the frame.
    """
    if posture not in POSTURES:
        raise Refused.one(f"say one of: {', '.join(POSTURES)}", "posture")
    keep = species.keep_distance_hide_m if in_hide else species.keep_distance_open_m
    if keep is None or keep <= 0.0:
        where = "from a settled hide" if in_hide else "in the open"
        raise Refused.one(_NO_KEEP_DISTANCE.format(animal=species.name, where=where), "species")
    filled = reach_m(optic_of(kit), species.length_m, settings.output_px, settings.frame_share)
    if filled is None:
        raise Refused.one(
            f"{kit.name} has fewer pixels than the wanted picture of {settings.output_px} across; "
            "want a smaller one",
            "kit",
        )
    nearest = max(keep, kit.nearest_focus_m or 0.0)
    farthest = min(filled, farthest_m or filled, MOST_REACH_M)
    if farthest <= nearest:
        raise Refused.one(
            f"not with this kit: {species.name} fills the wanted frame up to {filled:.0f} m, and "
            f"nothing nearer than {nearest:.0f} m is offered. Take a longer lens, or make it a "
            "picture of the place",
            "kit",
        )
    return Wanted(
        animal=species.animal,
        nearest_m=nearest,
        farthest_m=farthest,
        lens_height_m=POSTURES[posture],
        level_perch_deg=settings.level_perch_deg,
        level_ground_deg=settings.level_ground_deg,
        least_gap_m=least_gap_m,
        light_wanted=light_wanted,
        sky=sky,
        sun_share=settings.sun_share,
    )
