"""The places of a notebook: sites, and what is marked, measured and allowed there.

A register that is a list of a few things (closed periods, legs, nodes) is written as a whole; what
two people add independently (measurements, skylines, tags, notes) are records of their own, so that
they cannot clash.
Not for: what happened there (`visits`).
"""

from __future__ import annotations

import datetime as dt
import itertools

import attrs

from scout.records import fields as f
from scout.records import measured as m
from scout.records.reading import group
from scout.records.trouble import Refused

SENSITIVITY = ("open", "low", "medium", "high", "withheld")
PERCH_KINDS = (
    "branch",
    "post",
    "rock",
    "ground",
    "water edge",
    "crossing",
    "run",
    "feeding place",
    "drinking place",
    "nest or den",
)
GROUND = ("grass", "dry reed", "water", "sand", "snow", "old snow", "earth")
COVERS = ("hide", "vehicle", "natural cover", "open")
SUPPORTS = ("hand", "beanbag", "monopod", "tripod", "window")
BACKGROUNDS = (
    "reeds",
    "grass",
    "leaves",
    "branches",
    "conifers",
    "water",
    "bank",
    "rock",
    "sky",
    "buildings",
)
TONES = ("dark", "mid", "bright", "sky holes")
LEAF = ("in leaf", "bare")
SKYLINE_SOURCES = ("aimed", "typed", "photo", "terrain", "sun on it", "sun off it")

_SENSITIVITY_HELP = (
    "How coarsely its position may leave the notebook; withheld shows no position at all"
)


@attrs.frozen(kw_only=True)
class ClosedPeriod:
    """A time of every year in which a place is left alone."""

    from_day: str = f.season_day("From", needed=True)
    to_day: str = f.season_day("To", needed=True)
    why: str | None = f.text("Why", longest=200)


@attrs.frozen(kw_only=True)
class Site:
    """One area that is scouted and visited as a whole."""

    id: str = f.identity("Id", needed=True)
    name: str = f.text("Name", longest=80, needed=True)
    code_name: str | None = f.text(
        "Code name", longest=40, help="What paper and calendars show if it is sensitive"
    )
    centre: m.Position = m.position("Centre", needed=True)
    zone: str = f.text(
        "Time zone", longest=64, needed=True, help="An IANA name, like Europe/Lisbon"
    )
    access: str | None = f.text("Access")
    cautions: str | None = f.text("Cautions")
    drive_min: float | None = f.number("Drive from home", "min", low=0, high=1440)
    sensitivity: str | None = f.choice("Sensitivity", SENSITIVITY, help=_SENSITIVITY_HELP)
    closed: tuple[ClosedPeriod, ...] = f.many(
        "Closed periods", group("Closed period", ClosedPeriod)
    )


@attrs.frozen(kw_only=True)
class Permission:
    """What the landowner, or the law, allows here, and until when."""

    id: str = f.identity("Id", needed=True)
    site: str = f.identity("Site", refers_to=["site"], needed=True)
    from_whom: str = f.text("From whom", longest=120, needed=True)
    for_what: str | None = f.text("For what", longest=200)
    starts_on: dt.date | None = f.date("From")
    ends_on: dt.date | None = f.date("Until")
    conditions: str | None = f.text("Conditions")
    reference: str | None = f.text("Reference", longest=120)


@attrs.frozen(kw_only=True)
class Perch:
    """A spot where the animal is expected."""

    id: str = f.identity("Id", needed=True)
    site: str = f.identity("Site", refers_to=["site"], needed=True)
    name: str = f.text("Name", longest=80, needed=True)
    code_name: str | None = f.text("Code name", longest=40)
    kind: str | None = f.choice("Kind", PERCH_KINDS)
    position: m.Position = m.position("Position", needed=True)
    ground_elevation: m.Elevation | None = group("Ground elevation", m.Elevation)
    height_m: float | None = f.number("Height above the ground", "m", low=0, high=100)
    spread_m: float | None = f.number(
        "Spread", "m", low=0, high=1000, help="How far along it the animal may be"
    )
    travel: m.Bearing | None = m.bearing("Way of travel")
    ground: str | None = f.choice(
        "Ground in front of it", GROUND, help="It throws light up at the animal"
    )
    sensitivity: str | None = f.choice("Sensitivity", SENSITIVITY, help=_SENSITIVITY_HELP)
    closed: tuple[ClosedPeriod, ...] = f.many(
        "Closed periods", group("Closed period", ClosedPeriod)
    )


