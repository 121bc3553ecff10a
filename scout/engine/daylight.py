"""Daylight by two published sources, as they stand in print.

Circular 171 gives the total on level ground from night to noon; the illuminating engineers'
recommended practice gives the direct beam, the sky, and what falls on an upright face. This module
is *not* the light on an animal: it joins nothing, shades nothing and knows no skyline
(`scout.engine.light` does).
"""

from __future__ import annotations

from math import cos, exp, pi, radians, sin, sqrt
from typing import Literal

SkyModel = Literal["clear", "partly", "overcast"]

NIGHT_FLOOR_LUX = 0.002  # starlight and airglow, Circular 171
SOLAR_LUX = 127_500.0  # outside the atmosphere, IES 1984
EXTINCTION: dict[SkyModel, float] = {"clear": 0.21, "partly": 0.80}  # per air mass, IES 1984

# Janiczek & DeYoung, USNO Circular 171 (1987): log10 lux = a + b x + c x² + d x³, x = altitude /
# 90.
_CIRCULAR_171 = (
    (-18.0, (13.84, 262.72, 1447.42, 2797.93)),
    (-12.0, (2.70, 12.17, -431.69, -1899.83)),
    (-5.0, (2.88, 21.81, -258.11, -858.36)),
    (-0.8, (2.88, 22.26, -207.64, 1034.30)),
    (5.0, (3.05, 13.28, -45.98, 64.33)),
    (20.0, (3.74, 3.97, -4.07, 1.47)),
)
# The printed pieces miss each other by up to 1 % where they meet, once downwards: a rising sun
# would dim. They are faded into each other over this half-width, in the logarithm.
_SEAM_DEG = 0.25


def require_altitude(altitude_deg: float, name: str = "altitude_deg") -> float:
    """Return the altitude, or refuse one that is no altitude.

    `altitude_deg` is geometric, -90 to 90 [degrees]. Raises ValueError otherwise, NaN included.
    """
    if not isinstance(altitude_deg, int | float) or not -90.0 <= altitude_deg <= 90.0:
        raise ValueError(
            f"{name}: {altitude_deg!r} is not an altitude; "
            "give degrees above the horizon from -90 to 90."
        )
    return altitude_deg


def _piece_log_lux(altitude_deg: float, index: int) -> float:
    a, b, c, d = _CIRCULAR_171[index][1]
    x = altitude_deg / 90.0
    return a + x * (b + x * (c + x * d))


def circular_171_lux(altitude_deg: float) -> float:
    """Return the clear-sky light on level ground at a sun altitude [lux].

    `altitude_deg` is geometric, without refraction, -90 to 90 [degrees]. Never below 0.002 lux, and
    never falling as the sun rises. Raises ValueError outside the range. Source: Janiczek & DeYoung,
    U.S. Naval Observatory Circular 171 (1987); the joints between its pieces are smoothed here.
    """
    require_altitude(altitude_deg)
    if altitude_deg < -18.0:
        return NIGHT_FLOOR_LUX
    index = 0
    for number in range(1, len(_CIRCULAR_171)):
        if altitude_deg >= _CIRCULAR_171[number][0]:
            index = number
    log_lux = _piece_log_lux(altitude_deg, index)
    start = _CIRCULAR_171[index][0]
    if index > 0 and altitude_deg - start < _SEAM_DEG:
        share = 0.5 + 0.5 * (altitude_deg - start) / _SEAM_DEG
        log_lux = share * log_lux + (1.0 - share) * _piece_log_lux(altitude_deg, index - 1)
    elif index + 1 < len(_CIRCULAR_171):
        end = _CIRCULAR_171[index + 1][0]
        if end - altitude_deg < _SEAM_DEG:
            share = 0.5 - 0.5 * (end - altitude_deg) / _SEAM_DEG
            log_lux = share * _piece_log_lux(altitude_deg, index + 1) + (1.0 - share) * log_lux
    return max(NIGHT_FLOOR_LUX, float(10.0**log_lux))


def air_mass(altitude_deg: float) -> float:
    """Return the relative optical air mass towards the sun [unitless].

    `altitude_deg` -5 to 90 [degrees]; about 1 overhead, 38 on the horizon. Source: Kasten & Young,
    Applied Optics 28, 4735 (1989). The plain 1 / sin h loses 1.2 stops of beam at 3 degrees.
    """
    return 1.0 / (sin(radians(altitude_deg)) + 0.50572 * float((altitude_deg + 6.07995) ** -1.6364))


def distance_factor(day_of_year: int | None) -> float:
    """Return how much the beam gains or loses by the earth's distance from the sun [unitless].

    `day_of_year` 1 to 366, or None for the year's mean. Raises ValueError otherwise. Source: IES
    1984.
    """
    if day_of_year is None:
        return 1.0
    if not 1 <= day_of_year <= 366:
        raise ValueError(
            f"day_of_year: {day_of_year!r} is not a day of the year; give 1 to 366, or nothing."
        )
    return 1.0 + 0.034 * cos(2.0 * pi * (day_of_year - 2) / 365.0)


def beam_lux(altitude_deg: float, sky: SkyModel = "clear", day_of_year: int | None = None) -> float:
    """Return the direct sun on a face turned squarely to it [lux].

    `altitude_deg` geometric [degrees]. Nothing under an overcast sky or once the sun's upper limb
    is down (-0.833 degrees); over the last half degree the disc sinks gradually. Source: IES 1984
    with the air mass of Kasten & Young 1989.
    """
    if sky == "overcast" or altitude_deg <= -0.833:
        return 0.0
    disc = min(1.0, (altitude_deg + 0.833) / 0.533)
    thinned = exp(-EXTINCTION[sky] * air_mass(altitude_deg))
    return SOLAR_LUX * distance_factor(day_of_year) * thinned * disc


def level_sky_lux(altitude_deg: float, sky: SkyModel) -> float:
    """Return the sky's light on level ground, without the beam [lux].

    `altitude_deg` 0 to 90 [degrees]. Source: IES 1984, full-sky horizontal (coefficients from
    memory; they agree with twice the paper's half-sky figures).
    """
    s = sin(radians(altitude_deg))
    if sky == "clear":
        return 800.0 + 15_500.0 * sqrt(s)
    if sky == "partly":
        return 300.0 + 45_000.0 * s
    return 300.0 + 21_000.0 * s


def upright_sky_lux(altitude_deg: float, sky: SkyModel) -> float:
    """Return the sky's light on an upright face before its direction is applied [lux].

    `altitude_deg` 0 to 90 [degrees]. Multiply by `sky_direction`. Source: IES 1984.
    """
    h = radians(altitude_deg)
    s, c = sin(h), max(0.0, cos(h))
    if sky == "clear":
        return 4_000.0 * float(h**1.3) + 12_000.0 * float(s**0.3) * float(c**1.3)
    if sky == "partly":
        return 12_000.0 * h + 30_200.0 * float(s**0.8) * c
    return 8_500.0 * s


def sky_direction(cos_angle: float, sky: SkyModel) -> float:
    """Return the share of `upright_sky_lux` that a face turned from the sun gets [unitless].

    `cos_angle` is the cosine of the horizontal angle between the sun and the face's normal, -1 to
    1. Partly cloudy gives exactly 0 on a face turned away, as printed. Source: IES 1984.
    """
    if sky == "clear":
        return (2.0 + cos_angle) / (3.0 - cos_angle)
    if sky == "partly":
        return (1.0 + cos_angle) / (3.0 - cos_angle)
    return 1.0
