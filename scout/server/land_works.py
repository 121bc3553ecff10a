"""Pieces of work on the land, as they are asked over HTTP: read, begun, and what came of each.

Not for: the routes (`land`), or the work itself (`land_records`, `land_layers`, `land_search`).
"""

from __future__ import annotations

from typing import Any, Final

from flask import current_app

from scout.engine.asked import BEHAVIOURS
from scout.records.times import read_date
from scout.records.trouble import Refused
from scout.records.visits import SKIES
from scout.server import land_layers, land_records, land_search
from scout.server.errors import Problem
from scout.server.land_jobs import Job, Jobs
from scout.server.who import notebook
from scout.terrain.model import BARE, KINDS
from scout.terrain.taking_in import Progress
from scout.terrain.wanted import POSTURES

_SESSIONS: Final = ("dawn", "dusk")
_LIGHTS: Final = ("any", "front", "side", "back")


def jobs() -> Jobs:
    """Answer the work of this server."""
    held: Jobs = current_app.extensions.setdefault("scout_land", Jobs())
    return held


def _ground(asked: dict[str, Any]) -> Job:
    book, site = notebook(), text_of(asked, "site", needed=False)

    def work(progress: Progress) -> dict[str, Any]:
        rows = land_records.grounds(book, site)
        saved = land_records.fill_in(book, rows, "app")
        return {
            "filled": 0 if saved is None else len(saved.changes),
            "sentences": [f"{one.pin.name}: {one.words}." for _, one in rows],
        }

    return jobs().begin("The ground under the pins", work)


def _skyline(asked: dict[str, Any]) -> Job:
    book, pin, kind = notebook(), text_of(asked, "pin") or "", kind_of(asked)
    _, record = land_records.pin_named(land_records.records_of(book), pin)

    def work(progress: Progress) -> dict[str, Any]:
        kept = land_records.land_skyline(book, pin, kind=kind, via="app", progress=progress)
        group = None if kept.saved is None else kept.saved.group
        return {"pin": pin, "sentences": list(kept.sentences), "group": group}

    return jobs().begin(f"Skyline of {record.name}", work)


def _relief(asked: dict[str, Any]) -> Job:
    book, site = notebook(), text_of(asked, "site") or ""

    def work(progress: Progress) -> dict[str, Any]:
        kept = land_layers.relief(book, site, via="app", progress=progress)
        return {"layer": kept.record, "sentences": [kept.title + "."]}

    return jobs().begin("Relief", work)


def _first_light(asked: dict[str, Any]) -> Job:
    book, site = notebook(), text_of(asked, "site") or ""
    on, session = read_date(asked.get("date")), word_of(asked, "session", _SESSIONS, "dawn")

    def work(progress: Progress) -> dict[str, Any]:
        kept = land_layers.light(book, site, on, session, via="app", progress=progress)
        return {"layer": kept.record, "sentences": [kept.title + "."]}

    return jobs().begin("First light", work)


def _find(asked: dict[str, Any]) -> Job:
    book = notebook()
    perches = asked.get("perches")
    if not isinstance(perches, list) or not all(isinstance(one, str) for one in perches):
        raise Problem(400, "shape", "perches: give a list of ids.")
    wanted = land_search.Search(
        perches=tuple(perches),
        species=text_of(asked, "species") or "",
        kit=text_of(asked, "kit") or "",
        on=read_date(asked.get("date")),
        session=word_of(asked, "session", _SESSIONS, "dawn"),
        behaviour=word_of(asked, "behaviour", BEHAVIOURS, "perched"),
        sky=word_of(asked, "sky", SKIES, "in and out"),
        light_wanted=word_of(asked, "light_wanted", _LIGHTS, "any"),
        posture=word_of(asked, "posture", tuple(POSTURES), "sitting"),
        in_hide=asked.get("in_hide") is True,
        least_gap_m=metres_of(asked, "least_gap_m", 5.0),
        farthest_m=metres_of(asked, "farthest_m", 0.0) or None,
        kind=kind_of(asked),
    )

    def work(progress: Progress) -> dict[str, Any]:
        searched, kept = land_search.search(book, wanted, progress)
        return {
            "layer": None if kept is None else kept.record,
            "spots": [one.as_json() for one in searched.spots],
            "sentences": list(searched.sentences),
        }

    return jobs().begin("Places to sit", work)


WORKS: Final = {
    "ground": _ground,
    "skyline": _skyline,
    "relief": _relief,
    "first light": _first_light,
    "find": _find,
}


def kind_of(asked: dict[str, Any]) -> str:
    """Read which kind of model is asked, bare earth where none is said."""
    return word_of(asked, "kind", KINDS, BARE)


def word_of(
    asked: dict[str, Any], name: str, allowed: tuple[str, ...], usual: str | None = None
) -> str:
    """Read one of some words; raises Problem for another."""
    value = asked.get(name, usual)
    if not isinstance(value, str) or value not in allowed:
        raise Problem(400, "shape", f"{name}: give one of: {', '.join(allowed)}.")
    return value


def text_of(asked: dict[str, Any], name: str, *, needed: bool = True) -> str | None:
    """Read a short text; raises Refused where it is missing and needed."""
    value = asked.get(name)
    if value is None and not needed:
        return None
    if not isinstance(value, str) or not 0 < len(value) <= 200:
        raise Refused.one("is missing", name)
    return value


def metres_of(asked: dict[str, Any], name: str, usual: float) -> float:
    """Read metres; raises Problem for anything else."""
    value = asked.get(name, usual)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 <= value <= 10_000:
        raise Problem(400, "shape", f"{name}: give metres from 0 to 10000.")
    return float(value)
