"""Which perches no place is looked for or offered: spared ones, and those disturbed lately.

Whether a site, an animal or a perch is spared is the engine's judgement. Not for: keep-distances
(`scout.terrain.wanted`).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from scout.engine.clocks import zone_of
from scout.engine.kept_places import Now, left_out
from scout.engine.spared import Noted, animal_spared, left_alone, site_spared
from scout.records.settings import Settings
from scout.records.trouble import Refused

Records = Mapping[str, Mapping[str, Any]]


def open_perches(
    records: Records,
    settings: Settings,
    species: Any,
    perches: Sequence[Any],
    site: Any,
    on: dt.date,
) -> tuple[list[Any], list[str]]:
    """Answer the perches round which places may be looked for on a day, and sentences on the rest.

    Raises Refused where there are none.
    """
    whole = _site_spared(records, site, on) or animal_spared(species)
    if whole is not None:
        raise Refused.one(whole.rstrip("."))
    why = left_alone(perches, _noted(records, settings, site), on)
    left = [one for one in perches if one.id not in why]
    out = list(why.values())
    if not left:
        raise Refused.one(" ".join(out).rstrip("."))
    if out:
        out.insert(0, f"{len(out)} of {len(perches)} perches left out:")
    return left, [" ".join(out)] if out else []


def open_spots(records: Records, layer: Any, on: dt.date) -> tuple[list[tuple[int, Any]], str]:
    """Answer the places of a kept layer that may be offered on a day, each with its number from 0.

    Also a sentence on how many were left out and why, empty where none was.
    """
    now = Now(
        site=records["site"][layer.site],
        animals=records.get("species", {}).values(),
        settings=settings_of(records),
        perches=records.get("perch", {}).values(),
        permissions=records.get("permission", {}).values(),
        sightlines=records.get("sightline", {}).values(),
        watches=records.get("watch", {}).values(),
        sightings=records.get("sighting", {}).values(),
        reactions=records.get("reaction", {}).values(),
    )
    offered, out = [], []
    for number, (spot, why) in enumerate(zip(layer.spots, left_out(layer, now, on), strict=True)):
        if why is None:
            offered.append((number, spot))
        else:
            out.append(why)
    if not out:
        return offered, ""
    places = "place" if len(out) == 1 else "places"
    return offered, " ".join([f"{len(out)} {places} left out:", *dict.fromkeys(out)])


def settings_of(records: Records) -> Settings:
    """Answer the notebook's settings, the usual ones where none were made."""
    return next(iter(records.get("settings", {}).values()), Settings())


def _site_spared(records: Records, site: Any, on: dt.date) -> str | None:
    permissions = [one for one in records.get("permission", {}).values() if one.site == site.id]
    return site_spared(site, permissions, on)


def _noted(records: Records, settings: Settings, site: Any) -> Noted:
    return Noted(
        settings=settings,
        zone=zone_of(site.zone),
        sightlines=records.get("sightline", {}).values(),
        watches=records.get("watch", {}).values(),
        reactions=records.get("reaction", {}).values(),
    )
