"""The angle between magnetic and true north, and readings turned from one into the other.

Compasses read magnetic, maps read true. The World Magnetic Model 2025 gives the difference for
a place and a date; a shadow gives it for one compass on one spot. Grid north is not supported:
it depends on the map's projection, which no record carries. Not for where the sun stands.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime
from functools import cache
from threading import Lock
from typing import Any

import attrs
from pygeomag import GeoMag

from scout.engine.angles import bearing, finite, opposite_deg, turn_deg, wrap_deg
from scout.engine.geodesy import place

MODEL = "WMM2025"
FIRST_YEAR = 2025.0
LAST_YEAR = 2030.0
BLACKOUT_NT = 2000.0  # horizontal field below which declination is inaccurate (WMM2025 report)
CAUTION_NT = 6000.0
SHADOW_PLUS_MINUS_DEG = 2.0  # laying an edge along a shadow: common practice, no source

# GeoMag keeps its Legendre terms in the object while it computes: two threads would mix places.
_ONE_AT_A_TIME = Lock()


@attrs.frozen
class Declination:
    """Hold the declination at a place and date.

    `declination_deg` [deg, east positive, above -180 to 180]: true = magnetic + declination.
    `plus_minus_deg` is one standard deviation [deg, at most 180]; `horizontal_nt` the horizontal
    field [nT]. `blackout` and `caution` mark where a compass is of little or no use. `year` is
    the decimal year the value is for, and `warning` a sentence where that is not the one asked.
    """

    declination_deg: float
    plus_minus_deg: float
    horizontal_nt: float
    blackout: bool
    caution: bool
    model: str
    year: float
    warning: str | None


@attrs.frozen
class ShadowCorrection:
    """Hold what to add to one compass on one spot to read true [deg, clockwise positive].

    `plus_minus_deg` [deg] is that of the shadow alone.
    """

    correction_deg: float
    plus_minus_deg: float


def decimal_year(at: datetime) -> float:
    """Give a moment as a year and its fraction, counted in UTC. Refuses a naive time."""
    if at.tzinfo is None or at.utcoffset() is None:
        raise ValueError("The time must carry its zone; a time without one is not accepted.")
    moment = at.astimezone(UTC)
    start = datetime(moment.year, 1, 1, tzinfo=UTC)
    if moment.year == 9999:
        return moment.year + (moment - start).total_seconds() / (365 * 86_400.0)
    end = datetime(moment.year + 1, 1, 1, tzinfo=UTC)
    return moment.year + (moment - start) / (end - start)


def declination(lat_deg: float, lon_deg: float, at: datetime, height_m: float = 0.0) -> Declination:
    """Give the declination at a place [deg, WGS84] and a time, from WMM2025.

    `height_m` above the ellipsoid [m, -1000 to 850000]. Valid from 2025.0 to 2030.0; before and
    after, the nearest valid value comes with a warning and a plus-minus that grows with the
    yearly change. Plus-minus within the span √(0.26² + (5417/H)²) with H in nT.
    Source: NCEI and BGS (2024), The US/UK World Magnetic Model for 2025-2030.
    """
    lat, lon = place(lat_deg, lon_deg)
    height = finite(height_m, "height")
    if not -1_000.0 <= height <= 850_000.0:
        raise ValueError(f"The height must lie between -1000 and 850000 m, not {height:g}.")
    asked = decimal_year(at)
    year = min(max(asked, FIRST_YEAR), LAST_YEAR)
    field = _field(lat, lon, height, year)
    horizontal = float(field.h)
    value = turn_deg(0.0, float(field.d))
    spread = 180.0 if horizontal <= 0.0 else math.hypot(0.26, 5417.0 / horizontal)
    warning = None
    if asked != year:
        step = 1.0 if year == FIRST_YEAR else -1.0
        yearly = abs(turn_deg(float(_field(lat, lon, height, year + step).d), value))
        spread = math.hypot(spread, yearly * abs(asked - year))
        warning = (
            f"{MODEL} is valid from 1 January 2025 to 1 January 2030. This is the value of "
            f"1 January {year:.0f}; it changes by about {yearly:.2f}° a year here."
        )
    # Rounded first, so that both builds of Python raise the same flags.
    strength = round(horizontal, 1)
    return Declination(
        declination_deg=value,
        plus_minus_deg=min(180.0, spread),
        horizontal_nt=horizontal,
        blackout=strength < BLACKOUT_NT,
        caution=BLACKOUT_NT <= strength < CAUTION_NT,
        model=MODEL,
        year=year,
        warning=warning,
    )


def true_from_magnetic(magnetic_deg: float, declination_deg: float) -> float:
    """Turn a magnetic bearing [deg] into a true one: magnetic plus declination, east positive."""
    return wrap_deg(bearing(magnetic_deg) + finite(declination_deg, "declination"))


def magnetic_from_true(true_deg: float, declination_deg: float) -> float:
    """Turn a true bearing [deg] into a magnetic one: true less declination, east positive."""
    return wrap_deg(bearing(true_deg) - finite(declination_deg, "declination"))


def true_from(reading_deg: float, reference: str, declination_deg: float) -> float:
    """Turn a reading [deg] with its reference ("true" or "magnetic") into a true bearing.

    Raises ValueError for any other reference, grid north among them.
    """
    if reference == "true":
        return bearing(reading_deg)
    if reference == "magnetic":
        return true_from_magnetic(reading_deg, declination_deg)
    if reference == "grid":
        raise ValueError(
            "Grid north is not supported: the angle between grid and true north depends on the "
            "map. Take the bearing from true north, or read it magnetic with a compass."
        )
    raise ValueError(f"The reference of a bearing must be true or magnetic, not {reference!r}.")


def shadow_azimuth_deg(sun_azimuth_deg: float) -> float:
    """Give the true direction from a stick to the tip of its shadow [deg, 0 to below 360]."""
    return opposite_deg(bearing(sun_azimuth_deg, "azimuth of the sun"))


def shadow_correction(
    sun_azimuth_deg: float, reading_deg: float, sun_altitude_deg: float | None = None
) -> ShadowCorrection:
    """Find what one compass must be corrected by, from the shadow of an upright stick.

    `reading_deg` is what the compass shows, as read, when it points from the stick to the tip of
    the shadow. The correction holds the declination and whatever iron is about, so it replaces
    the declination on that spot. With the sun's altitude [deg] the plus-minus grows as the shadow
    shortens (a stick two degrees out of plumb errs by two degrees times tan(altitude)); a sun
    below the horizon or above 75° is refused. Nobody ever needs to point at the sun.
    """
    spread = SHADOW_PLUS_MINUS_DEG
    if sun_altitude_deg is not None:
        altitude = finite(sun_altitude_deg, "altitude of the sun")
        if altitude <= 0.0:
            raise ValueError("The sun is down, so there is no shadow to lay the compass along.")
        if altitude > 75.0:
            raise ValueError("The sun is too high: wait until the shadow is longer.")
        spread = math.hypot(spread, SHADOW_PLUS_MINUS_DEG * math.tan(math.radians(altitude)))
    return ShadowCorrection(
        turn_deg(bearing(reading_deg, "compass reading"), shadow_azimuth_deg(sun_azimuth_deg)),
        spread,
    )


@cache
def _model() -> GeoMag:
    return GeoMag(coefficients_file="wmm/WMM_2025.COF")


def _field(lat: float, lon: float, height_m: float, year: float) -> Any:
    with _ONE_AT_A_TIME:
        return _model().calculate(glat=lat, glon=lon, alt=height_m / 1000.0, time=year)
