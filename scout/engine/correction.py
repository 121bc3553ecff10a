"""How far the light at a site differs from the model, by readings taken there; applied last.

Readings count only at like sky, like sun and like leaf; below three of them nothing is corrected.
Not for: taking readings from test shots (`reading`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt
from typing import Literal, cast

import attrs

from scout.engine.asked import Asked, leaf_of
from scout.engine.exposure import ev_of_lux
from scout.engine.horizon import Horizon
from scout.engine.leaves import leaves_of
from scout.engine.light import GROUND_REFLECTANCE, SKIES, Daylight, Face
from scout.engine.minutes import CASES, Lit, Minute, Needs, restated
from scout.engine.reading import ComparedReading, SiteCorrection, site_correction
from scout.engine.side import horizontal_angle_deg
from scout.engine.skyline import sky_factor
from scout.engine.sun import SunPosition, sun_position
from scout.records.visits import LightReading

_SKY_OF_CASE = {"clear": "clear", "sun out": "in and out", "sun in": "in and out"}


@attrs.frozen(kw_only=True)
class Corrected:
    """A sightline's light with the site's correction, and the correction of each sky."""

    lit: Lit
    by_sky: Mapping[str, SiteCorrection]


def compared(asked: Asked, horizons: Mapping[str, Horizon]) -> list[ComparedReading]:
    """Set each light reading of a request beside what the model gives for its place and minute."""
    found = []
    for reading in asked.light_readings:
        if reading.sky is None:
            continue
        where = asked.site.centre
        sun = sun_position(where.lat, where.lon, reading.at.at)
        leaf = reading.leaf or leaf_of(asked.settings, where.lat, reading.at.at.date())
        model = _model_lux(asked, reading, horizons, sun, leaf)
        found.append(
            ComparedReading(
                id=reading.id,
                measured_ev=reading.ev100,
                model_ev=ev_of_lux(model),
                sky=reading.sky,
                sun_altitude_deg=sun.altitude_deg,
                leaf=cast(Literal["in leaf", "bare"], leaf),
            )
        )
    return found


def correct(
    plain: Lit,
    minutes: Sequence[Minute],
    needs: Needs,
    light_wanted: str,
    readings: Sequence[ComparedReading],
    leaf: str,
) -> Corrected:
    """Apply the correction of each sky as it is where the slowest wanted shutter is reached.

    That is the light in which the choice is made, at the lowest sun that still has it, morning or
    evening, and the same whatever the animal does; where it is never reached, the brightest minute
    stands for it.
    """
    by_sky: dict[str, SiteCorrection] = {}
    gains: list[float] = []
    for place, case in enumerate(CASES):
        sky = _SKY_OF_CASE.get(case, "overcast")
        series = plain.lux[place]
        need = needs.lux[0]
        if not series:
            gains.append(1.0)
            continue
        there = [i for i, lux in enumerate(series) if lux >= need]
        if there:
            spot = min(there, key=lambda i: minutes[i].altitude_deg)
        else:
            spot = max(range(len(series)), key=lambda i: series[i])
        found = site_correction(
            readings,
            sky=sky,
            sun_altitude_deg=minutes[spot].altitude_deg,
            leaf=cast(Literal["in leaf", "bare"], leaf),
        )
        by_sky.setdefault(sky, found)
        # Both halves of sun in and out share one correction, so that the beam stays the difference.
        gains.append(2.0 ** (by_sky[sky].correction_ev or 0.0))
    if all(gain == 1.0 for gain in gains):
        return Corrected(lit=plain, by_sky=by_sky)
    return Corrected(lit=restated(plain, gains, light_wanted, needs), by_sky=by_sky)


def _model_lux(
    asked: Asked,
    reading: LightReading,
    horizons: Mapping[str, Horizon],
    sun: SunPosition,
    leaf: str,
) -> float:
    light = Daylight(sun.altitude_deg, reading.at.at.timetuple().tm_yday)
    if reading.facing_deg is None:
        beam = light.level_clear_lux - light.level_clear_sky_lux
        sunny = light.level_partly_sky_lux + max(0.0, beam)
        return {
            "clear": light.level_clear_lux,
            "in and out": sqrt(sunny * light.level_partly_sky_lux),
            "overcast": light.level_overcast_lux,
        }[reading.sky or SKIES[0]]
    perch = asked.perches.get(reading.perch or "")
    line = None if perch is None else horizons[perch.id].line
    ground = GROUND_REFLECTANCE["grass" if perch is None or perch.ground is None else perch.ground]
    # With the canopy, or the same leaves would be counted again as a site correction.
    canopies = () if perch is None else asked.canopies.get(perch.id, ())
    face = Face(
        sky_factor=sky_factor(line, reading.facing_deg),
        ground_reflectance=ground,
        canopy_loss_ev=leaves_of(canopies, leaf).loss_ev,
    )
    altitude = 0.0 if line is None else line.altitude_at(sun.azimuth_deg) or 0.0
    seen = light.upright(
        face,
        horizontal_angle_deg((reading.facing_deg + 180.0) % 360.0, sun.azimuth_deg),
        sun_on_it=sun.apparent_altitude_deg > altitude,
    )
    return {
        "clear": seen.clear_lux,
        "in and out": seen.in_and_out_lux(asked.settings.sun_share),
        "overcast": seen.overcast_lux,
    }[reading.sky or SKIES[0]]
