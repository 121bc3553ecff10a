"""What was measured, with how it was measured, its ±, and the short forms in which a person writes it.

Each class is one register's value. A missing ± is filled from how it was measured when it is used.
Not for: conversions between references (the engine's), or what a measurement means.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import attrs

from scout.records import fields as f
from scout.records.reading import group
from scout.records.trouble import Refused

BEARING_HOW = ("sighting compass", "phone compass", "sun shadow", "map", "compass word", "guess")
DISTANCE_HOW = ("tape", "rangefinder", "pacing", "map", "guess")
TILT_HOW = ("phone edge", "clinometer", "guess")
HEIGHT_HOW = ("tape", "map", "satellite fix", "terrain", "guess")


@attrs.frozen(kw_only=True)
class Position:
    """A point on the WGS 84 ellipsoid, with the radius within which it is believed to lie."""

    lat: float = f.number("Latitude", "°", low=-90, high=90, needed=True)
    lon: float = f.number("Longitude", "°", low=-180, high=180, needed=True)
    accuracy_m: float | None = f.number("Accuracy", "m", low=0, high=100_000)
    source: str | None = f.choice(
        "Where it is from", ("satellite fix", "map", "typed", "from a vantage", "photo", "guess")
    )


@attrs.frozen(kw_only=True)
class Moment:
    """An observed time: the instant with the offset as written, and who says so."""

    at: dt.datetime = f.time("Time", needed=True)
    source: str | None = f.choice("Source", ("device", "photo", "person"))
    zone: str | None = f.text("Time zone", longest=64)


@attrs.frozen(kw_only=True)
class Bearing:
    """A direction as it was read, the reference it was read against, and (where known) degrees true."""

    read_deg: float = f.number("Reading", "°", low=0, high=360, needed=True)
    reference: str = f.choice("Reference", ("true", "magnetic"), needed=True)
    how: str | None = f.choice("How measured", BEARING_HOW)
    plus_minus_deg: float | None = f.number("Uncertainty", "°", low=0, high=180)
    true_deg: float | None = f.number("Degrees true", "°", low=0, high=360)


@attrs.frozen(kw_only=True)
class Distance:
    """A distance along the line of sight."""

    m: float = f.number("Distance", "m", above=0, high=100_000, needed=True)
    how: str | None = f.choice("How measured", DISTANCE_HOW)
    plus_minus_m: float | None = f.number("Uncertainty", "m", low=0, high=100_000)


@attrs.frozen(kw_only=True)
class Tilt:
    """The angle of a line above (+) or below (−) the horizontal."""

    deg: float = f.number("Tilt", "°", low=-90, high=90, needed=True)
    how: str | None = f.choice("How measured", TILT_HOW)
    plus_minus_deg: float | None = f.number("Uncertainty", "°", low=0, high=90)


@attrs.frozen(kw_only=True)
class Elevation:
    """The height of the ground above sea level."""

    m: float = f.number("Elevation", "m", low=-500, high=9000, needed=True)
    how: str | None = f.choice("How measured", HEIGHT_HOW)
    plus_minus_m: float | None = f.number("Uncertainty", "m", low=0, high=1000)


@attrs.frozen(kw_only=True)
class Gap:
    """How far behind the perch the background stands; `sky` where nothing stands there."""

    m: float | None = f.number("Gap", "m", low=0, high=100_000)
    sky: bool | None = f.flag("Sky behind it")
    ranged_from: str | None = f.choice(
        "Measured from",
        ("perch", "vantage"),
        help="From here (the vantage) is converted to behind the perch",
    )
    how: str | None = f.choice("How measured", DISTANCE_HOW)
    plus_minus_m: float | None = f.number("Uncertainty", "m", low=0, high=100_000)

    def __attrs_post_init__(self) -> None:
        if (self.m is None) == (not self.sky):
            raise ValueError(
                'needs either "m" (metres behind the perch) or "sky": true, and not both'
            )


def position(label: str, *, help: str = "", needed: bool = False) -> Any:
    """Make a position register."""
    return group(label, Position, help=help, needed=needed)


def moment(label: str, *, help: str = "", needed: bool = False) -> Any:
    """Make an observed-time register; a plain time stands for one that a person wrote."""

    def shorten(value: Moment) -> object:
        return f.write_time(value.at) if value.source is None and value.zone is None else None

    return group(
        label,
        Moment,
        help=help,
        needed=needed,
        short=lambda raw: Moment(at=f.read_time(raw)),
        shorten=shorten,
    )
