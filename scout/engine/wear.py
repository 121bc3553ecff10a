"""How much a vantage has been used of late, and whether the animals noticed.

Visits and reactions of the last days stand beside the rank; two reactions from one vantage: rest
this one. Not for: keep-distances (`bars`).
"""

from __future__ import annotations

from datetime import datetime, timedelta

import attrs

from scout.engine.asked import Asked
from scout.records.places import Vantage


@attrs.frozen
class Wear:
    """Sentences on a vantage's use: against it, and to be said; `rest` where it should rest."""

    against: tuple[str, ...]
    notes: tuple[str, ...]
    rest: bool = False


def wear_of(asked: Asked, vantage: Vantage, before_utc: datetime) -> Wear:
    """Count visits and reactions at a vantage in the days before a moment [aware UTC].

    A visit that came back to the same vantage counts once; a trail camera disturbs nobody and
    counts not at all. A reaction whose cause was not noted counts as caused by the visit.
    """
    days = asked.settings.rest_days
    since = before_utc - timedelta(days=days)
    here = {watch.id: watch for watch in asked.watches if watch.vantage == vantage.id}
    visits = {
        watch.visit or watch.id: watch
        for watch in here.values()
        if since <= watch.start.at < before_utc and not watch.trail_camera
    }
    reactions = [
        one
        for one in asked.reactions
        if one.watch in here and since <= one.at.at < before_utc and one.cause != "other"
    ]
    noted = f"{_counted(len(visits), 'visit', 'visits')} in {days:.0f} days"
    if not reactions:
        return Wear((), (f"{noted}, no reaction.",) if visits else ())
    kinds = ", ".join(sorted({one.what for one in reactions}))
    said = f"{noted}, {_counted(len(reactions), 'reaction', 'reactions')} ({kinds})."
    if len(reactions) >= asked.settings.rest_reactions:
        return Wear((f"Rest this one: {said}",), (), rest=True)
    return Wear((f"{said[:1].upper()}{said[1:]}",), ())


def _counted(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
