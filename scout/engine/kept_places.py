"""Which places of a kept layer may still be offered on a day.

A layer stays when a search for places is long past; what was disturbed, closed, marked or moved
further off since then counts as it does for a new search. Not for: searching (`scout.terrain`).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date
from typing import Any

from attrs import frozen

from scout.engine.clocks import zone_of
from scout.engine.keep_off import KeepOff, keep_offs
from scout.engine.request import Request
from scout.engine.sightline import pin_plus_minus_m
from scout.engine.spared import Noted, animal_spared, left_alone, site_spared
from scout.records.kit import Species
from scout.records.layers import FoundSpot, Layer
from scout.records.places import Perch, Permission, Sightline, Site
from scout.records.settings import Settings
from scout.records.visits import Reaction, Sighting, Watch

_FOR_WHAT = "It is not known here for which animal this was searched: search once more."
_NO_KEEP = "No keep-distance of your own is set for this animal: set one first."


@frozen(kw_only=True)
class Now:
    """What is known today of the site of a layer, and of all animals."""

    site: Site
    animals: Collection[Species]
    settings: Settings
    perches: Collection[Perch]
    permissions: Collection[Permission]
    sightlines: Collection[Sightline]
    watches: Collection[Watch]
    sightings: Collection[Sighting]
    reactions: Collection[Reaction]


def kept_places(request: dict[str, Any]) -> dict[str, Any]:
    """Answer {"places"}: of each place of a layer why it is not offered on a day, null where it is.

    The request has `layer`, `site`, `settings`, the lists `animals`, `perches`, `permissions`,
    `sightlines`, `watches`, `sightings` and `reactions`, and `date`. Raises ValueError with a
    sentence a line.
    """
    asked = Request(request)
    layer = asked.record("layer", "layer")
    now = Now(
        site=asked.record("site", "site"),
        animals=asked.records("animals", "species"),
        settings=asked.record("settings", "settings", needed=False) or Settings(),
        perches=asked.records("perches", "perch"),
        permissions=asked.records("permissions", "permission"),
        sightlines=asked.records("sightlines", "sightline"),
        watches=asked.records("watches", "watch"),
        sightings=asked.records("sightings", "sighting"),
        reactions=asked.records("reactions", "reaction"),
    )
    on = asked.date("date")
    asked.close()
    return {"places": left_out(layer, now, on)}


def left_out(layer: Layer, now: Now, on: date) -> list[str | None]:
    """Say of each place of a layer why it is not offered on a day, None where it is."""
    animal = next((one for one in now.animals if one.id == layer.species), None)
    keep = None if animal is None else animal.keep_distance_open_m
    if animal is not None and layer.in_hide:
        keep = animal.keep_distance_hide_m
    whole = site_spared(
        now.site, [one for one in now.permissions if one.site == now.site.id], on
    ) or (_FOR_WHAT if animal is None else animal_spared(animal) or (None if keep else _NO_KEEP))
    if whole is not None or keep is None:
        return [whole] * len(layer.spots)
    here = {one.id: one for one in now.perches if one.site == now.site.id}
    noted = Noted(
        settings=now.settings,
        zone=zone_of(now.site.zone),
        sightlines=now.sightlines,
        watches=now.watches,
        reactions=now.reactions,
    )
    alone = left_alone(here.values(), noted, on)
    off = keep_offs(here.values(), now.animals, now.sightings, on, keep)
    return [alone.get(spot.perch) or _too_near(spot, here, off, keep) for spot in layer.spots]


def _too_near(
    spot: FoundSpot, perches: Mapping[str, Perch], off: Collection[KeepOff], keep_m: float
) -> str | None:
    perch = perches.get(spot.perch)
    if perch is None:
        return "Its perch is not here (any more)."
    unsure = pin_plus_minus_m(perch.position)
    if spot.distance_m < round(keep_m + unsure, 1):
        return (
            f"{perch.name}: nearer than your keep-distance of {keep_m:g} m and its pin's "
            f"±{unsure:g} m."
        )
    for one in off:
        if one.perch.id != perch.id and one.reaches(spot.position.lat, spot.position.lon):
            return one.words
    return None
