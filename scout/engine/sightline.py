"""One line of sight, resolved: where it points, its length, tilt and gap, and how sure they are.

What was measured on the spot wins over what two pins imply, each quantity by itself. Not for: light
along it.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from datetime import datetime

import attrs

from scout.engine.angles import mean_bearing, turn_deg
from scout.engine.declination import Declination, declination, true_from
from scout.engine.geodesy import Line, Point, line_between, measure_on_spot
from scout.records import ways
from scout.records.measured import Bearing, Distance, Gap, Position, Tilt
from scout.records.places import Measurement, Perch, Sightline, Vantage

# A reading this much coarser than the best one no longer helps the mean (ours).
_AS_GOOD_AS = 1.5
PIN_PLUS_MINUS_M = 10.0  # a phone's position under trees, 5 to 15 m: common practice


@attrs.frozen(kw_only=True)
class Figure:
    """One quantity with its ± in the same unit, and where it comes from: "measured" or "pins"."""

    value: float
    plus_minus: float
    source: str
    readings: int = 1


@attrs.frozen(kw_only=True)
class Sight:
    """A sightline resolved.

    `bearing_deg` true, vantage to perch; `distance_m` the straight distance from lens to perch;
    `tilt_deg` up positive, None where nothing says; `gap_m` behind the perch, infinite for sky,
    None where not noted.
    """

    bearing_deg: Figure
    distance_m: Figure
    tilt_deg: Figure | None
    gap_m: Figure | None
    remarks: tuple[str, ...]


def resolve(
    sightline: Sightline,
    vantage: Vantage,
    perch: Perch,
    measurements: Sequence[Measurement],
    at: datetime,
) -> Sight:
    """Resolve a sightline from its measurements and pins.

    `at` [aware] dates the magnetic declination of readings that carry no time. The better
    instrument counts; readings about as good are averaged, and their spread counts where it is
    larger than their own ±.
    """
    remarks: list[str] = [*_compass_remarks(vantage, measurements, at)]
    pins = _from_pins(vantage, perch)
    bearings = [(m.bearing, m.at.at if m.at else at) for m in measurements if m.bearing is not None]
    distances = [m.distance for m in measurements if m.distance is not None]
    tilts = [m.tilt for m in measurements if m.tilt is not None]

    if bearings:
        bearing = _mean_bearing(bearings, vantage)
    else:
        bearing = Figure(
            value=0.0 if pins is None else pins.bearing_deg,
            plus_minus=180.0 if pins is None else pins.bearing_plus_minus_deg,
            source="pins",
        )
        advice = None if pins is None else measure_on_spot(pins)
        remarks.append(
            "Vantage and perch lie on one point: measure bearing and distance on the spot."
            if pins is None
            else advice or f"Bearing from two pins, known to ±{round(bearing.plus_minus)}°."
        )
    if distances:
        distance = _mean([(one.m, distance_plus_minus(one)) for one in distances])
        for one in distances:
            caution = None if one.how is None else ways.caution(one.how, one.m)
            if caution is not None:
                remarks.append(caution)
    else:
        slant = 0.0 if pins is None else pins.slant_m
        error = PIN_PLUS_MINUS_M if pins is None else pins.distance_plus_minus_m
        # Two pins may lie on one point; a line of no length has no optics, so a metre is the least.
        distance = Figure(value=max(slant, 1.0), plus_minus=error, source="pins")
        remarks.append(f"Distance from two pins, known to ±{distance.plus_minus:.0f} m.")
    tilt: Figure | None = None
    if tilts:
        tilt = _mean([(one.deg, tilt_plus_minus(one)) for one in tilts])
    elif pins is not None and pins.tilt_deg is not None and pins.tilt_plus_minus_deg is not None:
        tilt = Figure(value=pins.tilt_deg, plus_minus=pins.tilt_plus_minus_deg, source="pins")
    return Sight(
        bearing_deg=bearing,
        distance_m=distance,
        tilt_deg=tilt,
        gap_m=_gap(sightline.gap, distance),
        remarks=tuple(remarks),
    )


def _compass_remarks(
    vantage: Vantage, measurements: Sequence[Measurement], at: datetime
) -> list[str]:
    """What the magnetic model says of the first magnetic reading that rests on it."""
    for one in measurements:
        bearing = one.bearing
        if bearing is None or bearing.true_deg is not None or bearing.reference != "magnetic":
            continue
        where = vantage.position
        here = declination(where.lat, where.lon, one.at.at if one.at else at)
        said = compass_warnings(here)
        if said:
            return said
    return []


def compass_warnings(here: Declination) -> list[str]:
    """Answer what has to be said of a declination: outside the model's years, near a pole."""
    said = [] if here.warning is None else [here.warning]
    if here.blackout:
        said.append(
            "So near the magnetic pole a compass is of no use: take the bearing off the map."
        )
    elif here.caution:
        said.append("Near the magnetic pole a compass is unsure: take the bearing off the map.")
    return said


