"""Distances, bearings and tilts between places, with what they are good for.

WGS84 throughout. Pins from a phone are wrong by metres while a sightline is often 8 to 30 m long,
so every line carries its plus-minus. Not for magnetic bearings (`declination`), the terrain
between the ends, or coordinates as typed.
"""

from __future__ import annotations

import math

import attrs
from geographiclib.geodesic import Geodesic

from scout.engine.angles import bearing, finite, wrap_deg

MEAN_RADIUS_M = 6_371_008.8  # mean radius of the Earth, IUGG (Moritz 2000)
REFRACTION_K = 0.13  # coefficient of refraction near the ground, Gauss
REFRACTION_PLUS_MINUS = 0.5  # ours: near cold ground at dawn it wanders by more than its size
MEASURE_ON_SPOT_DEG = 15.0  # ours: beyond this a phone compass at its worst is better

_EARTH: Geodesic = Geodesic.WGS84


@attrs.frozen
class Point:
    """Hold a place: latitude and longitude [deg], their plus-minus [m], and its elevation.

    `elevation_m` is that of the point itself, ground and height above ground together [m above
    sea level]; None where the ground is not known.
    """

    lat_deg: float
    lon_deg: float
    plus_minus_m: float = 0.0
    elevation_m: float | None = None
    elevation_plus_minus_m: float = 0.0


@attrs.frozen
class Line:
    """Hold a line from one place to another as seen from its start.

    `distance_m` along the ground [m]; `bearing_deg` true [deg, 0 to below 360]; `tilt_deg` [deg,
    up positive], None where elevations are not known. Every plus-minus is in its value's unit;
    a bearing known to ±180 is not known at all.
    """

    distance_m: float
    bearing_deg: float
    tilt_deg: float | None
    distance_plus_minus_m: float
    bearing_plus_minus_deg: float
    tilt_plus_minus_deg: float | None

    @property
    def slant_m(self) -> float:
        """The straight distance from eye to perch [m]; the ground distance if tilt is unknown."""
        if self.tilt_deg is None:
            return self.distance_m
        return self.distance_m / math.cos(math.radians(self.tilt_deg))


@attrs.frozen
class Placed:
    """Hold a place found from a vantage by bearing, distance and tilt.

    `plus_minus_m` is the radius on the ground [m]; `rise_m` its height above the eye at the
    vantage [m, up positive] with its own plus-minus [m].
    """

    lat_deg: float
    lon_deg: float
    plus_minus_m: float
    rise_m: float
    rise_plus_minus_m: float


def distance_m(lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float) -> float:
    """Give the geodesic distance between two places [m]. Source: Karney (2013)."""
    return _inverse(lat1_deg, lon1_deg, lat2_deg, lon2_deg)[0]


def bearing_deg(lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float) -> float:
    """Give the true bearing of the second place at the first [deg, 0 to below 360].

    Raises ValueError where both are the same place. Source: Karney (2013).
    """
    distance, azimuth, _ = _inverse(lat1_deg, lon1_deg, lat2_deg, lon2_deg)
    _apart(distance)
    return azimuth


def destination(
    lat_deg: float, lon_deg: float, bearing_true_deg: float, along_m: float
) -> tuple[float, float]:
    """Give latitude and longitude [deg] of the place that far along that bearing.

    `along_m` is the distance on the ground [m, 0 or more]. Source: Karney (2013).
    """
    lat, lon = place(lat_deg, lon_deg)
    along = finite(along_m, "distance")
    if along < 0.0:
        raise ValueError("The distance must be 0 m or more; turn the bearing round instead.")
    found = _EARTH.Direct(lat, lon, bearing(bearing_true_deg), along)
    return float(found["lat2"]), float(found["lon2"])


def curvature_drop_m(distance_m: float, k: float = REFRACTION_K) -> float:
    """Give how far the ground falls below the line of sight over a distance [m].

    Earth's curvature less refraction, D²(1 - k)/2R; k is the coefficient of refraction
    [unitless, 0 for none]. Negligible under 500 m.
    """
    return finite(distance_m, "distance") ** 2 * (1.0 - k) / (2.0 * MEAN_RADIUS_M)


