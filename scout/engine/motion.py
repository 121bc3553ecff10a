"""How far a moving animal smears in one exposure, and how many frames a moment gives.

Speed means the speed *left after panning*: raw flight speed asks for absurd shutters (1/35,000 s).
It is *not* a rule for which shutter to want; that is common practice, in `scout.engine.exposure`.
"""

from __future__ import annotations

from math import floor

from scout.engine.exposure import require_positive

# Part of the raw speed that a practised pan leaves, 2 to 10 %; common practice, a setting.
RESIDUE_DEFAULT = 0.05

# How long a moment lasts [s]; common practice, settings.
MOMENTS_S = {"leap from a perch": 0.3, "wing beat": 0.1, "turn of the head": 0.5}


def residual_speed_mps(raw_speed_mps: float, residue: float = RESIDUE_DEFAULT) -> float:
    """Return the speed across the frame that panning leaves [m/s].

    `raw_speed_mps` 0 or more; `residue` 0 to 1, 1 being a lens held still.
    """
    _not_negative("raw_speed_mps", raw_speed_mps)
    if not 0.0 <= residue <= 1.0:
        raise ValueError(f"residue: {residue!r} must be a share from 0 to 1.")
    return raw_speed_mps * residue


def _not_negative(name: str, value: float) -> float:
    if not 0.0 <= value < float("inf"):
        raise ValueError(f"{name}: {value!r} must be 0 or more.")
    return value


def _image_scale(focal_mm: float, distance_m: float, pixel_um: float) -> float:
    """Return pixels per metre across the animal."""
    require_positive("focal_mm", focal_mm, "mm")
    require_positive("pixel_um", pixel_um, "µm")
    focal_m = focal_mm / 1000.0
    if not focal_m < distance_m < float("inf"):
        raise ValueError(
            f"distance_m: {distance_m!r} m must be longer than the focal length ({focal_m:g} m)."
        )
    return focal_m / ((distance_m - focal_m) * pixel_um * 1e-6)


def smear_px(
    speed_mps: float, exposure_s: float, focal_mm: float, distance_m: float, pixel_um: float
) -> float:
    """Return how far the animal moves in the picture during one exposure [pixels].

    `speed_mps` across the line of sight, what panning leaves of it; `distance_m` beyond the focal
    length. Thin lens. Raises ValueError on numbers that are not above 0 (speed may be 0).
    """
    _not_negative("speed_mps", speed_mps)
    require_positive("exposure_s", exposure_s, "seconds")
    return speed_mps * exposure_s * _image_scale(focal_mm, distance_m, pixel_um)


def frames_caught(frame_rate_hz: float, moment_s: float) -> float:
    """Return the mean number of frames that fall within a moment [frames]: rate times duration."""
    require_positive("frame_rate_hz", frame_rate_hz, "frames a second")
    require_positive("moment_s", moment_s, "seconds")
    return frame_rate_hz * moment_s


def chance_of_frame(frame_rate_hz: float, instant_s: float, moments: int = 1) -> float:
    """Return the chance that at least one frame falls within a wanted instant, 0 to 1.

    `instant_s` is how long the wanted pose lasts; the burst runs already and is in no step with the
    animal, so one instant is caught with min(1, rate x duration). `moments` is how many such
    instants there are, each with its own luck.
    """
    if moments < 1:
        raise ValueError(f"moments: {moments!r} must be 1 or more.")
    once = min(1.0, frames_caught(frame_rate_hz, instant_s))
    return 1.0 - float((1.0 - once) ** moments)


def frames_sentence(frame_rate_hz: float, moment_s: float, moment: str) -> str:
    """Say how many frames a moment gives: "3 frames in a leap from a perch (0.3 s)"."""
    count = floor(round(frames_caught(frame_rate_hz, moment_s), 6))
    frames = "not always one frame" if count == 0 else f"{count} frame{'s' if count > 1 else ''}"
    return f"{frames} in a {moment} ({moment_s:g} s)"
