"""Presence: what a card is told of when an animal comes to each perch, drawn from the log.

The answer of one call and an argument of another: every watched dawn and dusk of each perch in sun
time, so that it serves any day. Not for: what a card makes of it (`stays`), or the animal's own
page (`habits`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from attrs import frozen

from scout.engine.anchoring import NOON, SUN, Anchoring
from scout.engine.effort import Effort, Place, merged
from scout.engine.haunts import read_haunts
from scout.engine.jeffreys import share_of
from scout.engine.steps import steps_of
from scout.records.fields import number_reader, read_date
from scout.records.settings import Settings
from scout.records.trouble import Refused, at_field, shown

SESSIONS = ("dawn", "dusk")
PARTS = (
    *("site", "species", "settings", "perches", "vantages", "sightlines"),
    *("visits", "watches", "sightings", "reactions"),
)
"""What is read of a card's request; whatever else stands in it is left alone."""

Pair = tuple[float, float]


@frozen
class Morning:
    """One watched dawn or dusk of a perch, in sun time [min from mean sunrise or sunset].

    stays: from when to when it was there; to None where nobody noted when it left.
    """

    date: date
    watched: tuple[Pair, ...]
    stays: tuple[tuple[float, float | None], ...]


@frozen
class Presence:
    """What is known of each perch: its mornings by session and perch id, and their anchoring."""

    anchoring: Anchoring
    mornings: Mapping[str, Mapping[str, tuple[Morning, ...]]]


def presence_of(request: dict[str, Any]) -> dict[str, Any]:
    """Answer what is known of when an animal comes to each perch of a site.

    The request is a card's: of its parts are read `site`, `species`, `settings`, `perches`,
    `vantages`, `sightlines`, `visits`, `watches`, `sightings` and `reactions`. The answer serves
    any day: `anchoring` {"kind", "rise_min", "set_min"}, `watched` (sessions with watched minutes),
    and for `dawn` and `dusk` each {"perches": {perch id: {"there": {"k", "n", "low", "high",
    "words"}, "steps": [{"from_min", "to_min", "k", "n", "low", "high"}], "mornings": [{"date",
    "watched": [[from, to]], "stays": [[from, to or null]]}]}}}, in minutes from mean sunrise or
    mean sunset. Raises ValueError with sentences.
    """
    haunts = read_haunts({name: request.get(name) for name in PARTS})
    answer: dict[str, Any] = {
        "anchoring": written_anchoring(haunts.efforts.anchoring),
        "watched": haunts.efforts.watched(),
        "dawn": {"perches": {}},
        "dusk": {"perches": {}},
    }
    for perch in sorted(haunts.perches):
        efforts = haunts.efforts.at(Place(frozenset((perch,))))
        for session in SESSIONS:
            mine = [effort for effort in efforts if effort.half == session]
            if mine:
                there = share_of(len([one for one in mine if one.there]), len(mine))
                answer[session]["perches"][perch] = {
                    "there": {**there.written(), "words": there.words},
                    "steps": [step.written() for step in steps_of(mine, session)],
                    "mornings": [_written(effort, haunts.date_of(effort)) for effort in mine],
                }
    return answer


def read_presence(raw: object) -> Presence:
    """Read what `presence_of` answered, as a request hands it on. Raises Refused with the fault."""
    if not isinstance(raw, dict):
        raise Refused.one(f"{shown(raw)} is not an object; hand on what the call presence answers")
    anchoring = _read_anchoring(raw.get("anchoring"))
    return Presence(anchoring, {session: _read_session(raw, session) for session in SESSIONS})


def near_in_year(one: date, on: date, days: int) -> bool:
    """Tell whether a day lies within so many days of another, of whatever year."""
    apart = abs(one.timetuple().tm_yday - on.timetuple().tm_yday)
    return min(apart, 365 - apart) <= days


def in_season(mornings: Sequence[Morning], on: date, settings: Settings) -> Sequence[Morning]:
    """Return the mornings of a day's season where there are enough to say something, else all."""
    near = [one for one in mornings if near_in_year(one.date, on, settings.routine_season_days)]
    return near if len(near) >= settings.fewest_watches else mornings


