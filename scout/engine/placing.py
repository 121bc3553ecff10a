"""From readings in the field to the map: a compass made true, a perch placed, the sector to aim.

Not for: a sightline that exists already (`sightline`).
"""

from __future__ import annotations

from math import hypot
from typing import Any

from scout.engine.angles import compass_letters
from scout.engine.declination import declination, magnetic_from_true, shadow_correction
from scout.engine.geodesy import Point, line_measured, place_from
from scout.engine.request import Request
from scout.engine.sector import rise_azimuths, sector_sentence
from scout.engine.sightline import (
    compass_warnings,
    distance_plus_minus,
    tilt_plus_minus,
    true_bearing,
)
from scout.engine.sun import sun_position
from scout.records import measured
from scout.records.coordinates import written
from scout.records.reading import group

LEVEL_PLUS_MINUS_DEG = 5.0  # a tilt taken as level because nobody measured it


def compass(request: dict[str, Any]) -> dict[str, Any]:
    """Answer a compass reading as degrees true and magnetic.

    The request has `position`, `at`, and `bearing` (the reading with its reference and how it was
    read). With `along_shadow` true the reading was taken from an upright stick to the tip of its
    shadow: the answer then has the `correction_deg` to add to this compass on this spot. Raises
    ValueError with a sentence a line.
    """
    asked = Request(request)
    position = asked.group("position", measured.position("Position"))
    at = asked.time("at")
    bearing = asked.group("bearing", measured.bearing("Bearing"))
    shadow = asked.flag("along_shadow")
    asked.close()
    here = declination(position.lat, position.lon, at)
    answer: dict[str, Any] = {
        "declination_deg": round(here.declination_deg, 2),
        "declination_plus_minus_deg": round(here.plus_minus_deg, 2),
        "warnings": compass_warnings(here),
    }
    if shadow:
        sun = sun_position(position.lat, position.lon, at)
        found = shadow_correction(sun.azimuth_deg, bearing.read_deg, sun.altitude_deg)
        true = (bearing.read_deg + found.correction_deg) % 360.0
        spread = found.plus_minus_deg
        answer["correction_deg"] = round(found.correction_deg, 1)
        answer["sun_azimuth_deg"] = round(sun.azimuth_deg, 1)
    else:
        figure = true_bearing(bearing, position.lat, position.lon, at)
        true, spread = figure.value, figure.plus_minus
    return {
        **answer,
        "true_deg": round(true, 1) % 360.0,
        "magnetic_deg": round(magnetic_from_true(true, here.declination_deg), 1) % 360.0,
        "plus_minus_deg": round(spread, 1),
        "letters": compass_letters(true),
        "words": f"{round(true) % 360}° true ({compass_letters(true)}) ± {max(1, round(spread))}°",
    }


def place_perch(request: dict[str, Any]) -> dict[str, Any]:
    """Answer where a perch stands, from a vantage by bearing, distance and tilt.

    The request has `vantage` (a record), `bearing`, `distance`, `tilt` or null (taken as level),
    and `at`. The answer is a position with its radius, the height over the lens, and the
    coordinates in words. Raises ValueError with a sentence a line.
    """
    asked = Request(request)
    vantage = asked.record("vantage", "vantage")
    bearing = asked.group("bearing", measured.bearing("Bearing"))
    distance = asked.group("distance", measured.distance("Distance"))
    tilt = asked.group("tilt", group("Tilt", measured.Tilt), needed=False)
    at = asked.time("at")
    asked.close()
    where = vantage.position
    true = true_bearing(bearing, where.lat, where.lon, at)
    line = line_measured(
        distance.m,
        true.value,
        0.0 if tilt is None else tilt.deg,
        distance_plus_minus(distance),
        true.plus_minus,
        LEVEL_PLUS_MINUS_DEG if tilt is None else tilt_plus_minus(tilt),
    )
    lens = vantage.lens_height_m
    ground = vantage.ground_elevation
    start = Point(where.lat, where.lon, 10.0 if where.accuracy_m is None else where.accuracy_m)
    placed = place_from(start, line)
    beside = place_from(Point(where.lat, where.lon, 0.0), line)
    above = None
    if ground is not None and lens is not None:
        above = round(ground.m + lens + placed.rise_m, 1)
    return {
        "position": {
            "lat": round(placed.lat_deg, 7),
            "lon": round(placed.lon_deg, 7),
            "accuracy_m": round(placed.plus_minus_m, 1),
            "source": "from a vantage",
        },
        "written": written(placed.lat_deg, placed.lon_deg),
        "from_vantage_plus_minus_m": round(beside.plus_minus_m, 1),
        "true_deg": round(true.value, 1) % 360.0,
        "true_plus_minus_deg": round(true.plus_minus, 1),
        "rise_m": round(placed.rise_m, 2),
        "rise_plus_minus_m": round(
            hypot(placed.rise_plus_minus_m, 0.0 if tilt is not None else 0.5), 2
        ),
        "elevation_m": above,
    }


def sector(request: dict[str, Any]) -> dict[str, Any]:
    """Answer over which sector a skyline matters at a position from a date on.

    The request has `position`, `date`, and `session`, dawn or dusk. Raises ValueError.
    """
    asked = Request(request)
    position = asked.group("position", measured.position("Position"))
    on = asked.date("date")
    session = asked.word("session", ("dawn", "dusk"))
    asked.close()
    rising = session == "dawn"
    soon = rise_azimuths(position.lat, position.lon, on, 42, rising=rising)
    return {
        "sentence": sector_sentence(position.lat, position.lon, on, rising=rising),
        "soon_deg": None if soon is None else [round(soon[0]), round(soon[1])],
    }
