"""The log of a site as the routine needs it: visits, watches and what came, as plain moments.

A log may hold tens of thousands of records, and reading each register of each with its own reader
would take longer than everything computed from them. So the registers used here are taken straight
from a record of the usual shape, and any record of another shape is handed to its own reader, which
takes it or says what is wrong. Not for: what counts as watched (`effort`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from operator import attrgetter
from typing import Any, NamedTuple, TypeVar

from attrs import frozen

from scout.engine.instants import seconds_of
from scout.engine.request import Request
from scout.records.fields import read_time
from scout.records.kinds import read_record, write_record
from scout.records.trouble import Refused
from scout.records.visits import SKIES, Reaction

SEEN_HOW = ("seen", "trail camera")
"""How an animal must have been noticed to have been at a perch; heard and sign never count."""

_HOW = ("seen", "heard", "sign", "trail camera")
_Kept = TypeVar("_Kept")


@frozen
class Visited:
    """One visit [seconds since 1970-01-01 UTC; None not known], with its weather."""

    id: str
    site: str
    start_s: float
    end_s: float | None
    end_unsure: bool
    sky: str | None
    wind_from_deg: float | None
    wind_force: float | None


@frozen
class Watched:
    """One watch as noted [seconds since 1970-01-01 UTC; None not known]."""

    id: str
    visit: str | None
    vantage: str | None
    perches: tuple[str, ...]
    start_s: float
    end_s: float | None
    end_unsure: bool
    quiet_s: float | None
    in_the_dark: bool
    camera: bool


class Came(NamedTuple):
    """One sighting [seconds since 1970-01-01 UTC].

    out_s is None where nobody noted when it left; `where` its position as (latitude, longitude).
    """

    watch: str
    how: str
    in_s: float
    out_s: float | None
    perch: str | None
    where: tuple[float, float] | None
    species: str


@frozen
class Log:
    """What was logged, by id; `last_s` the last thing noted in each watch, of any animal."""

    visits: Mapping[str, Visited]
    watches: tuple[Watched, ...]
    came: tuple[Came, ...]
    last_s: Mapping[str, float]
    reactions: tuple[Reaction, ...] = ()


def read_log(asked: Request, species_id: str | None) -> Log:
    """Read `visits`, `watches`, `sightings` and `reactions` of a request into a log of one animal.

    Each is a list of records and may be left out; faults are kept in the request.
    """
    visits = _plain_list(asked, "visits", "visit", _visited)
    watches = _plain_list(asked, "watches", "watch", _watched)
    sightings = _plain_list(asked, "sightings", "sighting", _came)
    reactions = asked.records("reactions", "reaction")
    last: dict[str, float] = {}
    came = []
    for one in sightings:
        after = one.in_s if one.out_s is None else max(one.in_s, one.out_s)
        if after > last.get(one.watch, float("-inf")):
            last[one.watch] = after
        if one.species == species_id:
            came.append(one)
    for reaction in reactions:
        at = seconds_of(reaction.at.at)
        last[reaction.watch] = max(at, last.get(reaction.watch, at))
    came.sort(key=attrgetter("in_s"))
    return Log(
        visits={one.id: one for one in visits},
        watches=tuple(sorted(watches, key=lambda one: (one.start_s, one.id))),
        came=tuple(came),
        last_s=last,
        reactions=tuple(reactions),
    )


class _UnusualError(Exception):
    """A record of another shape than the usual one."""


def _plain_list(
    asked: Request, name: str, kind: str, keep: Callable[[Mapping[str, Any]], _Kept]
) -> list[_Kept]:
    raw = asked.part(name)
    if raw is None:
        return []
    if isinstance(raw, list):
        try:
            kept = []
            for one in raw:
                try:
                    kept.append(keep(one))
                except (_UnusualError, KeyError, TypeError, ValueError, AttributeError):
                    kept.append(keep(write_record(read_record(kind, one))))
            if len({one["id"] for one in raw}) == len(raw):
                return kept
        except (Refused, ValueError, _UnusualError):
            pass
    # Something is wrong: the records' own reader finds every fault and names each.
    return [keep(write_record(one)) for one in asked.records(name, kind)]


def _visited(raw: Mapping[str, Any]) -> Visited:
    sky = raw.get("sky")
    if sky is not None and sky not in SKIES:
        raise _UnusualError
    return Visited(
        _ident(raw["id"]),
        _ident(raw["site"]),
        _at(raw["start"]),
        _maybe_at(raw.get("end")),
        _flag(raw.get("end_unsure")),
        sky,
        _number(raw.get("wind_from_deg"), 360.0),
        _number(raw.get("wind_force"), 12.0),
    )


def _watched(raw: Mapping[str, Any]) -> Watched:
    visit, vantage, perches = raw.get("visit"), raw.get("vantage"), raw.get("perches")
    if perches is not None and not isinstance(perches, list):
        raise _UnusualError
    return Watched(
        _ident(raw["id"]),
        None if visit is None else _ident(visit),
        None if vantage is None else _ident(vantage),
        () if perches is None else tuple(_ident(one) for one in perches),
        _at(raw["start"]),
        _maybe_at(raw.get("end")),
        _flag(raw.get("end_unsure")),
        _maybe_at(raw.get("quiet_from")),
        _flag(raw.get("in_the_dark")),
        _flag(raw.get("trail_camera")),
    )


def _came(raw: Mapping[str, Any]) -> Came:
    how, perch, where, out = raw["how"], raw.get("perch"), raw.get("position"), raw.get("time_out")
    species, watch = raw["species"], raw["watch"]
    if how not in _HOW:
        raise _UnusualError
    # Of these there are tens of thousands: looked at in one go, as `_ident` looks at one.
    for one in (raw["id"], species, watch, watch if perch is None else perch):
        if not isinstance(one, str) or len(one) != 36 or not one[8] == one[23] == "-":
            raise _UnusualError
    return Came(
        watch,
        how,
        _at(raw["time_in"]),
        None if out is None else _at(out),
        perch,
        None if where is None else (_degrees(where["lat"], 90.0), _degrees(where["lon"], 180.0)),
        species,
    )


def _ident(raw: object) -> str:
    # As long as an id and dashed like one; the records' own reader has the last word on it.
    if isinstance(raw, str) and len(raw) == 36 and raw[8] == raw[23] == "-":
        return raw
    raise _UnusualError


def _at(raw: object) -> float:
    text = raw["at"] if isinstance(raw, dict) else raw
    if not isinstance(text, str) or len(text) < 19:
        raise _UnusualError
    at = datetime.fromisoformat(text)
    if at.tzinfo is None or not 1950 < at.year < 2100:
        at = read_time(text)
    return at.timestamp()


def _maybe_at(raw: object) -> float | None:
    return None if raw is None else _at(raw)


def _flag(raw: object) -> bool:
    if raw is not None and not isinstance(raw, bool):
        raise _UnusualError
    return raw is True


def _number(raw: object, most: float) -> float | None:
    if raw is None:
        return None
    if isinstance(raw, bool) or not isinstance(raw, (int, float)) or not 0.0 <= raw <= most:
        raise _UnusualError
    return float(raw)


def _degrees(raw: object, most: float) -> float:
    if isinstance(raw, bool) or not isinstance(raw, (int, float)) or not -most <= raw <= most:
        raise _UnusualError
    return float(raw)
