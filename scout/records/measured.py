"""What was measured, with how, its ±, and the short forms in which a person writes it.

Each class is one register's value. A missing ± is filled from how it was measured when it is used.
Not for: conversions between references (the engine's), or what a measurement means.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Callable
from typing import Any, TypeVar

import attrs

from scout.records import coordinates, rough, ways
from scout.records import fields as f
from scout.records.reading import group, read_object
from scout.records.rough import ROSE, Rough
from scout.records.trouble import Refused, shown
from scout.records.ways import HOW

BEARING_HOW = tuple(way.key for way in HOW.values() if way.bearing_deg is not None)
DISTANCE_HOW = tuple(way.key for way in HOW.values() if way.distance_m is not None)
TILT_HOW = tuple(way.key for way in HOW.values() if way.tilt_deg is not None)
HEIGHT_HOW = tuple(way.key for way in HOW.values() if way.elevation_m is not None)
_COMPASS_WORDS = frozenset(words for _, words in ROSE)
_Read = TypeVar("_Read")
_STATED = re.compile(r"±|\+/?-")
_BARE_NUMBER = re.compile(r"[-+]?[0-9.]+")


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
    """A direction as read, the reference it was read against, and (where known) degrees true."""

    read_deg: float = f.number("Reading", "°", low=0, high=360, needed=True)
    reference: str = f.choice("Reference", ("true", "magnetic"), needed=True)
    how: str | None = f.choice("How measured", BEARING_HOW)
    plus_minus_deg: float | None = f.number("Uncertainty", "°", low=0, high=180)
    true_deg: float | None = f.number("Degrees true", "°", low=0, high=360)


@attrs.frozen(kw_only=True)
class Distance:
    """A distance along the line of sight."""

    m: float = f.number("Distance", "m", low=0.01, high=100_000, needed=True)
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
    """Make a position register; a text stands for one that a person typed."""
    return group(
        label,
        Position,
        help=help,
        needed=needed,
        short=_typed_position,
        short_form="52.1234 N, 1.2345 W",
    )


def bearing(label: str) -> Any:
    """Make a bearing register; a compass word stands for a direction by eye, from true north."""
    return group(label, Bearing, short=_compass_word, short_form="NE")


def distance(label: str) -> Any:
    """Make a distance register; a text stands for one that is roughly known."""
    return group(label, Distance, short=_rough_distance, short_form="about 12 m")


def gap(label: str) -> Any:
    """Make a register of what stands behind a perch; a text stands for a rough gap, or "sky"."""
    return group(label, Gap, short=_rough_gap, short_form="about 12 m")


def _typed_position(raw: object) -> Position:
    read = _understood(coordinates.parse, raw, '"52.1234 N, 1.2345 W"')
    # Few decimals mean no more than they say, whatever they were measured with.
    coarse = read.precision_m > ways.plus_minus("satellite fix", "position")
    return Position(
        lat=read.lat_deg,
        lon=read.lon_deg,
        accuracy_m=round(read.precision_m) if coarse else None,
        source="typed",
    )


def _compass_word(raw: object) -> Bearing:
    read = _understood(rough.bearing, raw, '"NE"')
    if read.words not in _COMPASS_WORDS:
        raise Refused.one(
            f"{shown(raw)} does not say from which north; "
            'write {"read_deg": 45, "reference": "magnetic"}, or a compass word such as "NE"'
        )
    return Bearing(
        read_deg=read.value, reference="true", how="compass word", plus_minus_deg=read.plus_minus
    )


def _rough_metres(raw: object) -> rough.Rough:
    # A number in quotes is a slip of the pen: nobody says which unit it has.
    if isinstance(raw, str) and _BARE_NUMBER.fullmatch(raw.strip()):
        raise Refused.one(f'{shown(raw)} has no unit; write "{raw.strip()} m", or {{"m": …}}')
    return _understood(rough.distance, raw, '"about 12 m"')


def _rough_distance(raw: object) -> Distance:
    read = _rough_metres(raw)
    if not 0.01 <= read.value < math.inf:
        raise Refused.one(f"{shown(raw)} is no distance; give 0.01 m or more")
    made: Distance = _checked(Distance, m=read.value, **_how_known(raw, read))
    return made


def _rough_gap(raw: object) -> Gap:
    read = _rough_metres(raw)
    if read.value == math.inf:
        return Gap(sky=True)
    made: Gap = _checked(Gap, m=read.value, **_how_known(raw, read))
    return made


def _how_known(raw: object, read: Rough) -> dict[str, object]:
    """A stated ± says nothing of how it was measured; anything else said roughly is a guess."""
    how = None if _STATED.search(str(raw)) else "guess"
    return {"how": how, "plus_minus_m": read.plus_minus}


def _understood(read: Callable[[str], _Read], raw: object, example: str) -> _Read:
    if not isinstance(raw, str):
        raise Refused.one(
            f"{shown(raw)} is neither an object nor a text; write an object in braces, or {example}"
        )
    try:
        return read(raw)
    except ValueError as error:
        words = str(error).rstrip(".")
        raise Refused.one(f"{shown(raw)} is not read: {words[:1].lower()}{words[1:]}") from None


def _checked(cls: type, **values: object) -> Any:
    """Read values through their fields, for the bounds hold for the short form too."""
    return read_object(cls, values)


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
        short_form="2026-05-12T04:35:00+01:00",
    )
