"""The prospects of one sightline in one session: all its figures, before ranks and words.

Not for: sentences (`reasons`), the order of several (`outing`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

import attrs

from scout.engine.approach import Approach, approach
from scout.engine.asked import Asked, leaf_of
from scout.engine.bars import Bars
from scout.engine.carried import needs_of
from scout.engine.clearing import SunOn, sun_on
from scout.engine.correction import Corrected, compared, correct
from scout.engine.horizon import Horizon, horizon
from scout.engine.leaves import Leaves, leaves_of
from scout.engine.light import GROUND_REFLECTANCE, Face
from scout.engine.minutes import CASES, Lit, Minute, Needs, lit, minutes_of, reached
from scout.engine.reading import ComparedReading
from scout.engine.sessions import Session
from scout.engine.several import bars_of_all
from scout.engine.side import SUN_IN_LENS_ALTITUDE_DEG, sun_from_sightline_deg, sun_in_lens
from scout.engine.sightline import Sight, resolve
from scout.engine.skyline import recorded_share, sky_factor
from scout.engine.stretches import Stretch, longest_good, since, stretches
from scout.engine.sun import SunPath
from scout.records.places import Perch, Sightline, Vantage

DEFAULT_GROUND = "grass"


@attrs.frozen(kw_only=True)
class LitLine:
    """One sightline through some span of time.

    `stretches` by case of CASES; `sun` None where the span has no times.
    """

    line: Sightline
    vantage: Vantage
    perch: Perch
    sight: Sight
    horizon: Horizon
    face: Face
    recorded_share: float
    leaves: Leaves
    needs: Needs
    lit: Lit
    sun: SunOn | None
    stretches: Mapping[str, tuple[Stretch, ...]]
    corrected: Corrected


@attrs.frozen(kw_only=True)
class Prospect(LitLine):
    """One sightline in one session.

    `good_min` by sky and `best`, the longest good stretch by case, count from `first_minute` on,
    the place among the session's minutes from which one is in place; `arrivals` by shutter and
    case, from when (at dusk until when) the shutter is reached [aware UTC]; `not_for`
    the ids of those animals chosen for which something bars it.
    """

    first_minute: int
    good_min: Mapping[str, int]
    best: Mapping[str, Stretch | None]
    arrivals: tuple[Mapping[str, datetime | None], ...]
    bars: Bars
    not_for: tuple[str, ...]
    approach: Approach | None
    sun_caution: str | None


@attrs.frozen(kw_only=True)
class Scene:
    """What all sightlines share that are looked at over one span of time."""

    asked: Asked
    start_utc: datetime | None
    end_utc: datetime | None
    minutes: Sequence[Minute]
    path: SunPath
    horizons: Mapping[str, Horizon]
    compared: Sequence[ComparedReading]
    arrival_utc: datetime | None
    at: datetime
    leaf: str


def scene_of(
    asked: Asked,
    start_utc: datetime | None,
    end_utc: datetime | None,
    at: datetime,
    arrival_utc: datetime | None = None,
) -> Scene:
    """Work out what sightlines share from start to end; `at` [aware] dates what has no time."""
    where = asked.site.centre
    horizons = horizons_of(asked, at)
    return Scene(
        asked=asked,
        start_utc=start_utc,
        end_utc=end_utc,
        minutes=(
            ()
            if start_utc is None or end_utc is None
            else minutes_of(where.lat, where.lon, start_utc, end_utc)
        ),
        path=SunPath(where.lat, where.lon),
        horizons=horizons,
        compared=compared(asked, horizons),
        arrival_utc=arrival_utc,
        at=at,
        leaf=leaf_of(asked.settings, where.lat, asked.date),
    )


def horizons_of(asked: Asked, at: datetime) -> dict[str, Horizon]:
    """Put together the skyline of every perch and vantage of a request, by the pin's id."""
    pins: dict[str, Perch | Vantage] = {**asked.perches, **asked.vantages}
    return {
        pin: horizon(
            asked.skylines.get(pin, ()),
            pins[pin].position,
            at,
            leaf_of(asked.settings, asked.site.centre.lat, asked.date),
            lambda day: leaf_of(asked.settings, asked.site.centre.lat, day),
        )
        for pin in sorted(pins)
    }


