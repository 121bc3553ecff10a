"""Plain pages for a kit's reckoning: what it makes of a distance and a gap, and where to stand.

Asked through the address, answered on the same page; no script. Not for: the light at a place
(`pages`), or working any of it out (the engine's).
"""

from __future__ import annotations

import math
from typing import Any, Final

from flask import Blueprint, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from scout.notebook.asking import Records, settings_of
from scout.records import rough
from scout.records.kinds import write_record
from scout.records.places import BACKGROUNDS, TONES
from scout.server import asked
from scout.server.errors import Problem
from scout.server.reading import contents

_MOST_KITS: Final = 3
_LONGEST: Final = 60
_FIELDS: Final = (
    *("kit", "species", "distance", "gap", "background", "tone"),
    *("like", "blur", "in_hide"),
)

routes = Blueprint("kit_pages", __name__)


@routes.get("/plain/kit")
def kit() -> str:
    """Set out what up to three kits make of a distance and a gap."""
    records = contents().records
    said = None
    if request.args.get("distance"):
        typed = [one for one in request.args.getlist("kit") if one]
        if not 1 <= len(set(typed)) <= _MOST_KITS:
            raise Problem(400, "shape", f"kit: choose one to {_MOST_KITS} kits.")
        wanted = {
            "kits": [_written(records, "kit", one) for one in dict.fromkeys(typed)],
            "settings": settings_of(records),
            "background": asked.word("background", BACKGROUNDS, None),
            "tone": asked.word("tone", TONES, None),
            "in_shade": request.args.get("in_shade") == "yes",
            **_where(records),
        }
        said = asked.answered("kit_table", wanted)
    return _page("plain_kit.html", records, said, backgrounds=BACKGROUNDS, tones=TONES)


@routes.get("/plain/stand")
def stand() -> str:
    """Say where to stand for a blur, never nearer than the keep-distance."""
    records = contents().records
    said = None
    if request.args.get("distance"):
        like, blur = request.args.get("like"), request.args.get("blur")
        if bool(like) == bool(blur):
            raise Problem(
                400, "shape", "like: choose another kit to match, or give blur, and not both."
            )
        wanted: dict[str, Any] = {
            "kit": write_record(asked.record(records, "kit")),
            "in_hide": request.args.get("in_hide") == "yes",
            **_where(records),
        }
        if like:
            wanted["like"] = _written(records, "kit", like)
        else:
            wanted["times_animal"] = _number("blur", 0.001, 100)
        said = asked.answered("stand_where", wanted)
    return _page("plain_stand.html", records, said)


@routes.after_request
def _fresh(answer: AnyResponse) -> AnyResponse:
    answer.headers.setdefault("Cache-Control", "no-store")
    return answer


def _page(template: str, records: Records, said: dict[str, Any] | None, **more: Any) -> str:
    """Write a page: its form filled with what was typed, and the answer where there is one."""
    return render_template(
        template,
        said=said,
        typed={name: request.args.get(name) for name in _FIELDS},
        chosen=request.args.getlist("kit"),
        kits=records["kit"].values(),
        species=records["species"].values(),
        **more,
    )


def _where(records: Records) -> dict[str, Any]:
    """Answer the animal, how far it is and what is behind it, as the engine is asked."""
    gap = _metres("gap", sky=True)
    return {
        "species": write_record(asked.record(records, "species")),
        "distance_m": _metres("distance"),
        "gap_m": "sky" if math.isinf(gap) else gap,
    }


def _written(records: Records, kind: str, record_id: str) -> dict[str, Any]:
    return write_record(asked.named(records, kind, record_id))


def _metres(name: str, *, sky: bool = False) -> float:
    """Answer a distance as it is said: 12, "about 12 m", and sky where that may be."""
    typed = (request.args.get(name) or "").strip()
    if not typed or len(typed) > _LONGEST:
        raise Problem(400, "shape", f"{name}: give metres, for example 12 or about 12 m.")
    try:
        read = rough.distance(typed)
    except ValueError as trouble:
        raise Problem(400, "shape", f"{name}: {trouble}") from None
    if not math.isfinite(read.value) and not (sky and "sky" in read.words):
        raise Problem(400, "shape", f"{name}: that is no distance; give metres.")
    return read.value


def _number(name: str, low: float, high: float) -> float:
    try:
        number = float((request.args.get(name) or "")[:20])
    except ValueError:
        number = math.nan
    if not low <= number <= high:
        raise Problem(400, "shape", f"{name}: give a number from {low:g} to {high:g}.")
    return number
