"""A sightline's year: its sessions day by day, ready to be asked for any date.

What does not change from day to day (the sight, the skyline in leaf and bare) is prepared once. Not
for: what a year is told as (`season`).
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta

import attrs

from scout.engine.anchoring import DAWN, Day, Days
from scout.engine.asked import Asked, leaf_of
from scout.engine.clearing import Edge, SunOn, sun_on
from scout.engine.instants import instant_of
from scout.engine.prospect import LitLine, lit_line, scene_of
from scout.engine.sessions import NAUTICAL_DEG, SUN_LEVEL_DEG, USUAL_BANDS, dawn_of, dusk_of
from scout.engine.sun import SunPath
from scout.engine.turning import Piece, Track, turning


@attrs.frozen(kw_only=True)
class Year:
    """One sightline's year being worked out; `tracks` by leaf."""

    asked: Asked
    seen: LitLine
    days: Days
    path: SunPath
    tracks: Mapping[str, tuple[LitLine, Track]]


@attrs.frozen(kw_only=True)
class SessionStates:
    """One day's session: its solar day, span [s], the sun's edge that counts, pieces by case."""

    on: date
    day: Day
    start_s: float
    end_s: float
    level_s: float | None
    edge: Edge | None
    pieces: Mapping[str, tuple[Piece, ...]]


def session_states(year: Year, on: date) -> SessionStates | None:
    """Work out one day's session; None where the day does not exist or stays too dark."""
    asked = year.asked
    dawn = asked.session == DAWN
    day = year.days.on(on, asked.site.zone)
    if day is None:
        return None
    span = _span(year, on, day)
    if span is None:
        return None
    start_s, end_s, level_s = span
    track = year.tracks[leaf_of(asked.settings, asked.site.centre.lat, on)][1]
    sun = _sun(year, on, start_s, end_s)
    times = [(one.start.at_utc.timestamp(), one.end.at_utc.timestamp()) for one in sun.times]
    return SessionStates(
        on=on,
        day=day,
        start_s=start_s,
        end_s=end_s,
        level_s=level_s,
        edge=sun.first_on if dawn else sun.last_off,
        pieces=turning(track, start_s, end_s, times, on.timetuple().tm_yday),
    )


def sun_edge(year: Year, on: date) -> Edge | None:
    """Return when the sun first clears the skyline on a day, at dusk when it goes behind it."""
    day = year.days.on(on, year.asked.site.zone)
    span = None if day is None else _span(year, on, day)
    if span is None:
        return None
    sun = _sun(year, on, span[0], span[1])
    return sun.first_on if year.asked.session == DAWN else sun.last_off


def year_of(asked: Asked, line_id: str) -> Year:
    """Prepare a sightline's year: its sight, and skyline and canopy in leaf and bare."""
    line = next((one for one in asked.sightlines if one.id == line_id), None)
    if line is None:
        raise ValueError("sightline: is not among the sightlines of this request; check its id.")
    where = asked.site.centre
    path = SunPath(where.lat, where.lon)
    tracks: dict[str, tuple[LitLine, Track]] = {}
    for ahead in range(0, 366, 7):
        day = asked.date + timedelta(days=ahead)
        leaf = leaf_of(asked.settings, where.lat, day)
        if leaf in tracks:
            continue
        at = datetime.combine(day, time(12), UTC)
        scene = scene_of(attrs.evolve(asked, date=day), None, None, at)
        seen = lit_line(scene, line)
        tracks[leaf] = (
            seen,
            Track(
                path=path,
                bearing_deg=seen.sight.bearing_deg.value,
                face=seen.face,
                light_wanted=line.light_wanted or "any",
                needs=seen.needs,
                readings=scene.compared,
                leaf=seen.leaves.leaf,
            ),
        )
    return Year(
        asked=asked,
        seen=tracks[leaf_of(asked.settings, where.lat, asked.date)][0],
        days=Days(where.lat, where.lon),
        path=path,
        tracks=tracks,
    )


def _span(year: Year, on: date, day: Day) -> tuple[float, float, float | None] | None:
    """From the sun at −12° to 3 h past sunrise, mirrored at dusk; else what the session says."""
    asked = year.asked
    nautical, level = (
        year.days.pass_s(day, degrees, asked.session) for degrees in (NAUTICAL_DEG, SUN_LEVEL_DEG)
    )
    if nautical is not None and level is not None:
        sunlit_s = USUAL_BANDS.sunlit_h * 3600.0
        if asked.session == DAWN:
            return round(nautical), round(level + sunlit_s), level
        return round(level - sunlit_s), round(nautical), level
    of = dawn_of if asked.session == DAWN else dusk_of
    session = of(asked.site.centre.lat, asked.site.centre.lon, asked.site.zone, on)
    if session.start_utc is None or session.end_utc is None:
        return None
    at = session.sun_level_utc
    return (
        session.start_utc.timestamp(),
        session.end_utc.timestamp(),
        None if at is None else at.timestamp(),
    )


def _sun(year: Year, on: date, start_s: float, end_s: float) -> SunOn:
    seen = year.tracks[leaf_of(year.asked.settings, year.asked.site.centre.lat, on)][0]
    where = seen.perch.position
    return sun_on(
        seen.horizon.line,
        where.lat,
        where.lon,
        instant_of(start_s),
        instant_of(end_s),
        path=year.path,
        with_plus_minus=False,
    )
