"""What is carried and what is hoped for: kits with their limits, and species with theirs.

Not for: what a kit can do (the engine's optics and exposure).
"""

from __future__ import annotations

import attrs

from scout.records import fields as f
from scout.records.places import SENSITIVITY
from scout.records.reading import group
from scout.records.trouble import Refused


@attrs.frozen(kw_only=True)
class ApertureStep:
    """The widest aperture from this focal length on."""

    focal_mm: float = f.number("Focal length", "mm", low=0.1, high=5000, needed=True)
    f_number: float = f.number("Aperture", "f-number", above=0.5, high=128, needed=True)


@attrs.frozen(kw_only=True)
class SeenWidth:
    """A frame width measured at a known distance, for a zoom that shortens close up."""

    distance_m: float = f.number("Distance", "m", low=0.01, high=1000, needed=True)
    frame_width_m: float = f.number("Frame width", "m", low=0.001, high=1000, needed=True)


@attrs.frozen(kw_only=True)
class Kit:
    """A body and a lens (with an extender or none), by the limits that matter in the field."""

    id: str = f.identity("Id", needed=True)
    name: str = f.text("Name", longest=80, needed=True)
    sensor_width_mm: float = f.number("Sensor width", "mm", above=1, high=100, needed=True)
    sensor_height_mm: float = f.number("Sensor height", "mm", above=1, high=100, needed=True)
    pixels_wide: int = f.number(
        "Pixels across", "px", low=100, high=100_000, whole=True, needed=True
    )
    pixels_high: int = f.number("Pixels down", "px", low=100, high=100_000, whole=True, needed=True)
    iso_base: float | None = f.number("Base ISO", low=1, high=10_000_000)
    iso_ceiling: float = f.number("ISO ceiling for stills", low=1, high=10_000_000, needed=True)
    iso_ceiling_video: float | None = f.number("ISO ceiling for video", low=1, high=10_000_000)
    frame_rate_fps: float | None = f.number("Frame rate", "frames a second", low=0.01, high=1000)
    focal_mm: float = f.number("Focal length (longest)", "mm", above=1, high=5000, needed=True)
    apertures: tuple[ApertureStep, ...] = f.many(
        "Widest apertures along the zoom", group("Step", ApertureStep), needed=True
    )
    extender: float | None = f.number("Extender", "×", low=1, high=4)
    nearest_focus_m: float | None = f.number("Nearest focus", "m", low=0.001, high=100)
    stabiliser_ev: float | None = f.number("Stabiliser", "stops", low=0, high=10)
    transmission_ev: float | None = f.number("Light lost in the lens", "stops", low=0, high=3)
    seen_width: SeenWidth | None = group("Frame width seen", SeenWidth)

    def __attrs_post_init__(self) -> None:
        if self.iso_base is not None and self.iso_ceiling < self.iso_base:
            raise Refused.one(
                f"{self.iso_ceiling:g} is below the base ISO {self.iso_base:g}; "
                "raise it or lower the base",
                "iso_ceiling",
            )


@attrs.frozen(kw_only=True)
class Species:
    """An animal that is hoped for, with what it asks of the photographer."""

    id: str = f.identity("Id", needed=True)
    name: str = f.text("Name", longest=80, needed=True)
    code_name: str | None = f.text("Code name", longest=40)
    animal: str = f.choice("Kind of animal", ("bird", "mammal", "other"), needed=True)
    length_m: float = f.number("Length", "m", low=0.001, high=40, needed=True)
    keep_distance_open_m: float | None = f.number(
        "Keep-distance in the open",
        "m",
        low=0,
        high=5000,
        help="Your own; no figure holds everywhere",
    )
    keep_distance_hide_m: float | None = f.number(
        "Keep-distance from a settled hide", "m", low=0, high=5000
    )
    trim_ev: float | None = f.number(
        "Trim for a pale (−) or dark (+) coat", "stops", low=-3, high=3
    )
    places: str | None = f.choice("Its places are", SENSITIVITY)
    early: bool | None = f.flag(
        "Comes early", help="Owls, deer, otter: be in place an hour before civil dawn"
    )
    perched_s: float | None = f.number("Shutter, perched or standing", "s", low=0.00001, high=60)
    fidgeting_s: float | None = f.number("Shutter, fidgeting or walking", "s", low=0.00001, high=60)
    flight_s: float | None = f.number("Shutter, in flight or running", "s", low=0.00001, high=60)
