"""A card's timeline: from the alarm clock to the walk back, in the order of the clock.

Not for: working any of these times out (`approach`, `sessions`, `prospect`).
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from scout.engine.asked import Asked
from scout.engine.carried import shutters_of
from scout.engine.exposure import shutter_word
from scout.engine.moon import moon_position
from scout.engine.printed import Printed
from scout.engine.prospect import Prospect
from scout.engine.reasons import edge_of
from scout.engine.sessions import Session

_CASES_OF_SKY = {
    "clear": ("clear",),
    "in and out": ("sun out", "sun in"),
    "overcast": ("overcast",),
}


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
    if prospect is not None:
        entries += _way(asked, prospect)
        entries += _light(asked, prospect, sky, dawn)
        entries.append(_leaving(session, prospect, sky))
    entries.sort(key=lambda entry: entry[0])
    return [
        {"what": what, "at": printed.moment(at), "note": note}
        for at, what, note in entries
        if at is not None
    ]


def _way(asked: Asked, prospect: Prospect) -> list[tuple[datetime, str, str]]:
    way = prospect.approach
    if way is None:
        return []
    found: list[tuple[datetime, str, str]] = []
    if way.get_up_utc is not None and asked.site.drive_min is not None:
        found.append((way.get_up_utc, "get up", f"{asked.site.drive_min:.0f} min drive"))
    if way.leave_car_utc is not None and way.walk_min is not None:
        where = asked.site.centre
        moon = moon_position(where.lat, where.lon, way.leave_car_utc)
        found.append(
            (way.leave_car_utc, "leave the car", f"{way.walk_min:.0f} min walk; {moon.words}")
        )
    found.append((way.in_place_utc, "in place and quiet", way.why_in_place))
    return found


def _light(
    asked: Asked, prospect: Prospect, sky: str, dawn: bool
) -> list[tuple[datetime, str, str]]:
    found: list[tuple[datetime, str, str]] = []
    for shutter, times in zip(shutters_of(asked.species), prospect.arrivals, strict=True):
        # Under one sky two cases at most: with the sun out and with it in.
        case = _CASES_OF_SKY[sky][0]
        at = times[case]
        if at is None:
            continue
        word = f"{shutter_word(shutter.wanted_s)} {'from' if dawn else 'until'} here"
        found.append((at, word, f"{shutter.behaviour}, {case}"))
    edge = edge_of(prospect, dawn)
    if edge is not None:
        verb = "sun clears the skyline" if dawn else "sun goes behind the skyline"
        if edge.assumed_level:
            note = "level horizon assumed: not before this" if dawn else "level horizon assumed"
        elif edge.plus_minus_min is None:
            note = prospect.horizon.known
        else:
            note = f"± {max(1, round(edge.plus_minus_min))} min ({prospect.horizon.known})"
        found.append((edge.at_utc, verb, note))
    best = prospect.best["sun out" if sky == "in and out" else sky]
    if best is not None:
        found.append((best.start_utc, "best stretch begins", best.light or "sky light"))
        found.append((best.end_utc, "best stretch ends", f"{best.minutes} min"))
    return found


def _leaving(session: Session, prospect: Prospect, sky: str) -> tuple[datetime, str, str]:
    if session.kind == "dusk":
        dark = session.nautical_utc or session.end_utc or session.start_utc
        at = dark if dark is not None else prospect.approach.in_place_utc  # type: ignore[union-attr]
        return at, "leave", "when the animal has gone or it is dark"
    best = prospect.best["sun out" if sky == "in and out" else sky]
    end = session.end_utc
    at = best.end_utc if best is not None else end
    if at is None:
        at = prospect.approach.in_place_utc + timedelta(hours=3)  # type: ignore[union-attr]
    return at, "leave", "once the animal has gone"