def true_bearing(bearing: Bearing, lat_deg: float, lon_deg: float, at: datetime) -> Figure:
    """Turn one bearing as read into degrees true with its ± [deg], by WMM2025 there and then."""
    spread = bearing.plus_minus_deg
    if spread is None:
        spread = ways.plus_minus(bearing.how or "guess", "bearing")
    if bearing.true_deg is not None:
        return Figure(value=bearing.true_deg % 360.0, plus_minus=spread, source="measured")
    turned = 0.0
    if bearing.reference == "magnetic":
        here = declination(lat_deg, lon_deg, at)
        turned = here.declination_deg
        spread = math.hypot(spread, here.plus_minus_deg)
    value = true_from(bearing.read_deg, bearing.reference, turned)
    return Figure(value=value, plus_minus=min(180.0, spread), source="measured")


def _from_pins(vantage: Vantage, perch: Perch) -> Line | None:
    start = _pin(vantage, vantage.lens_height_m)
    end = _pin(perch, perch.height_m)
    if (start.lat_deg, start.lon_deg) == (end.lat_deg, end.lon_deg):
        return None
    return line_between(start, end)


def _pin(place: Vantage | Perch, height_m: float | None) -> Point:
    position, ground = place.position, place.ground_elevation
    if ground is None or height_m is None:
        elevation, spread = None, 0.0
    else:
        elevation = ground.m + height_m
        spread = 5.0 if ground.plus_minus_m is None else ground.plus_minus_m
    return Point(position.lat, position.lon, pin_plus_minus_m(position), elevation, spread)


def pin_plus_minus_m(position: Position) -> float:
    """Answer the ± of a pin [m], the usual one where it was not noted."""
    return PIN_PLUS_MINUS_M if position.accuracy_m is None else position.accuracy_m


def _mean_bearing(bearings: Sequence[tuple[Bearing, datetime]], vantage: Vantage) -> Figure:
    where = vantage.position
    read = [true_bearing(one, where.lat, where.lon, at) for one, at in bearings]
    best = min(figure.plus_minus for figure in read)
    good = [figure for figure in read if figure.plus_minus <= best * _AS_GOOD_AS]
    middle = mean_bearing([figure.value for figure in good]).bearing_deg
    # Deviations from the middle, because degrees wrap.
    off = [turn_deg(middle, figure.value) for figure in good]
    return Figure(
        value=middle, plus_minus=_spread(off, best), source="measured", readings=len(good)
    )


def _mean(read: Sequence[tuple[float, float]]) -> Figure:
    best = min(spread for _, spread in read)
    good = [value for value, spread in read if spread <= best * _AS_GOOD_AS]
    middle = math.fsum(good) / len(good)
    return Figure(
        value=middle,
        plus_minus=_spread([value - middle for value in good], best),
        source="measured",
        readings=len(good),
    )


def _spread(deviations: Sequence[float], instrument: float) -> float:
    """The instrument's own ±, or the spread of the readings where that is larger."""
    if len(deviations) < 2:
        return instrument
    return max(instrument, statistics.stdev(deviations))


def distance_plus_minus(distance: Distance) -> float:
    """Answer the ± of a distance [m], by how it was measured where it was not noted."""
    if distance.plus_minus_m is not None:
        return distance.plus_minus_m
    return ways.plus_minus(distance.how or "guess", "distance", distance.m)


def tilt_plus_minus(tilt: Tilt) -> float:
    """Answer the ± of a tilt [deg], by how it was measured where it was not noted."""
    if tilt.plus_minus_deg is not None:
        return tilt.plus_minus_deg
    return ways.plus_minus(tilt.how or "guess", "tilt")


def _gap(gap: Gap | None, distance: Figure) -> Figure | None:
    """The gap behind the perch; one ranged from the vantage loses the sightline's own length."""
    if gap is None:
        return None
    if gap.m is None:
        return Figure(value=math.inf, plus_minus=0.0, source="measured")
    spread = gap.plus_minus_m
    if spread is None:
        spread = ways.plus_minus(gap.how or "guess", "distance", gap.m)
    if gap.ranged_from == "vantage":
        behind = max(0.0, gap.m - distance.value)
        return Figure(
            value=behind, plus_minus=math.hypot(spread, distance.plus_minus), source="measured"
        )
    return Figure(value=gap.m, plus_minus=spread, source="measured")
