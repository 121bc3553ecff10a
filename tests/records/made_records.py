"""Records made at random from the schema alone: a new field is tested the day it is added."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from typing import Any

from hypothesis import strategies as st

from scout.records.schema import describe

Described = dict[str, Any]
KINDS: dict[str, list[Described]] = describe()["kinds"]  # type: ignore[assignment]

IDS = st.uuids().map(str)
_OFFSETS = st.sampled_from(["Z", "+01:00", "-03:30", "+05:45", "+14:00", "-11:00"])
_TEXTS = st.text(min_size=1, max_size=40).filter(str.strip)
# Inside the years that are read, whatever the offset.
_DATES = st.dates(
    min_value=dt.date(1950, 1, 1),
    max_value=dt.date(2100, 12, 31),
)
_CLOCKS = st.times().map(lambda time: time.isoformat())
_TIMES = st.builds(lambda day, clock, offset: f"{day}T{clock}{offset}", _DATES, _CLOCKS, _OFFSETS)


def values(field: Described) -> st.SearchStrategy[Any]:
    """Make JSON values that a described field takes."""
    kind = field["kind"]
    if kind == "number":
        low, above = field.get("low"), field.get("above")
        return st.floats(
            min_value=low if above is None else above,
            max_value=field["high"],
            exclude_min=above is not None,
            allow_nan=False,
        )
    if kind == "whole":
        return st.integers(field["low"], field["high"])
    if kind == "choice":
        return st.sampled_from(field["choices"])
    if kind == "list":
        return st.lists(values(field["item"]), min_size=int(bool(field.get("needed"))), max_size=3)
    if kind == "group":
        return objects(field["fields"])
    if kind == "season_day":
        return _DATES.map(lambda day: day.isoformat()[5:])
    plain: dict[str, st.SearchStrategy[Any]] = {
        "text": _TEXTS,
        "flag": st.booleans(),
        "id": IDS,
        "digest": st.binary(min_size=32, max_size=32).map(bytes.hex),
        "date": _DATES.map(str),
        "time": _TIMES,
    }
    made = plain[kind]
    longest = field.get("longest", math.inf)
    return made.filter(lambda text: len(text) <= longest) if kind == "text" else made


def objects(fields: list[Described]) -> st.SearchStrategy[dict[str, Any]]:
    """Make JSON objects of described fields, with any of those left out that may be."""
    needed = {field["name"]: values(field) for field in fields if field.get("needed")}
    others = {field["name"]: values(field) for field in fields if not field.get("needed")}
    return st.fixed_dictionaries(needed, optional=others)


def records(kind: str) -> st.SearchStrategy[dict[str, Any]]:
    """Make JSON objects of sound records of one kind."""
    return objects(KINDS[kind]).map(lambda raw: _mended(kind, raw))


def _mended(kind: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Mend what only several fields together can get wrong."""
    if kind == "sightline" and "gap" in raw:
        gap = raw["gap"]
        if gap.get("sky"):
            gap.pop("m", None)
        elif "m" not in gap:
            gap["m"] = 12.0
    if kind == "kit" and raw.get("iso_base", 0) > raw["iso_ceiling"]:
        del raw["iso_base"]
    if kind == "skyline":
        nodes = {node["azimuth_deg"] % 360: node for node in raw.get("nodes", [])}
        raw["nodes"] = list(nodes.values()) or [{"azimuth_deg": 90, "altitude_deg": 3}]
        raw.setdefault("at", "2026-05-12T04:35:00+01:00")
    return raw


def refused_values(field: Described) -> Iterator[Any]:
    """Answer JSON values that a described field must not take."""
    kind = field["kind"]
    if field.get("needed"):
        yield None
    if kind in ("number", "whole"):
        yield from ("12", "", True, False, [1], {}, math.nan, math.inf, -math.inf, 10**400)
        yield math.nextafter(field["high"], math.inf) if kind == "number" else field["high"] + 1
        if "above" in field:
            yield field["above"]
        else:
            low = field["low"]
            yield math.nextafter(low, -math.inf) if kind == "number" else low - 1
        if kind == "whole":
            yield field["low"] + 0.5
        return
    yield from (12, 0, True if kind != "flag" else "true", math.nan)
    if kind != "list":
        yield []
    if kind != "group":
        yield {}
    if kind in ("text", "choice"):
        yield "\ud800"
    if kind == "text":
        yield "x" * (field["longest"] + 1)
        if field.get("needed"):
            yield from ("", "  \n")
    elif kind == "list":
        yield ["12", {}] if field["item"]["kind"] != "text" else [12]
        yield [None]
        if field.get("needed"):
            yield []
        yield "a;b"
    elif kind == "group":
        yield "12 oranges"
        yield {"surprise": 1}
    else:
        yield from ("", "12", "2026-13-45", "\uff12\uff10\uff12\uff16-05-12")


def bounds(field: Described) -> Iterator[Any]:
    """Answer the values just inside a described number's bounds."""
    yield field["high"]
    if "low" in field:
        yield field["low"]
    else:
        yield math.nextafter(field["above"], math.inf)