@attrs.frozen(kw_only=True)
class UsableRange:
    """The bearings over which a vantage can be used, clockwise from one to the other."""

    from_deg: float = f.number("From", "° true", low=0, high=360, needed=True)
    to_deg: float = f.number("To", "° true", low=0, high=360, needed=True)


@attrs.frozen(kw_only=True)
class Vantage:
    """A spot where the photographer can be."""

    id: str = f.identity("Id", needed=True)
    site: str = f.identity("Site", refers_to=["site"], needed=True)
    name: str = f.text("Name", longest=80, needed=True)
    code_name: str | None = f.text("Code name", longest=40)
    cover: str | None = f.choice("Cover", COVERS)
    position: m.Position = m.position("Position", needed=True)
    ground_elevation: m.Elevation | None = group("Ground elevation", m.Elevation)
    lens_height_m: float | None = f.number("Lens height", "m", low=0, high=50)
    support: str | None = f.choice("Support", SUPPORTS)
    usable: UsableRange | None = group("Usable bearings", UsableRange)
    slope_deg: float | None = f.number("Slope of the ground", "°", low=0, high=90)
    own_blind: bool | None = f.flag(
        "Own blind to put up", help="Takes about 15 minutes instead of 5"
    )
    sensitivity: str | None = f.choice("Sensitivity", SENSITIVITY, help=_SENSITIVITY_HELP)


@attrs.frozen(kw_only=True)
class Leg:
    """One straight part of a walk-in."""

    bearing_deg: float = f.number("Bearing", "° true", low=0, high=360, needed=True)
    distance_m: float = f.number("Distance", "m", low=0.1, high=50_000, needed=True)
    seen_from: tuple[str, ...] = f.many(
        "Perches that can see it", f.identity("Perch", refers_to=["perch"])
    )
    note: str | None = f.text("Note", longest=200)


@attrs.frozen(kw_only=True)
class WalkIn:
    """A timed way to a vantage."""

    id: str = f.identity("Id", needed=True)
    vantage: str = f.identity("Vantage", refers_to=["vantage"], needed=True)
    start: str | None = f.identity("From", refers_to=["landmark"])
    dark_min: float | None = f.number("Time in the dark", "min", low=0, high=1440)
    day_min: float | None = f.number("Time by day", "min", low=0, high=1440)
    legs: tuple[Leg, ...] = f.many("Legs", group("Leg", Leg))
    cautions: str | None = f.text("Cautions")


@attrs.frozen(kw_only=True)
class Landmark:
    """Any other pin: parking, gate, path point, hazard."""

    id: str = f.identity("Id", needed=True)
    site: str = f.identity("Site", refers_to=["site"], needed=True)
    name: str = f.text("Name", longest=80, needed=True)
    kind: str | None = f.choice("Kind", ("parking", "gate", "path point", "hazard", "other"))
    position: m.Position = m.position("Position", needed=True)
    note: str | None = f.text("Note")


@attrs.frozen(kw_only=True)
class Sightline:
    """The line from a vantage to a perch: the light wanted on it, what stands behind the perch."""

    id: str = f.identity("Id", needed=True)
    vantage: str = f.identity("Vantage", refers_to=["vantage"], needed=True)
    perch: str = f.identity("Perch", refers_to=["perch"], needed=True)
    light_wanted: str | None = f.choice("Light wanted", ("front", "side", "back", "any"))
    gap: m.Gap | None = m.gap("Gap behind the perch")
    background: str | None = f.choice("Background", BACKGROUNDS)
    tone: str | None = f.choice("Tone of the background", TONES)
    background_in_shade: bool | None = f.flag("Background in shade when the perch is lit")