def joined(known: Sequence[Presence]) -> Presence:
    """Return what is known of several animals of one site as if they were one.

    A morning is watched where it was watched for any of them, and its stays are those of all.
    """
    first = known[0]
    if len(known) == 1:
        return first
    whole: dict[str, dict[str, tuple[Morning, ...]]] = {}
    for session in SESSIONS:
        whole[session] = {}
        for perch in sorted({perch for one in known for perch in one.mornings[session]}):
            by_date: dict[date, list[Morning]] = {}
            for one in known:
                for morning in one.mornings[session].get(perch, ()):
                    by_date.setdefault(morning.date, []).append(morning)
            whole[session][perch] = tuple(
                Morning(
                    on,
                    merged([span for one in by_date[on] for span in one.watched]),
                    tuple(
                        sorted(
                            (stay for one in by_date[on] for stay in one.stays),
                            key=lambda stay: (stay[0], -1441.0 if stay[1] is None else stay[1]),
                        )
                    ),
                )
                for on in sorted(by_date)
            )
    return Presence(first.anchoring, whole)


def written_anchoring(anchoring: Anchoring) -> dict[str, Any]:
    """Write an anchoring as {"kind", "rise_min", "set_min"}."""
    return {
        "kind": anchoring.kind,
        "rise_min": anchoring.rise_min,
        "set_min": anchoring.set_min,
    }


_MINUTES = number_reader(low=-1440, high=1440, unit="min")


def _read_anchoring(raw: object) -> Anchoring:
    kind = raw.get("kind") if isinstance(raw, dict) else None
    if not isinstance(raw, dict) or kind not in (SUN, NOON):
        raise Refused.one(f'needs a "kind", {SUN} or {NOON}', "anchoring")
    rise, sets = (_number(raw.get(name), "anchoring", name) for name in ("rise_min", "set_min"))
    if kind == SUN and not 0.0 < sets - rise < 1440.0:
        raise Refused.one("must lie after rise_min by less than a day", "anchoring", "set_min")
    return Anchoring(kind, rise, sets)


def _read_session(raw: Mapping[str, Any], session: str) -> dict[str, tuple[Morning, ...]]:
    part = raw.get(session)
    perches = part.get("perches") if isinstance(part, dict) else None
    if not isinstance(perches, dict):
        raise Refused.one('needs "perches", an object of perch ids', session)
    found = {}
    for perch, known in perches.items():
        mornings = known.get("mornings") if isinstance(known, dict) else None
        if not isinstance(mornings, list):
            raise Refused.one("is no list of mornings", session, "perches", perch, "mornings")
        path = (session, "perches", perch, "mornings")
        found[perch] = tuple(_read_morning(one, (*path, at)) for at, one in enumerate(mornings))
    return found


def _read_morning(raw: object, path: tuple[str | int, ...]) -> Morning:
    if not isinstance(raw, dict):
        raise Refused.one(f"{shown(raw)} is not an object", *path)
    try:
        on = read_date(raw.get("date"))
    except Refused as refusal:
        for step in reversed((*path, "date")):
            refusal = Refused(at_field(step, refusal.troubles))
        raise refusal from None
    watched, stays = (_pairs(raw.get(name), (*path, name)) for name in ("watched", "stays"))
    if not watched:
        raise Refused.one("is empty: a morning nobody watched says nothing", *path, "watched")
    spans = [(start, end) for start, end in watched if end is not None]
    if len(spans) < len(watched):
        raise Refused.one("needs an end for every span", *path, "watched")
    return Morning(on, tuple(spans), tuple(stays))


def _pairs(raw: object, path: tuple[str | int, ...]) -> Sequence[tuple[float, float | None]]:
    if not isinstance(raw, list):
        raise Refused.one(f"{shown(raw)} is no list of spans, each from and to", *path)
    found = []
    for place, one in enumerate(raw):
        if not isinstance(one, list) or len(one) != 2:
            raise Refused.one(f"{shown(one)} is no span of two numbers", *path, place)
        start = _number(one[0], *path, place, 0)
        end = None if one[1] is None else _number(one[1], *path, place, 1)
        if end is not None and end < start:
            raise Refused.one("ends before it starts", *path, place)
        found.append((start, end))
    return found


def _number(raw: object, *path: str | int) -> float:
    try:
        return float(_MINUTES(raw))
    except Refused as refusal:
        raise Refused.one(refusal.troubles[0].says, *path) from None


def _written(effort: Effort, on: date) -> dict[str, Any]:
    return {
        "date": on.isoformat(),
        "watched": [[round(start, 1), round(end, 1)] for start, end in effort.spans_min],
        "stays": [
            [round(stay.in_min, 1), None if stay.out_min is None else round(stay.out_min, 1)]
            for stay in effort.stays
            if stay.watched
        ],
    }
