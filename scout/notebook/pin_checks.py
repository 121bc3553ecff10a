"""Pins against each other and against what was measured: a slip of the pen shows here.

Everything found is a warning: pins are wrong by metres, and the measured figure counts. Not for:
which of the two a card works with (the engine's `sightline`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from geopy.distance import geodesic

from scout.engine.angles import apart_deg
from scout.engine.geodesy import Line, Point, line_between
from scout.engine.sightline import distance_plus_minus, true_bearing
from scout.notebook.findings import Findings
from scout.records.measured import Position
from scout.records.ways import plus_minus

Records = Mapping[str, Mapping[str, Any]]

POSITION_PLUS_MINUS_M = 10.0  # a phone under trees is 5 to 15 m off; common practice, no source
BADLY = 2.0  # how many times the plus-minus a figure may disagree with the pins; ours
FAR_FROM_CENTRE_M = 20_000.0  # ours: nobody walks a site that large; a digit of degrees was slipped
BACKWARDS_DEG = 45.0  # ours: so near to the opposite, somebody may have looked from the perch
# A reading without a date: declination drifts by 0.2° a year or so, which no warning hangs on.
_UNDATED = datetime(2026, 1, 1, tzinfo=UTC)


def check_pins(records: Records, findings: Findings) -> None:
    """Warn of measured distances and bearings that the pins deny, and of pins far from their site.

    A distance or bearing is named beyond twice the combined plus-minus; a bearing never where the
    two pins may lie on top of each other.
    """
    for one in records["measurement"].values():
        line = records["sightline"].get(one.sightline)
        vantage = None if line is None else records["vantage"].get(line.vantage)
        perch = None if line is None else records["perch"].get(line.perch)
        if vantage is None or perch is None:
            continue
        if one.distance is not None:
            _check_distance(one, vantage.position, perch.position, findings)
        if one.bearing is not None:
            _check_bearing(one, vantage.position, perch.position, findings)
    for kind in ("perch", "vantage", "landmark"):
        for pin in records[kind].values():
            _check_far(pin, records["site"].get(pin.site), findings)


def _check_distance(one: Any, here: Position, there: Position, findings: Findings) -> None:
    apart = geodesic((here.lat, here.lon), (there.lat, there.lon)).m
    tilt = 0.0 if one.tilt is None else math.radians(one.tilt.deg)
    level = one.distance.m * math.cos(tilt)
    own = distance_plus_minus(one.distance)
    if abs(apart - level) > BADLY * math.hypot(_position_m(here), _position_m(there), own):
        says = (
            f"{one.distance.m:g} m was measured, but the pins stand {apart:.0f} m apart; "
            "check the pins and the figure"
        )
        findings.of_record(one.id, says, "distance", warning=True)


def _check_bearing(one: Any, here: Position, there: Position, findings: Findings) -> None:
    pins = _line(here, there)
    if pins is None or pins.bearing_plus_minus_deg >= 180.0:
        return
    at = _UNDATED if one.at is None else one.at.at
    read = true_bearing(one.bearing, here.lat, here.lon, at)
    allowed = BADLY * math.hypot(pins.bearing_plus_minus_deg, read.plus_minus)
    off = apart_deg(read.value, pins.bearing_deg)
    if off <= allowed:
        return
    says = (
        f"{round(read.value) % 360}° true was measured, but from pin to pin it is "
        f"{round(pins.bearing_deg) % 360}°; "
    )
    backwards = 180.0 - off <= min(allowed, BACKWARDS_DEG)
    says += "perhaps it was written backwards" if backwards else "check the pins and the figure"
    findings.of_record(one.id, says, "bearing", warning=True)


def _line(here: Position, there: Position) -> Line | None:
    if (here.lat, here.lon) == (there.lat, there.lon):
        return None
    start = Point(here.lat, here.lon, _position_m(here))
    return line_between(start, Point(there.lat, there.lon, _position_m(there)))


def _check_far(pin: Any, site: Any, findings: Findings) -> None:
    if site is None:
        return
    here, centre = pin.position, site.centre
    away = geodesic((here.lat, here.lon), (centre.lat, centre.lon)).m
    if away > FAR_FROM_CENTRE_M:
        says = (
            f"stands {away / 1000:.0f} km from the centre of {site.name}; "
            "check both, digit by digit, and the signs"
        )
        findings.of_record(pin.id, says, "position", warning=True)


def _position_m(position: Position) -> float:
    if position.accuracy_m is not None:
        return position.accuracy_m
    if position.source in ("satellite fix", "map", "guess"):
        return plus_minus(position.source, "position")
    return POSITION_PLUS_MINUS_M
