"""Light as it was measured in the field, and what it says about the model at a site.

A test shot is a light reading only if it qualifies; three or more readings at like sky and sun make
a site correction. It is *not* for reading files: the numbers come from whoever opened the photo.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite, log2
from typing import Literal

from attrs import frozen

from scout.engine.exposure import TRANSMISSION_LOSS_EV, require_positive
from scout.engine.light import SKIES

# What a reflected meter reads too high for what filled the frame, against mid grey (0.18): log2 of
# reflectance / 0.18 for about 0.06 and 0.5. Common practice.
TONE_EV = {"dark": -1.5, "mid": 0.0, "bright": 1.5}

FEWEST_READINGS = 3
ALIKE_WITHIN_DEG = 5.0  # of sun altitude, a setting
ALIKE_TWILIGHT_DEG = 1.5  # below 5 degrees the light turns faster


@frozen(kw_only=True)
class TestShot:
    """Hold what a photo's own record and its maker say about one exposure.

    `f_number`, `exposure_s` [s], `iso` as recorded; `compensation_ev` as dialled, positive
    brighter, None unknown; the limits are those that the body was allowed to use (None: unknown or
    none); `tone` of what filled the frame: dark, mid, bright, sky holes, or None; `looks_right` the
    person's own word.
    """

    __test__ = False  # the test runner collects by name

    f_number: float
    exposure_s: float
    iso: float
    compensation_ev: float | None
    tone: str | None
    looks_right: bool | None
    iso_base: float | None = None
    iso_ceiling: float | None = None
    fastest_s: float | None = None
    slowest_s: float | None = None
    shutter_fixed: bool = False
    flash: bool = False


@frozen
class ShotReading:
    """Answer with the light, or with why the shot is none. Exactly one of the two is None."""

    light_ev: float | None
    refusal: str | None


def _at_both_limits(shot: TestShot) -> bool:
    dark_iso = shot.iso_ceiling is not None and shot.iso >= shot.iso_ceiling * 0.999
    bright_iso = shot.iso_base is not None and shot.iso <= shot.iso_base * 1.001
    slow = shot.slowest_s is not None and shot.exposure_s >= shot.slowest_s * 0.999
    fast = shot.fastest_s is not None and shot.exposure_s <= shot.fastest_s * 1.001
    return (dark_iso and (slow or shot.shutter_fixed)) or (
        bright_iso and (fast or shot.shutter_fixed)
    )


def settings_ev(f_number: float, exposure_s: float, iso: float) -> float:
    """Return the exposure value at ISO 100 of a camera's settings [EV]. Source: ISO 2720:1974."""
    require_positive("f_number", f_number)
    require_positive("exposure_s", exposure_s, "seconds")
    require_positive("iso", iso)
    return log2(f_number * f_number / exposure_s) - log2(iso / 100.0)


def shot_reading(shot: TestShot, transmission_loss_ev: float = TRANSMISSION_LOSS_EV) -> ShotReading:
    """Return the light that a test shot measured (incident EV at ISO 100), or why it has none.

    Compensation is taken out, the tone of what filled the frame is taken out, the glass is put
    back. Raises ValueError only on settings that are no numbers above 0; a shot that does not
    qualify is an answer.
    """
    ev = settings_ev(shot.f_number, shot.exposure_s, shot.iso)
    refusal = None
    if shot.flash:
        refusal = "The flash fired: the shot measures the flash, not the light."
    elif _at_both_limits(shot):
        refusal = (
            "Shutter and ISO both stood at their limits: the shot measures the camera's limit, not "
            "the light. Take one with a slower shutter or a higher ceiling."
        )
    elif shot.looks_right is None:
        refusal = "Nobody has said whether the shot looks right: look at it, then say so."
    elif not shot.looks_right:
        refusal = "The shot does not look right, so its settings do not fit the light."
    elif shot.compensation_ev is None or not isfinite(shot.compensation_ev):
        refusal = "The exposure compensation is not known: type it (0 if none was dialled)."
    elif shot.tone is None:
        refusal = "What filled the frame is not known: say dark, mid or bright."
    elif shot.tone not in TONE_EV:
        refusal = (
            f"The frame was filled by {shot.tone!r}, which fools the meter: fill it with something "
            "dark, mid or bright, without sky."
        )
    if refusal is not None:
        return ShotReading(None, refusal)
    compensation = shot.compensation_ev or 0.0
    return ShotReading(ev + compensation - TONE_EV[shot.tone or "mid"] + transmission_loss_ev, None)


@frozen(kw_only=True)
class ComparedReading:
    """Hold one measured light beside what the model gave for the same place and minute.

    `model_ev` without any site correction. `leaf` is in leaf or bare, never mixed.
    """

    id: str
    measured_ev: float
    model_ev: float
    sky: str
    sun_altitude_deg: float
    leaf: Literal["in leaf", "bare"]


@frozen
class SiteCorrection:
    """Say how much lighter or darker a place is than the model, and how well that is known.

    `correction_ev` [stops, positive brighter], None below three readings; `low_ev` and `high_ev`
    the extremes of the readings used, `count` how many.
    """

    correction_ev: float | None
    low_ev: float | None
    high_ev: float | None
    count: int

    def sentence(self) -> str:
        """Return the correction as it stands on a card."""
        if self.correction_ev is None or self.low_ev is None or self.high_ev is None:
            return f"no site correction: {self.count} of {FEWEST_READINGS} readings alike"
        return (
            f"site correction {self.correction_ev:+.1f} stops, from {self.count} readings "
            f"({self.low_ev:+.1f} to {self.high_ev:+.1f})"
        )


def alike(one_deg: float, other_deg: float) -> bool:
    """Say whether two sun altitudes are near enough for readings to be compared [degrees]."""
    near = ALIKE_TWILIGHT_DEG if min(one_deg, other_deg) < ALIKE_WITHIN_DEG else ALIKE_WITHIN_DEG
    return round(abs(one_deg - other_deg), 1) <= near


def site_correction(
    readings: Iterable[ComparedReading],
    *,
    sky: str,
    sun_altitude_deg: float,
    leaf: Literal["in leaf", "bare"],
) -> SiteCorrection:
    """Return the median of (measured - model) for readings at like sky, sun altitude and leaf.

    None below three of them. Raises ValueError on an unknown sky word or a reading that is no
    number.
    """
    if sky not in SKIES:
        raise ValueError(f"sky: {sky!r} is not known; give {', '.join(SKIES)}.")
    differences = []
    for reading in readings:
        if reading.sky != sky or reading.leaf != leaf:
            continue
        if not alike(reading.sun_altitude_deg, sun_altitude_deg):
            continue
        difference = reading.measured_ev - reading.model_ev
        if not isfinite(difference):
            raise ValueError(f"measured_ev: reading {reading.id} is no number; mend or remove it.")
        differences.append(difference)
    if len(differences) < FEWEST_READINGS:
        return SiteCorrection(None, None, None, len(differences))
    differences.sort()
    count = len(differences)
    middle = (differences[(count - 1) // 2] + differences[count // 2]) / 2.0
    return SiteCorrection(middle, differences[0], differences[-1], count)
