"""Getting there: when to get up, leave home, leave the car and be in place.

Counted back from the animal, not from sunrise. Every span is common practice, no source, and a
setting.
Not for: maps of the way.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import attrs

from scout.engine.crossings import crossings
from scout.engine.sessions import Session
from scout.engine.sun import SunPath
from scout.records.kit import Species
from scout.records.places import Site, Vantage, WalkIn
from scout.records.settings import Settings
from scout.records.visits import Sighting

SLOWER_IN_THE_DARK = 1.5  # a walk-in timed by day only: common practice, no source


@attrs.frozen(kw_only=True)
class Approach:
    """The times before a session [aware UTC], None where something they hang on is not known.

    There is no getting up for a dusk. Where `walk_min` is None, leaving and getting up are the
    latest there can be: the walk, which nobody has timed, comes on top.
    """

    in_place_utc: datetime
    leave_car_utc: datetime
    leave_home_utc: datetime | None
    get_up_utc: datetime | None
    walk_min: float | None
    set_up_min: float
    walk_in: WalkIn | None
    why_in_place: str
    remarks: tuple[str, ...]


def first_arrival_utc(
    sightings: Sequence[Sighting], species: Species, site: Site, session: Session
) -> datetime | None:
    """Answer when, by the sun, the earliest arrival logged in such sessions would fall in this one.

    The sun's altitude at each arrival [deg] is what is carried over, since clock times drift
    through the year. Only animals seen or on a trail camera count, within the altitudes of the
    session.
    """
    if session.start_utc is None or session.end_utc is None:
        return None
    path = SunPath(site.centre.lat, site.centre.lon)
    dawn = session.kind == "dawn"
    ends = [path.altitude_deg(at.timestamp()) for at in (session.start_utc, session.end_utc)]
    low, high = min(ends), max(ends)
    arrivals = []
    for sighting in sightings:
        if sighting.species != species.id or sighting.how not in ("seen", "trail camera"):
            continue
        seconds = sighting.time_in.at.timestamp()
        altitude = path.altitude_deg(seconds)
        if (path.hour_angle_deg(seconds) < 0) is dawn and low <= altitude <= high:
            arrivals.append(altitude)
    if not arrivals:
        return None
    level = min(arrivals) if dawn else max(arrivals)
    found = crossings(
        lambda seconds: path.altitude_deg(seconds) - level, session.start_utc, session.end_utc
    )
    first = found.first(rising=dawn)
    return None if first is None else first.at_utc


def approach(
    session: Session,
    site: Site,
    vantage: Vantage,
    walk_ins: Sequence[WalkIn],
    species: Species,
    settings: Settings,
    arrival_utc: datetime | None,
) -> Approach | None:
    """Count back from a session to the alarm clock; None where the session has no times at all.

    `arrival_utc` is what `first_arrival_utc` answers. At dawn: in place by the earlier of a while
    before civil dawn and a while before the earliest arrival; at dusk a while before sunset.
    """
    anchor, why = _in_place(session, species, settings)
    if anchor is None:
        return None
    if arrival_utc is not None:
        settled = arrival_utc - timedelta(minutes=settings.settle_min)
        if settled < anchor:
            anchor = settled
            why = f"{settings.settle_min:.0f} min before the earliest arrival logged"
    anchor = anchor.replace(second=0, microsecond=0)
    remarks: list[str] = []
    dawn = session.kind == "dawn"
    walk_in, walk_min = _quickest(walk_ins, remarks, dark=dawn)
    set_up = settings.set_up_blind_min if vantage.own_blind else settings.set_up_min
    leave_home = get_up = None
    leave_car = anchor - timedelta(minutes=round((walk_min or 0.0) + set_up))
    if site.drive_min is None:
        remarks.append("Drive not noted: when to leave home is not known.")
    else:
        leave_home = leave_car - timedelta(minutes=round(site.drive_min))
        if dawn:
            get_up = leave_home - timedelta(minutes=round(settings.get_up_min))
    return Approach(
        in_place_utc=anchor,
        leave_car_utc=leave_car,
        leave_home_utc=leave_home,
        get_up_utc=get_up,
        walk_min=walk_min,
        set_up_min=set_up,
        walk_in=walk_in,
        why_in_place=why,
        remarks=tuple(remarks),
    )


def _in_place(
    session: Session, species: Species, settings: Settings
) -> tuple[datetime | None, str]:
    if session.kind == "dusk":
        base = session.sun_level_utc or session.start_utc
        ahead = settings.dusk_in_place_min
        after = "sunset" if session.sun_level_utc else "the session"
    else:
        base = session.civil_utc or session.start_utc
        ahead = settings.in_place_before_civil_min
        if species.early:
            ahead = settings.early_before_civil_min
        after = "civil dawn" if session.civil_utc else "the session"
    if base is None:
        return None, ""
    return base - timedelta(minutes=ahead), f"{ahead:.0f} min before {after}"


def _quickest(
    walk_ins: Sequence[WalkIn], remarks: list[str], *, dark: bool
) -> tuple[WalkIn | None, float | None]:
    """The walk-in timed in the light it is walked in, before a dawn in the dark.

    Where it was timed by day only, half its time is added for the dark; one timed in the dark only
    serves by day as it is, which is early rather than late.
    """
    timed_dark = [(way.dark_min, way.id, way) for way in walk_ins if way.dark_min is not None]
    timed_day = [(way.day_min, way.id, way) for way in walk_ins if way.day_min is not None]
    if timed_dark and (dark or not timed_day):
        minutes, _, way = min(timed_dark, key=lambda one: one[:2])
        return way, minutes
    if timed_day:
        minutes, _, way = min(timed_day, key=lambda one: one[:2])
        if not dark:
            return way, minutes
        remarks.append("Walk-in timed by day only: half as long again counted for the dark.")
        return way, minutes * SLOWER_IN_THE_DARK
    remarks.append("Walk-in not timed: leave earlier by what it takes.")
    return (walk_ins[0] if walk_ins else None), None
