"""What nobody has watched yet: hours, winds and skies without a watch, for the next scouting trips.

A trip is never suggested to a sensitive place, a closed one, one nearer than the keep-distance, or
one where an animal was disturbed of late, be it from another vantage; without a keep-distance of
one's own nothing is suggested at all. Not for: what was watched (`steps`).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from math import fsum
from typing import Any

from attrs import frozen

from scout.engine.anchoring import NOON
from scout.engine.angles import compass_letters
from scout.engine.effort import STEP_MIN, Effort
from scout.engine.haunts import Haunts
from scout.engine.light import SKIES
from scout.engine.sightline import resolve
from scout.engine.spared import OPEN, Noted, animal_spared, left_alone, site_spared
from scout.records.places import Measurement, Permission, Sightline
from scout.records.settings import Settings

WINDS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")

_NOT_COUNTED = "not counted here"  # without a sunrise there is nothing to count hours from

# Hours beside sunrise and sunset in which a trip is worth the asking [min]; ours.
_HOURS = {"dawn": (-60, 180), "dusk": (-180, 60)}


@frozen(kw_only=True)
class Around:
    """What decides beside the haunts whether a place may be suggested."""

    on: date
    settings: Settings
    permissions: tuple[Permission, ...]
    measurements: tuple[Measurement, ...]


def unwatched(
    haunts: Haunts, efforts: Sequence[Effort], perches: frozenset[str] | None, around: Around
) -> dict[str, Any]:
    """Answer {"hours", "winds", "skies", "where", "why_not"} of some efforts, all in words.

    perches: the perches asked about, None for all. With a `why_not` everything else is empty;
    `where` is empty as well where nothing is left to be watched.
    """
    empty: dict[str, Any] = {"hours": [], "winds": [], "skies": [], "where": []}
    refusal = _refusal(haunts, around)
    where = [] if refusal else _where(haunts, perches, around)
    if not where:
        nowhere = "No place here is open, free of late disturbance and far enough away."
        return {**empty, "why_not": refusal or nowhere}
    seen_skies, seen_winds = [], []
    for effort in efforts:
        for visit in (haunts.log.visits.get(one) for one in effort.visits):
            if visit is not None:
                seen_skies.append(visit.sky)
                if visit.wind_from_deg is not None and visit.wind_force != 0.0:
                    seen_winds.append(compass_letters(visit.wind_from_deg, 8))
    by_noon = haunts.efforts.anchoring.kind == NOON
    hours = [] if by_noon else _hours(efforts)
    winds = [wind for wind in WINDS if wind not in seen_winds]
    skies = [sky for sky in SKIES if sky not in seen_skies]
    return {
        "hours": [_NOT_COUNTED] if by_noon else hours,
        "winds": winds,
        "skies": skies,
        "where": where if hours or winds or skies else [],
        "why_not": None,
    }


def is_sensitive(haunts: Haunts) -> bool:
    """Tell whether the site, the animal or any of its places is sensitive."""
    marks = [haunts.site.sensitivity, haunts.species.places]
    marks += [perch.sensitivity for perch in haunts.perches.values()]
    marks += [vantage.sensitivity for vantage in haunts.vantages.values()]
    return any(mark not in OPEN for mark in marks)


def _refusal(haunts: Haunts, around: Around) -> str | None:
    alone = site_spared(haunts.site, around.permissions, around.on) or animal_spared(haunts.species)
    if alone is None and haunts.species.keep_distance_open_m is None:
        return "No keep-distance of your own is set for this animal: set one first."
    return alone


def _where(haunts: Haunts, perches: frozenset[str] | None, around: Around) -> list[str]:
    noted = Noted(
        settings=around.settings,
        zone=haunts.zone,
        sightlines=haunts.sightlines,
        watches=haunts.log.watches,
        reactions=haunts.log.reactions,
    )
    alone = left_alone(haunts.perches.values(), noted, around.on)
    names = []
    for line in haunts.sightlines:
        if line.perch in alone or (perches is not None and line.perch not in perches):
            continue
        if line.vantage in haunts.vantages and _suggestible(haunts, line, around):
            vantage, perch = haunts.vantages[line.vantage], haunts.perches[line.perch]
            names.append(f"{vantage.name} → {perch.name}")
    return sorted(names)


def _suggestible(haunts: Haunts, line: Sightline, around: Around) -> bool:
    vantage, perch, species = (
        haunts.vantages[line.vantage],
        haunts.perches[line.perch],
        haunts.species,
    )
    if vantage.sensitivity not in OPEN:
        return False
    midday = datetime.combine(around.on, time(12), haunts.zone)
    since = midday - timedelta(days=around.settings.rest_days)
    here = [watch.id for watch in haunts.log.watches if watch.vantage == vantage.id]
    if any(
        one.watch in here and since <= one.at.at and one.cause != "other"
        for one in haunts.log.reactions
    ):
        return False
    keep = species.keep_distance_open_m or 0.0
    if vantage.cover == "hide" and species.keep_distance_hide_m is not None:
        keep = species.keep_distance_hide_m
    measured = [one for one in around.measurements if one.sightline == line.id]
    distance = resolve(line, vantage, perch, measured, midday).distance_m
    return round(distance.value - distance.plus_minus, 1) >= keep


def _hours(efforts: Sequence[Effort]) -> list[str]:
    found = []
    for half, (first, last) in _HOURS.items():
        spans = [span for effort in efforts if effort.half == half for span in effort.spans_min]
        for start in range(first, last, 60):
            amount = fsum(max(0.0, min(high, start + 60) - max(low, start)) for low, high in spans)
            if amount < STEP_MIN:
                found.append(_hour_words(start, "sunrise" if half == "dawn" else "sunset"))
    return found


def _hour_words(start: int, event: str) -> str:
    """Such as "2 to 1 h before sunset" or "the hour after sunrise"."""
    hours = start // 60
    if hours in (-1, 0):
        return f"the hour {'before' if hours else 'after'} {event}"
    near, far = (-hours, -hours - 1) if hours < 0 else (hours, hours + 1)
    return f"{near} to {far} h {'before' if hours < 0 else 'after'} {event}"
