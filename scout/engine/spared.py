"""Which sites, animals and perches are spared: no answer may bring more visits to them on a day.

What is sensitive, closed, a nest or den, lately disturbed, or without a permission that was there.
Not for: barring a sightline on a card (`bars`), or resting a vantage (`wear`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, tzinfo

from attrs import frozen

from scout.engine.bars import closed_words, permission_words
from scout.engine.log import Watched
from scout.records.kit import Species
from scout.records.places import Perch, Permission, Sightline, Site
from scout.records.settings import Settings
from scout.records.visits import Reaction, Watch

OPEN = (None, "open")


@frozen(kw_only=True)
class Noted:
    """What was noted at a site of who was disturbed, and how long that counts."""

    settings: Settings
    zone: tzinfo
    sightlines: Iterable[Sightline]
    watches: Iterable[Watch | Watched]
    reactions: Iterable[Reaction]


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


def left_alone(perches: Iterable[Perch], noted: Noted, on: date) -> dict[str, str]:
    """Say of each perch that is spared or is to rest on a day why it is, by its id.

    It is to rest after so many reactions within so many local days, both settings, whichever
    vantage they were caused from; one that is noted as not the photographer's doing counts not.
    """
    facing: dict[str, list[str]] = {}
    for line in noted.sightlines:
        facing.setdefault(line.vantage, []).append(line.perch)
    watches = {one.id: one for one in noted.watches}
    counts: dict[str, int] = {}
    for reaction in noted.reactions:
        watch = watches.get(reaction.watch)
        days = (on - reaction.at.at.astimezone(noted.zone).date()).days
        if watch is None or reaction.cause == "other" or not 0 <= days <= noted.settings.rest_days:
            continue
        for perch_id in dict.fromkeys(watch.perches or facing.get(watch.vantage or "", ())):
            counts[perch_id] = counts.get(perch_id, 0) + 1
    told = {}
    for perch in perches:
        why = perch_spared(perch, on)
        if why is None and counts.get(perch.id, 0) >= noted.settings.rest_reactions:
            why = (
                f"{perch.name} was disturbed lately: {counts[perch.id]} reactions in the last "
                f"{noted.settings.rest_days:g} days. Let it rest."
            )
        if why is not None:
            told[perch.id] = why
    return told
