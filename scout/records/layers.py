"""Layers: what was computed of the land, as a picture that the phone keeps, with what was found.

A layer is made anew each time, so that it never conflicts. Not for: computing one (the server's),
or the elevation models, which stay on the laptop.
"""

from __future__ import annotations

import datetime as dt

import attrs

from scout.records import fields as f
from scout.records import measured as m
from scout.records.reading import group

LAYER_KINDS = ("relief", "first light", "finder result")


@attrs.frozen(kw_only=True)
class Bounds:
    """The edges of a picture of the land."""

    south_deg: float = f.number("South", "°", low=-90, high=90, needed=True)
    west_deg: float = f.number("West", "°", low=-180, high=180, needed=True)
    north_deg: float = f.number("North", "°", low=-90, high=90, needed=True)
    east_deg: float = f.number("East", "°", low=-180, high=180, needed=True)


@attrs.frozen(kw_only=True)
class FoundSpot:
    """One place to sit that was found, with every figure behind it."""

    perch: str = f.identity("Perch", refers_to=["perch"], needed=True)
    position: m.Position = m.position("Position", needed=True)
    ground_m: float | None = f.number("Ground elevation", "m", low=-500, high=9000)
    lens_height_m: float | None = f.number("Lens height", "m", low=0, high=50)
    distance_m: float = f.number("Distance", "m", low=0.01, high=100_000, needed=True)
    plus_minus_m: float | None = f.number("± of the distance", "m", low=0, high=1000)
    bearing_deg: float = f.number("Bearing to the perch", "° true", low=0, high=360, needed=True)
    tilt_deg: float | None = f.number("Tilt", "°", low=-90, high=90)
    gap_m: float | None = f.number("Gap behind the perch", "m", low=0, high=100_000)
    sky_behind: bool | None = f.flag("Sky behind the perch")
    gap_at_least: bool | None = f.flag("The gap is at least that")
    good_clear_min: int | None = f.number(
        "Good minutes, clear", "min", low=0, high=1440, whole=True
    )
    good_mixed_min: int | None = f.number(
        "Good minutes, sun in and out", "min", low=0, high=1440, whole=True
    )
    good_overcast_min: int | None = f.number(
        "Good minutes, overcast", "min", low=0, high=1440, whole=True
    )
    slope_deg: float | None = f.number("Slope of the ground", "°", low=0, high=90)
    bad_winds: str | None = f.text("Bad winds", longest=80)
    walk_m: float | None = f.number("Way in", "m", low=0, high=100_000)
    walk_by: str | None = f.text("Which way in", longest=400)
    walk_seen_percent: float | None = f.number("Way in that the perch sees", "%", low=0, high=100)


@attrs.frozen(kw_only=True)
class Layer:
    """A computed picture of the land; a new record each time, so that it never conflicts."""

    id: str = f.identity("Id", needed=True)
    site: str = f.identity("Site", refers_to=["site"], needed=True)
    kind: str = f.choice("Kind", LAYER_KINDS, needed=True)
    title: str | None = f.text("What it shows", longest=200)
    bounds: Bounds = group("Bounds", Bounds, needed=True)
    blob: str = f.digest("Picture", needed=True)
    made_from: str = f.text("Made from", needed=True)
    species: str | None = f.identity("Animal it was searched for", refers_to=["species"])
    in_hide: bool | None = f.flag("Searched from a settled hide")
    made_at: dt.datetime | None = f.time("Made at")
    light_wanted: str | None = f.choice("Light wanted", ("front", "side", "back", "any"))
    spots: tuple[FoundSpot, ...] = f.many("Places to sit", group("Place", FoundSpot), most=40)
