"""A kit as it is carried: its optic with the extender on, and the light its wanted shutters need.

Not for: the optics or the exposure law themselves (`optics`, `exposure`).
"""

from __future__ import annotations

from functools import lru_cache

import attrs

from scout.engine.exposure import (
    TRANSMISSION_LOSS_EV,
    WANTED_SHUTTERS,
    crop_factor,
    hand_held_s,
    loss_ev,
    lux_needed,
    with_extender,
)
from scout.engine.minutes import Needs
from scout.engine.optics import Optic, aperture_at, seen_focal_mm
from scout.records.kit import Kit, Species

LARGE_BIRD_M = 0.25  # shorter ones need faster wings stopped: common practice, no source

# Which of the wanted shutters stands for perched, fidgeting and flight, by kind of animal.
_BEHAVIOURS = {
    "bird": ("perched", "fidgeting", "large bird in flight"),
    "mammal": ("standing", "walking", "running"),
    "other": ("perched", "fidgeting", "running"),
}


@attrs.frozen
class Shutter:
    """One wanted shutter: the behaviour in a trade word and the time [s]."""

    behaviour: str
    wanted_s: float


@lru_cache(maxsize=16)  # a card asks it for every sentence
def optic_of(kit: Kit) -> Optic:
    """Answer a kit's optic at its longest, extender on.

    A frame width seen at a known distance replaces the engraved focal length.
    """
    focal = kit.focal_mm
    if kit.seen_width is not None:
        focal = seen_focal_mm(
            kit.seen_width.frame_width_m, kit.seen_width.distance_m, kit.sensor_width_mm
        )
    f_number = aperture_at([(step.focal_mm, step.f_number) for step in kit.apertures], kit.focal_mm)
    focal, f_number = with_extender(focal, f_number, kit.extender or 1.0)
    return Optic(
        focal_mm=focal,
        f_number=f_number,
        sensor_width_mm=kit.sensor_width_mm,
        sensor_height_mm=kit.sensor_height_mm,
        pixels_wide=kit.pixels_wide,
        nearest_focus_m=kit.nearest_focus_m or 0.0,
    )


def noun_of(species: Species) -> str:
    """Answer what an animal is called within a sentence; its name keeps its owner's capitals."""
    return "bird" if species.animal == "bird" else "animal"


def shutters_of(species: Species) -> tuple[Shutter, Shutter, Shutter]:
    """Answer the three shutters wanted for an animal: still, fidgeting, in flight or running."""
    still, fidgeting, fast = _BEHAVIOURS[species.animal]
    if species.animal == "bird" and species.length_m < LARGE_BIRD_M:
        fast = "small bird in flight"
    own = (species.perched_s, species.fidgeting_s, species.flight_s)
    first, second, third = (
        Shutter(name, seconds or WANTED_SHUTTERS[name].default_s)
        for name, seconds in zip((still, fidgeting, fast), own, strict=True)
    )
    return first, second, third


def needs_of(kit: Kit, species: Species, support: str | None, chosen: int) -> Needs:
    """Answer the light that each wanted shutter needs at the kit's ISO ceiling [lux].

    Held by hand, no shutter may be slower than what a steady hand allows.
    """
    optic = optic_of(kit)
    glass = TRANSMISSION_LOSS_EV if kit.transmission_ev is None else kit.transmission_ev
    lost = loss_ev(glass, species.trim_ev or 0.0)
    slowest = None
    if support == "hand":
        crop = crop_factor(kit.sensor_width_mm, kit.sensor_height_mm)
        slowest = hand_held_s(optic.focal_mm, crop, kit.stabiliser_ev or 0.0)
    usual = tuple(shutter.wanted_s for shutter in shutters_of(species))
    wanted = usual if slowest is None else tuple(min(one, slowest) for one in usual)
    lux = tuple(lux_needed(one, optic.f_number, kit.iso_ceiling, lost) for one in wanted)
    return Needs(lux, chosen, wanted, by_hand=wanted != usual)
