"""The stretches of a card read back as time and states, for whoever draws them.

Not for: drawing (`strip`).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

SKIES = ("clear", "in and out", "overcast")


def cases_of(sky: str) -> tuple[str, ...]:
    """The computed cases of a sky: with the sun in and out there are two, drawn as halves."""
    return ("sun out", "sun in") if sky == "in and out" else (sky,)


def span_of(card: dict[str, Any]) -> tuple[datetime, datetime] | None:
    """Answer from when to when the strips of a card run, None where there is no light to show."""
    ends = [
        moment(stretch[end])
        for line in (*card["sightlines"], *card["barred"])
        for found in line["stretches"].values()
        for stretch in found
        for end in ("from", "to")
    ]
    return (min(ends), max(ends)) if ends and min(ends) < max(ends) else None


def moment(printed: dict[str, str]) -> datetime:
    """Read a moment of a card back [aware UTC]."""
    return datetime.fromisoformat(printed["utc"])


def state_at(line: dict[str, Any], case: str, at: datetime) -> str:
    """Answer a sightline's state at a moment."""
    for stretch in line["stretches"].get(case, ()):
        if moment(stretch["from"]) <= at < moment(stretch["to"]):
            return str(stretch["state"])
    return "dark"


def runs(stretches: Sequence[dict[str, Any]]) -> list[tuple[datetime, datetime, str]]:
    """Join stretches of one state on end: a strip shows states, words tell the light's side."""
    found: list[tuple[datetime, datetime, str]] = []
    for stretch in stretches:
        start, end = moment(stretch["from"]), moment(stretch["to"])
        if found and found[-1][2] == stretch["state"] and found[-1][1] == start:
            found[-1] = (found[-1][0], end, found[-1][2])
        else:
            found.append((start, end, stretch["state"]))
    return found
