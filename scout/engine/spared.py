"""Which sites, animals and perches are spared: no answer may bring more visits to them on a day.

What is sensitive, closed, a nest or den, or without a permission that was there. Not for: barring a
sightline on a card (`bars`), or late disturbance, which the log tells (`unwatched`, `wear`).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from scout.engine.bars import closed_words, permission_words
from scout.engine.request import Request
from scout.records.kit import Species
from scout.records.places import Perch, Permission, Site

OPEN = (None, "open")


def spared(request: dict[str, Any]) -> dict[str, Any]:
    """Answer why a site, or each of its perches, is to be left alone on a day.

    The request has `site`, `perches`, `permissions` and `date`. The answer: `site`, a sentence or
    null; `perches`, a sentence for each id that is spared, none for the others. Raises ValueError
    with a sentence a line.
    """
    asked = Request(request)
    site = asked.record("site", "site")
    perches = asked.records("perches", "perch")
    permissions = asked.records("permissions", "permission")
    on = asked.date("date")
    asked.close()
    mine = [one for one in permissions if one.site == site.id]
    told = {one.id: why for one in perches if (why := perch_spared(one, on)) is not None}
    return {"site": site_spared(site, mine, on), "perches": dict(sorted(told.items()))}


def site_spared(site: Site, permissions: Sequence[Permission], on: date) -> str | None:
    """Say why a site is spared on a day, None where it is not."""
    if site.sensitivity not in OPEN:
        return "This site is sensitive: it is never suggested for more visits."
    closed = closed_words(site.closed, on, "The site")
    if closed is not None:
        return closed
    words, lapsed = permission_words(permissions, on)
    return words if lapsed else None


def animal_spared(species: Species) -> str | None:
    """Say that an animal's places are spared, None where they are not."""
    if species.places in OPEN:
        return None
    return "This animal's places are sensitive: none is suggested for more visits."


def perch_spared(perch: Perch, on: date) -> str | None:
    """Say why a perch is spared on a day, None where it is not."""
    if perch.sensitivity not in OPEN:
        return f"{perch.name} is sensitive: it is never suggested for more visits."
    if perch.kind == "nest or den":
        return (
            f"{perch.name} is a nest or den: no place is suggested near it. In many countries the "
            "law forbids it or asks for a licence."
        )
    return closed_words(perch.closed, on, perch.name)
