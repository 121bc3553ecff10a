"""How much a vantage has been used of late, and whether the animals noticed.

Visits and reactions of the last days stand beside the rank; two reactions from one vantage: rest
this one.
Not for: keep-distances (`bars`).
"""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta

import attrs

from scout.engine.asked import Asked
from scout.records.places import Vantage


@attrs.frozen
class Wear:
    """Sentences on a vantage's use: against it, and to be said."""

    against: tuple[str, ...]
    notes: tuple[str, ...]


def wear_of(asked: Asked, vantage: Vantage) -> Wear:
    """Count watches and reactions at a vantage in the days before the session."""
    days = asked.settings.rest_days
    until = datetime.combine(asked.date, time(), UTC) + timedelta(days=1)
    since = until - timedelta(days=days + 1)
    here = {watch.id: watch for watch in asked.watches if watch.vantage == vantage.id}
    # Two people on one morning are one disturbance more, but one visit each to the place.
    watches = [watch for watch in here.values() if since <= watch.start.at < until]
    reactions = [
        one
        for one in asked.reactions
        if one.watch in here and since <= one.at.at < until and one.cause != "other"
    ]
    noted = f"{_counted(len(watches), 'watch', 'watches')} in {days:.0f} days"
    if not reactions:
        return Wear((), (f"{noted}, no reaction.",) if watches else ())
    kinds = ", ".join(sorted({one.what for one in reactions}))
    said = f"{noted}, {_counted(len(reactions), 'reaction', 'reactions')} to you ({kinds})."
    if len(reactions) >= asked.settings.rest_reactions:
        return Wear((f"Rest this one: {said}",), ())
    return Wear((said,), ())


def _counted(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
