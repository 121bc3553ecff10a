"""What a page was asked for: ids, a day and words out of its address, never a position.

Each is looked up in the notebook or refused in a sentence. Not for: building pages (`pages`).
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from flask import request

from scout.engine.asked import BEHAVIOURS
from scout.engine.calls import call_text
from scout.notebook.asking import Records, card_request
from scout.notebook.notebook import Notebook
from scout.records.times import LAST_YEAR, read_date
from scout.records.trouble import Refused
from scout.records.visits import SKIES
from scout.server.errors import Problem

SESSIONS: Final = ("dawn", "dusk")
SHEETS: Final = ("A4", "A5")
MOST_DAYS: Final = 14
_LONGEST_WIND = 60


def record(records: Records, kind: str, name: str | None = None) -> Any:
    """Answer the record whose id the address gives under its kind's name."""
    field = name or kind
    typed = request.args.get(field)
    if not typed:
        raise Problem(400, "shape", f"{field}: say which one; choose it on the page of the site.")
    return named(records, kind, typed)


def named(records: Records, kind: str, record_id: str) -> Any:
    """Answer the record of an id."""
    found = records.get(kind, {}).get(record_id)
    if found is None:
        raise Problem(404, "no_record", f"There is no such {kind.replace('_', '-')} here (yet).")
    return found


def word(name: str, allowed: tuple[str, ...], usual: str | None) -> str | None:
    """Answer one of a few words; the usual one where none is given."""
    typed = request.args.get(name) or usual
    if typed is not None and typed not in allowed:
        raise Problem(400, "shape", f"{name}: give one of: {', '.join(allowed)}.")
    return typed


def day(notebook: Notebook, zone: str, name: str = "date") -> date:
    """Answer the day that was asked for, tomorrow at the place where none was."""
    typed = request.args.get(name)
    if not typed:
        return notebook.clock().astimezone(ZoneInfo(zone)).date() + timedelta(days=1)
    try:
        return read_date(typed)
    except Refused as refusal:
        raise Problem(400, "shape", f"{name}: {refusal.troubles[0].says}.") from None


def days(first: date) -> int:
    """Answer how many days a table goes on for."""
    typed = request.args.get("days") or "3"
    if not typed.isascii() or not typed.isdigit() or not 1 <= int(typed[:4]) <= MOST_DAYS:
        raise Problem(400, "shape", f"days: give a whole number from 1 to {MOST_DAYS}.")
    if first > date(LAST_YEAR, 12, 31) - timedelta(days=int(typed) - 1):
        raise Problem(400, "shape", f"first: the table would go beyond {LAST_YEAR}.")
    return int(typed)


def card_asked(notebook: Notebook, records: Records, site: Any, *, discreet: bool) -> Any:
    """Answer the request for one card as the address asks for it."""
    wind = (request.args.get("wind") or "").strip() or None
    if wind is not None and len(wind) > _LONGEST_WIND:
        raise Problem(400, "shape", f"wind: write at most {_LONGEST_WIND} letters, like SW 3.")
    return card_request(
        records,
        site=site.id,
        species=record(records, "species").id,
        kit=record(records, "kit").id,
        on=day(notebook, site.zone),
        session=word("session", SESSIONS, "dawn") or "dawn",
        behaviour=word("behaviour", BEHAVIOURS, "perched") or "perched",
        sky=word("sky", SKIES, None),
        wind=wind,
        discreet=discreet,
    )


def answered(call: str, asked: dict[str, Any]) -> dict[str, Any]:
    """Answer what the engine says, or refuse in its words."""
    said: dict[str, Any] = json.loads(call_text(call, json.dumps(asked, allow_nan=False)))
    if "error" in said:
        raise Problem(400, "refused", " ".join(said["error"]["sentences"]))
    return said
