"""The season of one sightline: a row a week, time counted from when the sun clears its skyline.

Whether the sun reaches the perch while the animal is there changes over the year more than anything
else about a sightline. Not for: one session in full (`outing`), or how states are found
(`turning`).
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from math import fsum
from typing import Any

import attrs

from scout.engine import reasons
from scout.engine.anchoring import DAWN, SUN
from scout.engine.asked import read_asked
from scout.engine.bars import bars_of
from scout.engine.clocks import zone_of
from scout.engine.holding import median
from scout.engine.instants import instant_of
from scout.engine.minutes import CASES, GOOD
from scout.engine.presence import Presence, near_in_year, read_presence
from scout.engine.printed import Printed
from scout.engine.ranking import UNTYPED_SKY, case_of
from scout.engine.request import Request
from scout.engine.stays import last_min, stays_in_good_light
from scout.engine.turning import Piece
from scout.engine.veil import is_sensitive, veiled
from scout.engine.year import SessionStates, Year, session_states, sun_edge, year_of
from scout.records.trouble import Refused

MOST_WEEKS = 53
LOW_SUN_DEG = 15.0  # while it clears; above it the light is called high soon: ours
LEAVING_KNOWN = 3  # mornings on which it came, before "usually" is said; ours


def season_strip(request: dict[str, Any]) -> dict[str, Any]:
    """Answer the season of one sightline, a row a week.

    The request is a card's without `date`, with `sightline` (its id), `first` (a local date),
    `weeks` 1 to 53, 53 where left out, and `presence` as the call presence answers it, or null.
    The answer: `title` {"site", "species", "code_name_only"}, `name`, `session`, `sky` and `case`
    (what rows are told by), `rows`, each of the middle day of its week: `week`, `date`, `clears`
    (when the sun clears the skyline, at dusk goes behind it; null where it does not),
    `counted_from` that or sunrise (null: no session), `states` by case [[from_min, to_min,
    state]], `good_min` by case, `presence` {"k", "n", "low", "high", "words", "season"} or null;
    and `low_sun_days` [{"date", "at", "animal", "words"}] with `low_sun_spans`, runs of them
    [{"from", "to", "days"}], and `low_sun_words`; days on which something bars the sightline are
    not among them. Raises ValueError with a sentence a line.
    """
    year, presence, first, weeks = _read(request)
    printed = Printed(zone_of(year.asked.site.zone))
    rows = []
    low_days: list[dict[str, Any]] = []
    for week in range(weeks):
        begin = first + timedelta(days=7 * week)
        middle = begin + timedelta(days=3)
        rows.append(_row(year, presence, begin, session_states(year, middle), printed))
        usual = None if presence is None else _usual_min(year, presence, middle)
        if presence is not None and usual is not None:
            for ahead in range(7):
                on = begin + timedelta(days=ahead)
                low_days += _low_sun(year, presence, on, usual, printed)
    sky = year.asked.sky or UNTYPED_SKY
    return {
        "title": {
            "site": year.asked.site.name,
            "species": year.asked.species.name,
            "code_name_only": year.asked.discreet and is_sensitive(year.asked),
        },
        "name": reasons.name_of(year.seen),
        "sightline": year.seen.line.id,
        "session": year.asked.session,
        "sky": sky,
        "case": case_of(sky),
        "skyline": year.seen.horizon.all_known,
        "rows": rows,
        "low_sun_days": low_days,
        "low_sun_spans": _spans(low_days),
        "low_sun_words": _low_words(year, low_days, weeks, known=presence is not None),
    }


def _read(request: dict[str, Any]) -> tuple[Year, Presence | None, date, int]:
    rest = dict(request)
    own = {name: rest.pop(name, None) for name in ("sightline", "first", "weeks", "presence")}
    extra = Request(own)
    first = extra.date("first")
    weeks = int(extra.number("weeks", low=1, high=MOST_WEEKS, whole=True, needed=False))
    presence = extra.plain("presence", read_presence, needed=False)
    line_id = extra.plain("sightline", _ident)
    extra.close()
    asked = read_asked({**rest, "date": first.isoformat()})
    if asked.discreet and is_sensitive(asked):
        asked = veiled(asked)
    return year_of(asked, line_id), presence, first, weeks or MOST_WEEKS


def _row(
    year: Year,
    presence: Presence | None,
    week: date,
    states: SessionStates | None,
    printed: Printed,
) -> dict[str, Any]:
    row: dict[str, Any] = {
        "week": week.isoformat(),
        "date": (week + timedelta(days=3)).isoformat(),
        "clears": None,
        "counted_from": None,
        "states": {},
        "good_min": {},
        "presence": None,
    }
    if states is None:
        return row
    edge = states.edge
    origin = states.level_s if edge is None else edge.at_utc.timestamp()
    if origin is None:
        origin = states.start_s
    row["counted_from"] = printed.moment(instant_of(origin))
    if edge is not None:
        row["clears"] = {
            "at": printed.moment(edge.at_utc),
            "assumed_level": edge.assumed_level,
            "altitude_deg": round(edge.altitude_deg, 1),
        }
    for case in CASES:
        row["states"][case] = [
            [round((end - origin) / 60.0, 1) for end in (piece.start_s, piece.end_s)]
            + [piece.state]
            for piece in states.pieces[case]
        ]
        good = [piece.end_s - piece.start_s for piece in _good(states, case)]
        row["good_min"][case] = round(fsum(good) / 60.0)
    if presence is None:
        return row
    light = [
        (piece.start_s, piece.end_s)
        for piece in _good(states, case_of(year.asked.sky or UNTYPED_SKY))
    ]
    found = stays_in_good_light(
        presence,
        year.seen.perch.id,
        year.asked.session,
        states.day,
        states.on,
        light,
        settings=year.asked.settings,
    )
    if found is not None and found.share.n:
        share = found.share
        row["presence"] = {
            **share.written(),
            "words": share.counted(f"watched {year.asked.session}s"),
            "season": found.season,
        }
    return row


def _good(states: SessionStates, case: str) -> list[Piece]:
    return [piece for piece in states.pieces[case] if piece.state == GOOD]


def _usual_min(year: Year, presence: Presence, on: date) -> float | None:
    """The middle of when it left for good, at dusk of when it first came, in sun time [min].

    Of the mornings of that season where there are enough, else of all; None where it hardly came.
    """
    session = year.asked.session
    known = presence.mornings[session].get(year.seen.perch.id, ())
    there = [one for one in known if one.stays]
    settings = year.asked.settings
    near = [one for one in there if near_in_year(one.date, on, settings.routine_season_days)]
    used = near if len(near) >= settings.fewest_watches else there
    if len(used) < LEAVING_KNOWN:
        return None
    return median([last_min(one) if session == DAWN else one.stays[0][0] for one in used])


def _low_sun(
    year: Year, presence: Presence, on: date, usual: float, printed: Printed
) -> list[dict[str, Any]]:
    """The day, if the low sun lies on the perch before the animal leaves (at dusk: still does)."""
    dawn = year.asked.session == DAWN
    day = year.days.on(on, year.asked.site.zone)
    if day is None or (presence.anchoring.kind == SUN and day.day_min is None):
        return []
    if _barred(year, on):
        return []
    edge = sun_edge(year, on)
    if edge is None or edge.assumed_level or round(edge.altitude_deg, 1) > LOW_SUN_DEG:
        return []
    animal: datetime = presence.anchoring.moment_utc(day, usual, year.asked.session)
    if (edge.at_utc >= animal) if dawn else (edge.at_utc <= animal):
        return []
    sun_at, animal_at = printed.clock(edge.at_utc), printed.clock(animal)
    words = (
        f"sun on it from {sun_at}, it usually leaves at {animal_at}"
        if dawn
        else f"it usually comes at {animal_at}, sun on it until {sun_at}"
    )
    return [
        {
            "date": on.isoformat(),
            "at": printed.moment(edge.at_utc),
            "animal": printed.moment(animal),
            "words": words,
        }
    ]


def _barred(year: Year, on: date) -> bool:
    """Whether law, owner or animal forbid the sightline on a day: then nobody is sent there."""
    seen, asked = year.seen, attrs.evolve(year.asked, date=on, wind=None)
    return bool(bars_of(asked, seen.vantage, seen.perch, seen.sight, None).barred)


def _spans(low_days: list[dict[str, Any]]) -> list[dict[str, Any]]:
    spans: list[dict[str, Any]] = []
    for one in low_days:
        on = date.fromisoformat(one["date"])
        if spans and on - date.fromisoformat(spans[-1]["to"]) == timedelta(days=1):
            spans[-1]["to"] = one["date"]
            spans[-1]["days"] += 1
        else:
            spans.append({"from": one["date"], "to": one["date"], "days": 1})
    return spans


def _low_words(year: Year, low_days: list[dict[str, Any]], weeks: int, *, known: bool) -> str:
    dawn = year.asked.session == DAWN
    if not known:
        return "No routine is known here: the days cannot be told."
    if year.seen.horizon.line is None:
        return "No skyline is recorded: when the sun clears it is not known."
    what = "reaches this perch before the animal usually leaves"
    if not dawn:
        what = "still lies on this perch when the animal usually comes"
    count = len(low_days)
    if not count:
        return f"On no day of these weeks is it known that the low sun {what}."
    asked = "this week" if weeks == 1 else f"these {weeks} weeks"
    return f"The low sun {what} on {count} day{'' if count == 1 else 's'} in {asked}."


def _ident(raw: object) -> str:
    if not isinstance(raw, str):
        raise Refused.one("give the id of one of the sightlines")
    return raw
