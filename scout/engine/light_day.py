"""The light through one local day on one sightline, or at a perch that was dropped a minute ago.

Not for: whether to go (`outing`).
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import attrs

from scout.engine import reasons
from scout.engine.angles import compass_letters
from scout.engine.asked import Asked, read_asked
from scout.engine.carried import optic_of, shutters_of
from scout.engine.clearing import SunOn
from scout.engine.clocks import day_exists, zone_of
from scout.engine.exposure import TRANSMISSION_LOSS_EV, ev_of_lux, loss_ev, shutter_s, shutter_word
from scout.engine.first_sun import known_words
from scout.engine.minutes import CASES
from scout.engine.printed import Printed
from scout.engine.prospect import LitLine, Scene, lit_line, scene_of
from scout.engine.sector import sector_sentence
from scout.engine.side import side
from scout.engine.veil import is_sensitive, veiled
from scout.records.measured import Bearing
from scout.records.places import Measurement, Sightline, Vantage

STEP_MIN = 30
_FACING_NAME = "seen from here"


def light_day(request: dict[str, Any]) -> dict[str, Any]:
    """Answer the light through a local day.

    The request is a card's, without `session`, and `sightline`, the id of one of its sightlines;
    or `perch`, the id of one of its perches, with `from_deg`, the true bearing from a lens to it.
    The answer has the stretches by case, the times of the sun over the skyline with their ±, and a
    row every half hour: sun, side, and the shutter at the ISO ceiling under the skies. Raises
    ValueError with a sentence a line.
    """
    rest = dict(request)
    line_id, perch_id = rest.pop("sightline", None), rest.pop("perch", None)
    from_deg = rest.pop("from_deg", None)
    asked = read_asked({**rest, "session": "dawn"})
    if asked.discreet and is_sensitive(asked):
        asked = veiled(asked)
    if not day_exists(asked.site.zone, asked.date):
        raise ValueError(f"date: {asked.date.isoformat()} does not exist in {asked.site.zone}.")
    if line_id is None:
        asked, line_id = _looking_at(asked, perch_id, from_deg)
    line = next((one for one in asked.sightlines if one.id == line_id), None)
    if line is None:
        raise ValueError("sightline: is not among the sightlines of this request; check its id.")
    start, end = _day(asked.date, asked.site.zone)
    scene = scene_of(asked, start, end, start + (end - start) / 2)
    return _written(scene, lit_line(scene, line))


def _day(day: date, zone_name: str) -> tuple[datetime, datetime]:
    """From midnight to midnight by the local clock, 23 to 25 hours."""
    zone = zone_of(zone_name)
    start = datetime.combine(day, time(), zone).astimezone(UTC)
    end = datetime.combine(day + timedelta(days=1), time(), zone).astimezone(UTC)
    return start, end


def _looking_at(asked: Asked, perch_id: object, from_deg: object) -> tuple[Asked, str]:
    """Put a made-up lens before a perch that no sightline reaches yet."""
    perch = asked.perches.get(perch_id) if isinstance(perch_id, str) else None
    if perch is None:
        raise ValueError("perch: give the id of a perch in this request, or a sightline.")
    if isinstance(from_deg, bool) or not isinstance(from_deg, (int, float)):
        raise ValueError("from_deg: give the true bearing from the lens to the perch in degrees.")
    if not 0.0 <= from_deg <= 360.0:
        raise ValueError(f"from_deg: {from_deg} is out of range; give 0 to 360 degrees.")
    vantage = Vantage(id=perch.id, site=asked.site.id, name=_FACING_NAME, position=perch.position)
    line = Sightline(id=perch.id, vantage=perch.id, perch=perch.id, light_wanted="any")
    return (
        attrs.evolve(
            asked,
            vantages={**asked.vantages, perch.id: vantage},
            sightlines=(line,),
            measurements={perch.id: [_bearing_of(perch.id, float(from_deg))]},
        ),
        perch.id,
    )


def _bearing_of(line_id: str, bearing_deg: float) -> Measurement:
    return Measurement(
        id=line_id,
        sightline=line_id,
        bearing=Bearing(read_deg=bearing_deg, reference="true", plus_minus_deg=0.0),
    )


def _written(scene: Scene, seen: LitLine) -> dict[str, Any]:
    asked = scene.asked
    zone = zone_of(asked.site.zone)
    printed = Printed(zone)
    where = seen.perch.position
    return {
        "name": reasons.name_of(seen),
        "date": asked.date.isoformat(),
        "zone": asked.site.zone,
        "line": _direction(seen) if seen.vantage.id == seen.perch.id else reasons.line_words(seen),
        "skyline": known_words(seen.horizon),
        "needs": [
            {"behaviour": shutter.behaviour, "shutter": shutter_word(shutter.wanted_s)}
            for shutter in shutters_of(asked.species)
        ],
        "sun": _sun(seen.sun, printed),
        "stretches": {
            case: [
                {
                    **printed.span(stretch.start_utc, stretch.end_utc),
                    "state": stretch.state,
                    "words": stretch.words,
                }
                for stretch in seen.stretches[case]
            ]
            for case in CASES
        },
        "rows": [
            _row(scene, seen, place, printed)
            for place, minute in enumerate(scene.minutes)
            if minute.at_utc.minute % STEP_MIN == 0 and minute.altitude_deg > -12.0
        ],
        "sector": [
            sector_sentence(where.lat, where.lon, asked.date, rising=rising)
            for rising in (True, False)
        ],
    }


def _direction(seen: LitLine) -> str:
    """A made-up lens has a direction and no distance."""
    bearing = seen.sight.bearing_deg.value
    return f"{round(bearing) % 360}° ({compass_letters(bearing)})"


def _sun(sun: SunOn | None, printed: Printed) -> dict[str, Any]:
    if sun is None:
        return {"times": [], "assumed_level": True, "never": True}
    return {
        "times": [
            {
                name: {
                    "at": printed.moment(edge.at_utc),
                    "plus_minus_min": None
                    if edge.plus_minus_min is None
                    else max(1, round(edge.plus_minus_min)),
                    "azimuth_deg": round(edge.azimuth_deg, 1),
                    "assumed_level": edge.assumed_level,
                }
                for name, edge in (("from", span.start), ("to", span.end))
            }
            for span in sun.times
        ],
        "assumed_level": sun.assumed_level,
        "never": sun.never_on,
    }


def _row(scene: Scene, seen: LitLine, place: int, printed: Printed) -> dict[str, Any]:
    asked, minute = scene.asked, scene.minutes[place]
    kit, optic = asked.kit, optic_of(asked.kit)
    glass = TRANSMISSION_LOSS_EV if kit.transmission_ev is None else kit.transmission_ev
    lost = loss_ev(glass, asked.species.trim_ev or 0.0)
    tilt = seen.sight.tilt_deg
    light = side(
        seen.sight.bearing_deg.value,
        0.0 if tilt is None else tilt.value,
        minute.azimuth_deg,
        minute.altitude_deg,
    )
    shutters, values = {}, {}
    for case, series in zip(CASES, seen.lit.lux, strict=True):
        seconds = shutter_s(series[place], optic.f_number, kit.iso_ceiling, lost)
        shutters[case] = shutter_word(seconds)
        values[case] = round(ev_of_lux(series[place]), 1)
    return {
        "at": printed.moment(minute.at_utc),
        "sun_altitude_deg": round(minute.altitude_deg, 1),
        "sun_azimuth_deg": round(minute.azimuth_deg, 1),
        "sun_on": seen.lit.sun_on[place],
        "side": light.sentence() if seen.lit.sun_on[place] else "sky light",
        "ev100": values,
        "shutter": shutters,
    }
