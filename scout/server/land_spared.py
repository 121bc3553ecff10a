"""Which perches no place is looked for: sensitive, closed, nests and dens, lately disturbed.

No answer may bring more visits to them. Not for: keep-distances (`scout.terrain.wanted`).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from scout.engine.asked import within_year
from scout.records.settings import Settings
from scout.records.trouble import Refused


def refuse_spared(
    records: Mapping[str, Mapping[str, Any]],
    settings: Settings,
    species: Any,
    perches: Sequence[Any],
    site: Any,
    on: dt.date,
) -> None:
    """Refuse a search round a perch that is to be left alone on a day, in a sentence."""
    _refuse_secret(species, perches, site, on)
    for perch in perches:
        noticed = _noticed(records, perch.id, on, settings.rest_days)
        if noticed >= settings.rest_reactions:
            raise Refused.one(
                f"{perch.name} was disturbed lately: {noticed} reactions in the last "
                f"{settings.rest_days:g} days. Let it rest"
            )


def _noticed(records: Mapping[str, Mapping[str, Any]], perch: str, on: dt.date, days: float) -> int:
    """How many reactions that were the photographer's doing were noted at a perch lately."""
    watches = records.get("watch", {})
    count = 0
    for reaction in records.get("reaction", {}).values():
        watch = watches.get(reaction.watch)
        if watch is None or perch not in watch.perches or reaction.cause == "other":
            continue
        count += 0 <= (on - reaction.at.at.date()).days <= days
    return count


def _refuse_secret(species: Any, perches: Sequence[Any], site: Any, on: dt.date) -> None:
    """Refuse where no answer may draw more visits: sensitive, closed, a nest or den."""
    day = on.isoformat()[5:]
    for perch in perches:
        if "withheld" in (species.places, perch.sensitivity, site.sensitivity) or "high" in (
            species.places,
            perch.sensitivity,
            site.sensitivity,
        ):
            raise Refused.one(
                f"{perch.name} is a sensitive place, and none is looked for that would bring more "
                "visits to it"
            )
        if perch.kind == "nest or den":
            raise Refused.one(
                f"{perch.name} is a nest or den: no place is looked for near it. In many countries "
                "the law forbids it or asks for a licence"
            )
        for closed in (*perch.closed, *site.closed):
            if within_year(day, closed.from_day, closed.to_day):
                raise Refused.one(
                    f"{perch.name} is closed from {closed.from_day} to {closed.to_day}"
                    + (f": {closed.why}" if closed.why else "")
                )
