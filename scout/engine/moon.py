"""The moon: up or not, and how much of it is lit, at one place and moment.

For walking in by its light. The geocentric position is astral's (Van Flandern & Pulkkinen 1979);
parallax, up to a degree, is taken off here, because astral leaves it out. Good to 0.05 degrees in
altitude and 0.1 % of the disc. Not for moonrise to the minute nor for the light it gives.
"""

from __future__ import annotations

from datetime import UTC, datetime
from math import atan2, cos, degrees, radians, sin, sqrt

from astral.julian import julianday_2000
from astral.moon import moon_position as _astral_moon
from astral.sidereal import lmst
from astral.sun import sun_declination, sun_rt_ascension
from attrs import frozen

from scout.engine.instants import checked_place, checked_seconds
from scout.engine.sun import apparent_altitude

# Upper limb on a level horizon, as for the sun: 34' of refraction and 15.5' of semidiameter.
UP_DEG = -0.825
_SUN_DISTANCE = 23455.0  # mean, in earth radii


@frozen
class MoonPosition:
    """Where the moon stands.

    altitude_deg: topocentric, no refraction [deg]. apparent_altitude_deg: with refraction [deg].
    azimuth_deg: true [deg]. lit: part of the disc that is lit, 0..1 [unitless]. up: whether its
    upper limb stands above a level horizon.
    """

    altitude_deg: float
    azimuth_deg: float
    apparent_altitude_deg: float
    lit: float
    up: bool

    @property
    def words(self) -> str:
        """The moon in words: "moon up, 28 %" or "moon down"."""
        return f"moon up, {100.0 * self.lit:.0f} %" if self.up else "moon down"


def moon_position(lat_deg: float, lon_deg: float, at_utc: datetime) -> MoonPosition:
    """Return where the moon stands, seen from a place at a moment, and how much of it is lit.

    at_utc: aware, 1950 to 2100. Raises ValueError with a sentence for anything outside.
    """
    checked_place(lat_deg, lon_deg)
    checked_seconds(at_utc)
    at = at_utc.astimezone(UTC)
    days = julianday_2000(at)
    moon = _astral_moon(days)
    ra, dec = moon.right_ascension, moon.declination
    hour = radians(lmst(at, lon_deg)) - ra
    phi = radians(lat_deg)
    up = sin(phi) * sin(dec) + cos(phi) * cos(dec) * cos(hour)
    north = cos(phi) * sin(dec) - sin(phi) * cos(dec) * cos(hour)
    east = -cos(dec) * sin(hour)
    # The observer stands one earth radius nearer to the moon along the vertical.
    altitude = degrees(atan2(up - 1.0 / moon.distance, sqrt(north * north + east * east)))
    return MoonPosition(
        altitude_deg=altitude,
        azimuth_deg=degrees(atan2(east, north)) % 360.0,
        apparent_altitude_deg=apparent_altitude(altitude),
        lit=_lit(ra, dec, moon.distance, days / 36525.0),
        up=altitude >= UP_DEG,
    )


def _lit(ra: float, dec: float, distance: float, century: float) -> float:
    """Return the lit part of the disc (Meeus, Astronomical Algorithms, ch. 48)."""
    sun_ra, sun_dec = radians(sun_rt_ascension(century)), radians(sun_declination(century))
    together = sin(sun_dec) * sin(dec) + cos(sun_dec) * cos(dec) * cos(sun_ra - ra)
    apart = sqrt(max(0.0, 1.0 - together * together))
    phase = atan2(_SUN_DISTANCE * apart, distance - _SUN_DISTANCE * together)
    return (1.0 + cos(phase)) / 2.0