def tilt_deg(
    distance_m: float, from_elevation_m: float, to_elevation_m: float, k: float = REFRACTION_K
) -> float:
    """Give the apparent tilt from one elevation [m] to another over a ground distance [m].

    Degrees, up positive. Raises ValueError for a distance of 0 or less.
    """
    distance = finite(distance_m, "distance")
    if distance <= 0.0:
        raise ValueError("The distance must be above 0 m for a tilt.")
    rise = finite(to_elevation_m, "elevation") - finite(from_elevation_m, "elevation")
    return math.degrees(math.atan2(rise - curvature_drop_m(distance, k), distance))


def line_between(start: Point, end: Point, k: float = REFRACTION_K) -> Line:
    """Derive the line between two pins, with what their positions leave unsure.

    The bearing's plus-minus is atan(√(σ₁² + σ₂²)/D); pins that may lie on top of each other give
    no direction at all (±180). Raises ValueError where both are the same place.
    """
    distance, azimuth, _ = _inverse(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)
    _apart(distance)
    shift = math.hypot(
        _not_below_zero(start.plus_minus_m, "plus-minus of the position"),
        _not_below_zero(end.plus_minus_m, "plus-minus of the position"),
    )
    swing = math.degrees(math.atan2(shift, distance)) if shift < distance else 180.0
    tilt = tilt_plus_minus = None
    if start.elevation_m is not None and end.elevation_m is not None:
        tilt = tilt_deg(distance, start.elevation_m, end.elevation_m, k)
        rise_plus_minus = math.hypot(
            _not_below_zero(start.elevation_plus_minus_m, "plus-minus of the elevation"),
            _not_below_zero(end.elevation_plus_minus_m, "plus-minus of the elevation"),
            distance**2 * REFRACTION_PLUS_MINUS / (2.0 * MEAN_RADIUS_M),
        )
        slope = math.tan(math.radians(tilt))
        # d(atan(rise/D)) for an error of the rise and one of the distance.
        wobble = math.hypot(rise_plus_minus, slope * shift) / (distance * (1.0 + slope**2))
        tilt_plus_minus = min(90.0, math.degrees(wobble))
    return Line(distance, azimuth, tilt, shift, swing, tilt_plus_minus)


def line_measured(
    slant_m: float,
    bearing_true_deg: float,
    tilt_deg: float,
    slant_plus_minus_m: float,
    bearing_plus_minus_deg: float,
    tilt_plus_minus_deg: float,
) -> Line:
    """Make a line of what was measured on the spot.

    The straight distance from eye to perch [m, above 0], the true bearing and the tilt [deg,
    -90 to 90 exclusive, up positive], each with its plus-minus.
    """
    slant, tilt = _slant(slant_m), _tilt(tilt_deg)
    tilt_error = _not_below_zero(tilt_plus_minus_deg, "plus-minus of the tilt")
    slant_error = _not_below_zero(slant_plus_minus_m, "plus-minus of the distance")
    swing = _not_below_zero(bearing_plus_minus_deg, "plus-minus of the bearing")
    along, up = math.cos(math.radians(tilt)), math.sin(math.radians(tilt))
    return Line(
        distance_m=slant * along,
        bearing_deg=bearing(bearing_true_deg),
        tilt_deg=tilt,
        distance_plus_minus_m=math.hypot(
            slant_error * along, slant * up * math.radians(tilt_error)
        ),
        bearing_plus_minus_deg=min(180.0, swing),
        tilt_plus_minus_deg=min(90.0, tilt_error),
    )