def lit_line(scene: Scene, line: Sightline) -> LitLine:
    """Work out the light on one sightline over the scene's minutes."""
    asked = scene.asked
    vantage, perch = asked.vantages[line.vantage], asked.perches[line.perch]
    sight = resolve(line, vantage, perch, asked.measurements.get(line.id, ()), scene.at)
    bearing = sight.bearing_deg.value
    facing = (bearing + 180.0) % 360.0
    around = scene.horizons[perch.id]
    sun = None
    if scene.start_utc is not None and scene.end_utc is not None:
        where = perch.position
        sun = sun_on(
            around.line, where.lat, where.lon, scene.start_utc, scene.end_utc, path=scene.path
        )
    leaf = leaves_of(asked.canopies.get(perch.id, ()), scene.leaf)
    face = Face(
        sky_factor=sky_factor(around.line, facing),
        ground_reflectance=GROUND_REFLECTANCE[perch.ground or DEFAULT_GROUND],
        canopy_loss_ev=leaf.loss_ev,
    )
    wanted = line.light_wanted or "any"
    needs = needs_of(asked.kit, asked.species, vantage.support, BEHAVIOUR_PLACE[asked.behaviour])
    plain = lit(scene.minutes, bearing, face, _sunny(scene.minutes, sun), wanted, needs)
    corrected = correct(plain, scene.minutes, needs, wanted, scene.compared, leaf.leaf)
    seen = corrected.lit
    shaded = (False,) * len(seen.sun_on)
    return LitLine(
        line=line,
        vantage=vantage,
        perch=perch,
        sight=sight,
        horizon=around,
        face=face,
        recorded_share=recorded_share(around.line, facing),
        leaves=leaf,
        needs=needs,
        lit=seen,
        sun=sun,
        stretches={
            case: stretches(
                scene.minutes,
                seen.states[place],
                seen.angle_deg,
                seen.sun_on if place < 2 else shaded,
            )
            for place, case in enumerate(CASES)
        },
        corrected=corrected,
    )


def prospect_of(scene: Scene, session: Session, line: Sightline) -> Prospect:
    """Work out one sightline's prospects in a session."""
    asked = scene.asked
    seen = lit_line(scene, line)
    first = session.kind == "dawn"
    way = approach(
        session,
        asked.site,
        seen.vantage,
        asked.walk_ins.get(seen.vantage.id, ()),
        asked.species,
        asked.settings,
        scene.arrival_utc,
    )
    tilt = seen.sight.tilt_deg
    there = scene.at if way is None else way.in_place_utc
    place = 0
    if way is None:
        there = min((minute.at_utc for minute in scene.minutes), default=scene.at)
    else:
        place = sum(minute.at_utc < there for minute in scene.minutes)
    bars, not_for = bars_of_all(
        asked, seen.vantage, seen.perch, seen.sight, None if way is None else way.walk_in
    )
    return Prospect(
        **{field.name: getattr(seen, field.name) for field in attrs.fields(LitLine)},
        first_minute=place,
        good_min=seen.lit.good_minutes(asked.settings.sun_share, place),
        best={case: longest_good(since(seen.stretches[case], there)) for case in CASES},
        arrivals=tuple(
            {
                case: reached(scene.minutes, seen.lit.lux[place], need, first=first)
                for place, case in enumerate(CASES)
            }
            for need in seen.needs.lux
        ),
        bars=bars,
        not_for=not_for,
        approach=way,
        sun_caution=_worst_sun(
            scene.minutes,
            seen.sight.bearing_deg.value,
            0.0 if tilt is None else tilt.value,
        ),
    )


BEHAVIOUR_PLACE = {"perched": 0, "fidgeting": 1, "flight": 2}


def _sunny(minutes: Sequence[Minute], sun: SunOn | None) -> tuple[bool, ...]:
    """Whether the sun stands over the skyline, minute by minute."""
    times = () if sun is None else sun.times
    return tuple(
        any(time.start.at_utc <= minute.at_utc < time.end.at_utc for time in times)
        for minute in minutes
    )


def _worst_sun(minutes: Sequence[Minute], bearing_deg: float, tilt_deg: float) -> str | None:
    """The caution of the minute in which the sun stands nearest to where the lens points."""
    nearest: tuple[float, Minute] | None = None
    for minute in minutes[::5]:  # the sun moves a degree in four minutes
        if minute.altitude_deg <= SUN_IN_LENS_ALTITUDE_DEG:
            continue
        angle = sun_from_sightline_deg(
            bearing_deg, tilt_deg, minute.azimuth_deg, minute.altitude_deg
        )
        if nearest is None or angle < nearest[0]:
            nearest = (angle, minute)
    if nearest is None:
        return None
    sun = nearest[1]
    return sun_in_lens(bearing_deg, tilt_deg, sun.azimuth_deg, sun.altitude_deg)
