"""A card's timeline: from the alarm clock to the walk back, in the order of the clock.

Not for: working any of these times out (`approach`, `sessions`, `prospect`).
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from scout.engine.asked import Asked
from scout.engine.carried import shutters_of
from scout.engine.exposure import shutter_word
from scout.engine.first_sun import edge_of
from scout.engine.moon import moon_position
from scout.engine.printed import Printed
from scout.engine.prospect import Prospect
from scout.engine.ranking import case_of
from scout.engine.sessions import Session


def timeline_of(
    asked: Asked, session: Session, prospect: Prospect | None, sky: str, printed: Printed
) -> list[dict[str, Any]]:
    """Answer the entries of a timeline: {"what", "at", "note"}, by the clock.

    `prospect` is the first sightline that nothing bars; without one only the sun's own times stand.
    """
    entries: list[tuple[datetime, str, str]] = []
    dawn = session.kind == "dawn"
    sun_word, civil_word = ("sunrise", "civil dawn") if dawn else ("sunset", "civil dusk")
    if session.civil_utc is not None:
        entries.append((session.civil_utc, civil_word, "sun 6° below a level horizon"))
    if session.sun_level_utc is not None:
        entries.append((session.sun_level_utc, sun_word, "on a level horizon"))
    if prospect is not None and session.start_utc is not None:
        entries += _way(asked, prospect, dawn)
        entries += _light(asked, prospect, sky, dawn)
        entries += _leaving(asked, session, prospect, sky)
    entries.sort(key=lambda entry: entry[0])
    return [{"what": what, "at": printed.moment(at), "note": note} for at, what, note in entries]


def _way(asked: Asked, prospect: Prospect, dawn: bool) -> list[tuple[datetime, str, str]]:
    way = prospect.approach
    if way is None:
        return []
    found: list[tuple[datetime, str, str]] = []
    if asked.site.drive_min is not None:
        drive = f"{asked.site.drive_min:.0f} min drive"
        if way.walk_min is None:
            drive = f"{drive}; earlier by the walk, not timed"
        if way.get_up_utc is not None:
            ready = f"{asked.settings.get_up_min:.0f} min to get off, {drive}"
            found.append((way.get_up_utc, "get up", ready))
        elif way.leave_home_utc is not None:
            found.append((way.leave_home_utc, "leave home", drive))
    walk = (
        "walk not timed: earlier by it" if way.walk_min is None else f"{way.walk_min:.0f} min walk"
    )
    note = f"{walk}, {way.set_up_min:.0f} min to set up"
    if dawn:
        note = f"{note}; {_moon(asked, way.leave_car_utc)}"
    found.append((way.leave_car_utc, "leave the car", note))
    found.append((way.in_place_utc, "in place and quiet", way.why_in_place))
    return found


def _moon(asked: Asked, at_utc: datetime) -> str:
    where = asked.site.centre
    return moon_position(where.lat, where.lon, at_utc).words


def _light(
    asked: Asked, prospect: Prospect, sky: str, dawn: bool
) -> list[tuple[datetime, str, str]]:
    found: list[tuple[datetime, str, str]] = []
    case = case_of(sky)
    for shutter, seconds, times in zip(
        shutters_of(asked.species), prospect.needs.wanted_s, prospect.arrivals, strict=True
    ):
        at = times[case]
        if at is None:
            continue
        word = shutter_word(seconds)
        found.append(
            (at, f"{word} {'reached' if dawn else 'lost'}", f"{shutter.behaviour}, {case}")
        )
    edge = edge_of(prospect, dawn)
    if edge is not None:
        verb = "sun clears the skyline" if dawn else "sun goes behind the skyline"
        if edge.assumed_level:
            note = f"level horizon assumed: not {'before' if dawn else 'after'} this"
        elif edge.plus_minus_min is None:
            note = prospect.horizon.known_at(edge.what)
        else:
            known = prospect.horizon.known_at(edge.what)
            note = f"± {max(1, round(edge.plus_minus_min))} min ({known})"
        found.append((edge.at_utc, verb, note))
    best = prospect.best[case]
    if best is not None:
        found.append((best.start_utc, "best stretch begins", best.light or "sky light"))
        found.append((best.end_utc, "best stretch ends", f"{best.minutes} min"))
    return found


def _leaving(
    asked: Asked, session: Session, prospect: Prospect, sky: str
) -> list[tuple[datetime, str, str]]:
    if session.kind == "dusk":
        dark = session.nautical_utc or session.end_utc
        if dark is None:
            return []
        return [(dark, "leave", f"when the animal has gone or it is dark; {_moon(asked, dark)}")]
    best = prospect.best[case_of(sky)]
    at = session.end_utc if best is None else best.end_utc
    return [] if at is None else [(at, "leave", "once the animal has gone")]