def place_from(vantage: Point, line: Line, k: float = REFRACTION_K) -> Placed:
    """Place a perch from a vantage along a measured line.

    The radius on the ground joins the vantage's own plus-minus, that of the distance, and the
    chord the bearing's plus-minus sweeps. Without a tilt the rise is taken as level and its
    plus-minus is the distance itself.
    """
    lat, lon = destination(vantage.lat_deg, vantage.lon_deg, line.bearing_deg, line.distance_m)
    sweep = (
        2.0 * line.distance_m * math.sin(math.radians(min(line.bearing_plus_minus_deg, 180)) / 2)
    )
    radius = math.hypot(
        _not_below_zero(vantage.plus_minus_m, "plus-minus of the position"),
        line.distance_plus_minus_m,
        sweep,
    )
    if line.tilt_deg is None or line.tilt_plus_minus_deg is None:
        return Placed(lat, lon, radius, 0.0, line.distance_m)
    slope = math.tan(math.radians(line.tilt_deg))
    rise = line.distance_m * slope + curvature_drop_m(line.distance_m, k)
    lean = line.distance_m * (1.0 + slope**2) * math.radians(line.tilt_plus_minus_deg)
    return Placed(lat, lon, radius, rise, math.hypot(lean, slope * line.distance_plus_minus_m))


def measure_on_spot(line: Line) -> str | None:
    """Say so where a line from two pins is too short for its bearing to be trusted, else None."""
    swing = round(line.bearing_plus_minus_deg)
    if swing >= 180:
        return (
            "These two pins may lie on top of each other: the bearing between them says nothing. "
            "Measure bearing and distance on the spot."
        )
    if swing > MEASURE_ON_SPOT_DEG:
        return (
            f"From these two pins the bearing is known only to ±{swing}°. "
            "Measure it on the spot with a compass."
        )
    return None


@attrs.frozen
class LocalPlane:
    """Lay a small map flat: metres east and north of an origin.

    True to distance and bearing from the origin (azimuthal equidistant), at any latitude and
    across the date line; within a kilometre all other distances agree to a few millimetres.
    """

    lat_deg: float
    lon_deg: float

    def to_plane(self, lat_deg: float, lon_deg: float) -> tuple[float, float]:
        """Give metres east and north of the origin for a place [deg]."""
        distance, azimuth, _ = _inverse(self.lat_deg, self.lon_deg, lat_deg, lon_deg)
        direction = math.radians(azimuth)
        return distance * math.sin(direction), distance * math.cos(direction)

    def to_globe(self, east_m: float, north_m: float) -> tuple[float, float]:
        """Give latitude and longitude [deg] of a point of the map [m east, m north]."""
        azimuth = math.degrees(math.atan2(finite(east_m, "east"), finite(north_m, "north")))
        return destination(
            self.lat_deg, self.lon_deg, wrap_deg(azimuth), math.hypot(east_m, north_m)
        )


def place(lat_deg: float, lon_deg: float) -> tuple[float, float]:
    """Check latitude [deg, -90 to 90] and longitude [deg, -180 to 180], or raise ValueError."""
    lat, lon = finite(lat_deg, "latitude"), finite(lon_deg, "longitude")
    for value, limit, name in ((lat, 90, "latitude"), (lon, 180, "longitude")):
        if abs(value) > limit:
            raise ValueError(
                f"The {name} must lie between -{limit} and {limit} degrees, not {value:g}."
            )
    return lat, lon


def _inverse(lat1: float, lon1: float, lat2: float, lon2: float) -> tuple[float, float, float]:
    found = _EARTH.Inverse(*place(lat1, lon1), *place(lat2, lon2))
    return float(found["s12"]), wrap_deg(float(found["azi1"])), wrap_deg(float(found["azi2"]))


def _apart(distance: float) -> None:
    if distance <= 0.0:
        raise ValueError("Both ends are the same place, so there is no bearing. Move one of them.")


def _slant(value: float) -> float:
    slant = finite(value, "distance")
    if slant <= 0.0:
        raise ValueError(f"The distance must be above 0 m, not {slant:g}.")
    return slant


def _tilt(value: float) -> float:
    tilt = finite(value, "tilt")
    if not -90.0 < tilt < 90.0:
        raise ValueError(f"The tilt must lie between -90 and 90 degrees, not {tilt:g}.")
    return tilt


def _not_below_zero(value: float, field: str) -> float:
    number = finite(value, field)
    if number < 0.0:
        raise ValueError(f"The {field} must be 0 or more, not {number:g}.")
    return number
