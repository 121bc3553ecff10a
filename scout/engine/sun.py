"""The sun: where it stands over one place at one moment.

The declination and the equation of time are astral's (the low-accuracy theory of Meeus,
Astronomical Algorithms, ch. 25 and 28, as the NOAA solar calculator uses it); the turn into
altitude and azimuth is done here. astral's own `elevation` drops fractions of a second, which
makes stairs of a curve that a root search must follow, clamps latitudes at 89.8 degrees
(0.2 degrees off beyond) and turns azimuths round when it is handed a local time far from solar
time. On whole seconds of UTC both agree to 1e-6 degrees, which a test holds.

Not for events (see `crossings`, `sessions`) and not for what stands in the way (`skyline`).
Observer height is 0 on purpose: inland the horizon is the skyline that was measured.
"""

from __future__ import annotations

from datetime import datetime
from math import asin, atan2, cos, degrees, floor, radians, sin, tan

from astral.sun import eq_of_time, sun_declination
from attrs import frozen

from scout.engine.instants import checked_place, checked_seconds

# Below this true altitude Saemundsson's formula runs towards its pole near -5.1 degrees.
LOWEST_REFRACTED_DEG = -1.0
SEMIDIAMETER_DEG = 0.267  # 16.0 arcmin, mean

_DAY_S = 86400.0
_KNOT_S = 43200.0


@frozen
class SunPosition:
    """Where the sun's centre stands.

    altitude_deg: geometric (no refraction), -90..90, for twilight and light levels [deg].
    azimuth_deg: clockwise from true north, 0..360 [deg].
    apparent_altitude_deg: with refraction, to be compared with a skyline that was seen [deg].
    """

    altitude_deg: float
    azimuth_deg: float
    apparent_altitude_deg: float


def refraction_saemundsson86(altitude_deg: float) -> float:
    """Return how far refraction lifts a body standing at a true altitude [deg].

    At 1010 hPa and 10 degrees C; never negative; 0 below a true altitude of -1 degree, where
    the formula ends. Source: Saemundsson, Sky & Telescope 72 (1986) 70; Meeus, ch. 16.
    """
    if altitude_deg < LOWEST_REFRACTED_DEG:
        return 0.0
    lift = 1.02 / tan(radians(altitude_deg + 10.3 / (altitude_deg + 5.11))) / 60.0
    return max(0.0, lift)


def apparent_altitude(altitude_deg: float) -> float:
    """Return the apparent altitude [deg] of a body at a true altitude [deg]."""
    return altitude_deg + refraction_saemundsson86(altitude_deg)


def sun_position(lat_deg: float, lon_deg: float, at_utc: datetime) -> SunPosition:
    """Return where the sun's centre stands, seen from a place at a moment.

    lat_deg -90..90 north positive, lon_deg -180..180 east positive [deg]; at_utc aware, within
    1950 to 2100. Good to 0.02 deg in altitude and 0.03 deg / cos(altitude) in azimuth.
    Raises ValueError with a sentence for a place or time outside these.
    """
    checked_place(lat_deg, lon_deg)
    seconds = checked_seconds(at_utc)
    declination, equation = _astral_terms(seconds)
    phi = radians(lat_deg)
    altitude, azimuth = _horizontal(
        sin(phi), cos(phi), lon_deg, seconds, radians(declination), equation
    )
    return SunPosition(altitude, azimuth, apparent_altitude(altitude))


class SunPath:
    """The sun's way over one place, for many moments [seconds since 1970-01-01 UTC].

    Declination and equation of time are asked from astral every half day and interpolated
    between, which costs at most 0.0003 degrees and a fifth of the time of `sun_position`.
    It holds no state that changes an answer. It does not check years: callers do.
    """

    def __init__(self, lat_deg: float, lon_deg: float) -> None:
        checked_place(lat_deg, lon_deg)
        self.lat_deg = lat_deg
        self.lon_deg = lon_deg
        self._sin_lat = sin(radians(lat_deg))
        self._cos_lat = cos(radians(lat_deg))
        self._knots: dict[int, tuple[float, float, float, float]] = {}

    def _terms(self, seconds: float) -> tuple[float, float]:
        knot = floor(seconds / _KNOT_S)
        span = self._knots.get(knot)
        if span is None:
            dec0, eot0 = _astral_terms(knot * _KNOT_S)
            dec1, eot1 = _astral_terms((knot + 1) * _KNOT_S)
            dec0, dec1 = radians(dec0), radians(dec1)
            span = self._knots[knot] = (dec0, dec1 - dec0, eot0, eot1 - eot0)
        part = seconds / _KNOT_S - knot
        return span[0] + part * span[1], span[2] + part * span[3]

    def declination_deg(self, seconds: float) -> float:
        """Return the sun's declination [deg]."""
        return degrees(self._terms(seconds)[0])

    def hour_angle_deg(self, seconds: float) -> float:
        """Return the sun's hour angle, negative before noon, -180..180 [deg]."""
        turn = _solar_turn_deg(seconds, self.lon_deg, self._terms(seconds)[1])
        return (turn + 180.0) % 360.0 - 180.0

    def altitude_deg(self, seconds: float) -> float:
        """Return the geometric altitude of the sun's centre [deg]."""
        declination, equation = self._terms(seconds)
        hour = radians(_solar_turn_deg(seconds, self.lon_deg, equation))
        up = self._sin_lat * sin(declination) + self._cos_lat * cos(declination) * cos(hour)
        return degrees(asin(max(-1.0, min(1.0, up))))

    def position(self, seconds: float) -> tuple[float, float]:
        """Return geometric altitude and azimuth of the sun's centre [deg]."""
        declination, equation = self._terms(seconds)
        return _horizontal(
            self._sin_lat, self._cos_lat, self.lon_deg, seconds, declination, equation
        )

    def apparent(self, seconds: float) -> tuple[float, float]:
        """Return apparent (refracted) altitude and azimuth of the sun's centre [deg]."""
        altitude, azimuth = self.position(seconds)
        return apparent_altitude(altitude), azimuth


def _astral_terms(seconds: float) -> tuple[float, float]:
    """Return declination [deg] and equation of time [min]."""
    century = (seconds / _DAY_S - 10957.5) / 36525.0  # from J2000.0, 2000-01-01 12:00
    return sun_declination(century), eq_of_time(century)


def _solar_turn_deg(seconds: float, lon_deg: float, equation_min: float) -> float:
    return (seconds % _DAY_S) / 240.0 + equation_min / 4.0 + lon_deg - 180.0


def _horizontal(
    sin_lat: float,
    cos_lat: float,
    lon_deg: float,
    seconds: float,
    declination_rad: float,
    equation_min: float,
) -> tuple[float, float]:
    hour = radians(_solar_turn_deg(seconds, lon_deg, equation_min))
    sin_dec, cos_dec, cos_hour = sin(declination_rad), cos(declination_rad), cos(hour)
    up = sin_lat * sin_dec + cos_lat * cos_dec * cos_hour
    north = cos_lat * sin_dec - sin_lat * cos_dec * cos_hour
    east = -cos_dec * sin(hour)
    altitude = degrees(asin(max(-1.0, min(1.0, up))))
    return altitude, degrees(atan2(east, north)) % 360.0