@attrs.frozen(kw_only=True)
class Measurement:
    """One measuring of a sightline, never edited: two people's readings never clash."""

    id: str = f.identity("Id", needed=True)
    sightline: str = f.identity("Sightline", refers_to=["sightline"], needed=True)
    at: m.Moment | None = m.moment("When")
    by: str | None = f.text("By", longest=80)
    bearing: m.Bearing | None = m.bearing("Bearing to the perch")
    distance: m.Distance | None = m.distance("Distance")
    tilt: m.Tilt | None = group("Tilt", m.Tilt)


@attrs.frozen(kw_only=True)
class SkylineNode:
    """One point of a skyline as it is seen, refraction and all."""

    azimuth_deg: float = f.number("Azimuth", "°", low=0, high=360, needed=True)
    altitude_deg: float = f.number("Altitude", "°", low=-10, high=90, needed=True)
    what: str | None = f.choice(
        "What it is", ("hill", "conifer", "broadleaf in leaf", "broadleaf bare", "building")
    )
    plus_minus_deg: float | None = f.number(
        "Uncertainty", "°", low=0, high=30, help="Where it is another than the whole line's"
    )


@attrs.frozen(kw_only=True)
class Skyline:
    """One recording of the visible horizon at a pin, or one tap "sun on it" / "sun off it"."""

    id: str = f.identity("Id", needed=True)
    pin: str = f.identity("Perch or vantage", refers_to=["perch", "vantage"], needed=True)
    source: str = f.choice("Source", SKYLINE_SOURCES, needed=True)
    at: m.Moment | None = m.moment("When")
    reference: str | None = f.choice("Reference of the azimuths", ("true", "magnetic"))
    nodes: tuple[SkylineNode, ...] = f.many("Nodes", group("Node", SkylineNode), most=1440)
    altitude_plus_minus_deg: float | None = f.number(
        "Uncertainty of the altitudes", "°", low=0, high=30
    )
    heading_plus_minus_deg: float | None = f.number(
        "Uncertainty of the headings", "°", low=0, high=90
    )
    made_from: str | None = f.text(
        "Made from", longest=200, help="For a computed one: the elevation model"
    )

    def __attrs_post_init__(self) -> None:
        azimuths = sorted(node.azimuth_deg % 360 for node in self.nodes)
        for before, after in itertools.pairwise(azimuths):
            if before == after:
                raise Refused.one(
                    f"two nodes stand at azimuth {after:g}°; keep one of them", "nodes"
                )
        if self.source in ("sun on it", "sun off it"):
            if self.at is None:
                raise Refused.one("is missing; a tap needs the time at which it was made", "at")
        elif not self.nodes:
            raise Refused.one("is missing; a skyline needs at least one node", "nodes")


@attrs.frozen(kw_only=True)
class Canopy:
    """One measuring of the light that leaves and twigs above a perch take away."""

    id: str = f.identity("Id", needed=True)
    perch: str = f.identity("Perch", refers_to=["perch"], needed=True)
    at: m.Moment | None = m.moment("When")
    loss_ev: float = f.number("Light lost", "stops", low=0, high=12, needed=True)
    leaf: str = f.choice("Leaf", LEAF, needed=True)
    how: str | None = f.choice("How measured", ("two test shots", "meter", "guess"))


@attrs.frozen(kw_only=True)
class Area:
    """An outline on the map."""

    id: str = f.identity("Id", needed=True)
    site: str = f.identity("Site", refers_to=["site"], needed=True)
    name: str | None = f.text("Name", longest=80)
    kind: str = f.choice("Kind", ("watched", "water", "not to be entered"), needed=True)
    outline: tuple[m.Position, ...] = f.many("Outline", m.position("Corner"), needed=True)
