"""From which side the sun lights the animal, in words, and when the sun stands in the lens.

Only directions: no amounts of light (`scout.engine.light`), no sun position (`scout.engine.sun`).
"""

from __future__ import annotations

from math import acos, cos, degrees, isfinite, radians, sin
from typing import Literal

from attrs import frozen

from scout.engine.daylight import require_altitude

# Common practice, settings.
FRONT_BELOW_DEG = 45
BACK_ABOVE_DEG = 135
HIGH_ABOVE_DEG = 35

# Sun nearer than this to what the lens looks along, and not yet well down, is a danger (ours).
SUN_IN_LENS_DEG = 20.0
SUN_IN_LENS_ALTITUDE_DEG = -1.0

SUN_IN_LENS_CAUTION = (
    "The sun stands within {angle:.0f}° of where the lens points: never look at or frame the sun "
    "through an optical finder or a long lens; it can blind, and burn shutter and hide. "
    "Eclipse viewers (ISO 12312-2) are for the naked eye only."
)


@frozen
class Side:
    """Say from where the light comes.

    `word` front, side or back; `hand` left, right or "" straight on the axis, as seen from the
    lens; `high` the sun is high; `angle_deg` the horizontal angle at the perch between sun and
    lens, rounded, 0 to 180 [degrees]; `lit_fraction` the part of what the lens sees that the sun
    lights, 0 to 1.
    """

    word: Literal["front", "side", "back"]
    hand: Literal["left", "right", ""]
    high: bool
    angle_deg: int
    lit_fraction: float

    def sentence(self) -> str:
        """Return it as it stands on a card: "front light from the right, 31° off"."""
        high = "high " if self.high else ""
        where = f" from the {self.hand}" if self.hand else ", straight on"
        off = 180 - self.angle_deg if self.word == "back" else self.angle_deg
        return f"{high}{self.word} light{where}" + (f", {off}° off" if off else "")


def _finite(name: str, value: float) -> float:
    if not isfinite(value):
        raise ValueError(f"{name}: {value!r} is no angle; give degrees.")
    return value


def horizontal_angle_deg(bearing_deg: float, sun_azimuth_deg: float) -> float:
    """Return the signed horizontal angle at the perch between sun and lens [degrees].

    `bearing_deg` from the lens to the perch, `sun_azimuth_deg`, both true. 0 is the sun straight
    behind the lens, 180 straight behind the animal; positive is to the right as seen from the lens.
    """
    azimuth = _finite("sun_azimuth_deg", sun_azimuth_deg)
    return 180.0 - (azimuth - _finite("bearing_deg", bearing_deg)) % 360.0


def cos_phase(
    bearing_deg: float, tilt_deg: float, sun_azimuth_deg: float, sun_altitude_deg: float
) -> float:
    """Return the cosine of the angle at the perch between sun and lens, in space [unitless].

    `tilt_deg` of the sightline as seen from the lens, positive looking up [degrees].
    """
    h, t = radians(sun_altitude_deg), radians(tilt_deg)
    off = radians(sun_azimuth_deg - bearing_deg)
    # From the perch the lens lies at bearing + 180 and at minus the tilt.
    return max(-1.0, min(1.0, -sin(h) * sin(t) - cos(h) * cos(t) * cos(off)))


def side(
    bearing_deg: float, tilt_deg: float, sun_azimuth_deg: float, sun_altitude_deg: float
) -> Side:
    """Say from which side the sun lights the animal for one sightline.

    `bearing_deg` lens to perch [degrees true], `tilt_deg` positive looking up, `sun_azimuth_deg`
    [degrees true], `sun_altitude_deg` -90 to 90. The word comes from the horizontal angle alone,
    rounded to a whole degree first: front below 45, back above 135. Common practice.
    """
    require_altitude(sun_altitude_deg, "sun_altitude_deg")
    require_altitude(tilt_deg, "tilt_deg")
    signed = horizontal_angle_deg(bearing_deg, sun_azimuth_deg)
    angle = round(abs(signed))
    word: Literal["front", "side", "back"] = "side"
    if angle < FRONT_BELOW_DEG:
        word = "front"
    elif angle > BACK_ABOVE_DEG:
        word = "back"
    hand: Literal["left", "right", ""] = "right" if signed > 0 else "left"
    if angle in (0, 180):
        hand = ""
    lit = (1.0 + cos_phase(bearing_deg, tilt_deg, sun_azimuth_deg, sun_altitude_deg)) / 2.0
    return Side(word, hand, round(sun_altitude_deg) > HIGH_ABOVE_DEG, angle, lit)


def sun_from_sightline_deg(
    bearing_deg: float, tilt_deg: float, sun_azimuth_deg: float, sun_altitude_deg: float
) -> float:
    """Return the angle between the sun and where the lens points, 0 to 180 [degrees]."""
    return degrees(acos(-cos_phase(bearing_deg, tilt_deg, sun_azimuth_deg, sun_altitude_deg)))


def sun_in_lens(
    bearing_deg: float, tilt_deg: float, sun_azimuth_deg: float, sun_altitude_deg: float
) -> str | None:
    """Return the caution when the sun stands near where the lens points, else None.

    Within 20 degrees and with the sun above -1 degree (ours). Give it whenever it applies, whether
    the skyline hides the sun or not: skylines are rough, eyes are not replaced.
    """
    require_altitude(sun_altitude_deg, "sun_altitude_deg")
    if sun_altitude_deg <= SUN_IN_LENS_ALTITUDE_DEG:
        return None
    angle = sun_from_sightline_deg(bearing_deg, tilt_deg, sun_azimuth_deg, sun_altitude_deg)
    if angle >= SUN_IN_LENS_DEG:
        return None
    return SUN_IN_LENS_CAUTION.format(angle=angle)
