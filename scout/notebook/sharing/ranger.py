"""The page that a ranger asks for: who was here, when, where, how near, and what the animals did.

Date, in and out, who, vantage, distance, reactions, and the permission that covers it. A sensitive
place stands by its code name without what its permission says, its animals by no name and no
minute; nothing on the page is a position. Not for: how it is laid out (the server's), or other
formats.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

import attrs

from scout.engine.geodesy import distance_m
from scout.notebook.sharing.classes import OPEN, Classes, classes_of

Records = Mapping[str, Mapping[str, Any]]
NAMELESS_ANIMAL = "an animal"


@attrs.frozen(kw_only=True)
class Row:
    """One visit: local date and clock times, and sentences."""

    date: str
    came: str
    left: str
    who: str
    vantages: tuple[str, ...]
    distance: str
    reactions: tuple[str, ...]


@attrs.frozen(kw_only=True)
class RangersPage:
    """A site's visits in a span of days, with the permissions that hold in it."""

    site: str
    first: dt.date
    last: dt.date
    permissions: tuple[str, ...]
    rows: tuple[Row, ...]


def rangers_page(records: Records, site: Any, first: dt.date, last: dt.date) -> RangersPage:
    """Gather a site's page; days are the site's own."""
    classes = classes_of(records)
    zone = ZoneInfo(site.zone)
    visits = [
        (one.start.at.astimezone(zone), one)
        for one in records["visit"].values()
        if one.site == site.id
    ]
    rows = [
        _row(records, classes, one, zone)
        for begun, one in sorted(visits, key=lambda pair: (pair[0], pair[1].id))
        if first <= begun.date() <= last
    ]
    is_open = classes.of[site.id] == OPEN
    return RangersPage(
        site=site.name if is_open else site.code_name or "withheld site",
        first=first,
        last=last,
        permissions=tuple(
            _permission(one, is_open=is_open)
            for one in records["permission"].values()
            if one.site == site.id and _holds(one, first, last)
        ),
        rows=tuple(rows),
    )


def _holds(permission: Any, first: dt.date, last: dt.date) -> bool:
    begins, ends = permission.starts_on, permission.ends_on
    return (begins is None or begins <= last) and (ends is None or ends >= first)


def _permission(one: Any, *, is_open: bool) -> str:
    """Say a permission; of a sensitive site without its free words, which may name the place."""
    parts = [f"From {one.from_whom}"] if is_open else ["Held, and kept in the notebook"]
    if one.for_what and is_open:
        parts.append(f"for {one.for_what}")
    if one.starts_on or one.ends_on:
        parts.append(f"{one.starts_on or 'open'} to {one.ends_on or 'open'}")
    if one.reference and is_open:
        parts.append(f"reference {one.reference}")
    if one.conditions and is_open:
        parts.append(f"conditions: {one.conditions}")
    return "; ".join(parts)


def _row(records: Records, classes: Classes, visit: Any, zone: ZoneInfo) -> Row:
    watches = [one for one in records["watch"].values() if one.visit == visit.id]
    watches.sort(key=lambda one: (one.start.at, one.id))
    ids = {one.id for one in watches}
    reactions = sorted(
        (one for one in records["reaction"].values() if one.watch in ids),
        key=lambda one: (one.at.at, one.id),
    )
    begun = visit.start.at.astimezone(zone)
    ended = None if visit.end is None else visit.end.at.astimezone(zone)
    vantages = dict.fromkeys(one.vantage for one in watches if one.vantage is not None)
    return Row(
        date=begun.date().isoformat(),
        came=f"{begun:%H:%M}",
        left="not noted" if ended is None else f"{ended:%H:%M}{'?' if visit.end_unsure else ''}",
        who=visit.by or "not noted",
        vantages=tuple(_named(records, classes, id_) for id_ in vantages),
        distance=_nearest(records, watches),
        reactions=tuple(_reaction(records, classes, one, zone) for one in reactions),
    )


def _named(records: Records, classes: Classes, vantage_id: str) -> str:
    vantage = records["vantage"].get(vantage_id)
    if vantage is None:
        return "a vantage"
    if classes.of[vantage_id] == OPEN:
        return str(vantage.name)
    return str(vantage.code_name or f"a vantage ({vantage.cover or 'cover not noted'})")


def _nearest(records: Records, watches: list[Any]) -> str:
    """Say how near the nearest perch that was watched is; measured where it was measured."""
    pairs = {(one.vantage, perch) for one in watches for perch in one.perches}
    lines = {(one.vantage, one.perch): one.id for one in records["sightline"].values()}
    found = []
    for vantage_id, perch_id in pairs:
        measured = [
            one.distance.m
            for one in records["measurement"].values()
            if one.sightline == lines.get((vantage_id, perch_id)) and one.distance is not None
        ]
        vantage, perch = records["vantage"].get(vantage_id or ""), records["perch"].get(perch_id)
        if measured:
            found.append(min(measured))
        elif vantage is not None and perch is not None:
            one, other = vantage.position, perch.position
            found.append(distance_m(one.lat, one.lon, other.lat, other.lon))
    return f"{min(found):.0f} m" if found else "not noted"


def _reaction(records: Records, classes: Classes, one: Any, zone: ZoneInfo) -> str:
    species = records["species"].get(one.species or "")
    open_ = species is not None and species.places in (None, OPEN)
    open_ = open_ and classes.of.get(one.watch, OPEN) == OPEN
    name = species.name if species is not None and open_ else NAMELESS_ANIMAL
    # The minute at which a sensitive animal was there is as telling as its place.
    at = f"{one.at.at.astimezone(zone):%H:%M} " if open_ else ""
    words = f"{at}{name}: {one.what}"
    if one.distance_m is not None:
        words += f" at {one.distance_m:.0f} m"
    return f"{words}, cause: {one.cause}" if one.cause else words
