"""Values that are roughly known: each carries its own plus-minus.

"NE", "about 12 m", "thirty-odd metres", a chip tapped with a cold thumb, and what an instrument
is good for. The one table `HOW` fills the plus-minus of every value by how it was measured, and
is read by the records and by the engine alike. Not for arithmetic on angles or for propagating
errors along a line: that is the engine's.

Every plus-minus here is common practice, no source; a person may always type a better one.
"""

from __future__ import annotations

import math
import re
from typing import Literal

import attrs

Quantity = Literal["bearing", "distance", "tilt", "position", "elevation"]

ROSE: tuple[tuple[str, str], ...] = (
    ("N", "north"),
    ("NNE", "north-north-east"),
    ("NE", "north-east"),
    ("ENE", "east-north-east"),
    ("E", "east"),
    ("ESE", "east-south-east"),
    ("SE", "south-east"),
    ("SSE", "south-south-east"),
    ("S", "south"),
    ("SSW", "south-south-west"),
    ("SW", "south-west"),
    ("WSW", "west-south-west"),
    ("W", "west"),
    ("WNW", "west-north-west"),
    ("NW", "north-west"),
    ("NNW", "north-north-west"),
)
"""The sixteen points of the compass clockwise from north, 22.5 degrees apart: letters, words."""

POINT16_PLUS_MINUS_DEG = 11.0
POINT8_PLUS_MINUS_DEG = 22.0


@attrs.frozen
class Rough:
    """Hold a value, its plus-minus in the same unit, and the words it came from.

    `value` is infinite for sky behind a perch, and for nothing else.
    """

    value: float
    plus_minus: float
    words: str


@attrs.frozen
class How:
    """Say what one way of measuring is good for; its key is the word shown.

    Each plus-minus is None where the way does not measure that quantity: bearing and tilt [deg],
    position and elevation [m], distance as metres and as a share of it (the larger counts).
    """

    key: str
    bearing_deg: float | None = None
    distance_m: float | None = None
    distance_share: float | None = None
    tilt_deg: float | None = None
    position_m: float | None = None
    elevation_m: float | None = None
    least_distance_m: float = 0.0


HOW: dict[str, How] = {
    how.key: how
    for how in (
        How("sighting compass", bearing_deg=2.0),
        How("phone compass", bearing_deg=10.0),  # 5 to 15
        How("sun shadow", bearing_deg=3.0),
        How("compass word", bearing_deg=POINT8_PLUS_MINUS_DEG),
        How("phone edge", tilt_deg=1.5),  # 1 to 2
        How("clinometer", tilt_deg=0.5),
        How("rangefinder", distance_m=1.0, least_distance_m=5.0),
        How("tape", distance_m=0.05, distance_share=0.005, elevation_m=0.1),
        How("pacing", distance_m=0.5, distance_share=0.10),
        How("map", bearing_deg=3.0, distance_m=5.0, position_m=5.0, elevation_m=5.0),
        How("satellite fix", position_m=10.0, elevation_m=15.0),  # 5 to 15 under trees
        How("terrain", elevation_m=5.0),
        How(
            "guess",
            bearing_deg=POINT8_PLUS_MINUS_DEG,
            distance_m=0.5,
            distance_share=0.25,
            tilt_deg=5.0,
            position_m=50.0,
            elevation_m=20.0,
        ),
    )
}
"""Every way of measuring by its key (common practice, no source)."""


@attrs.frozen
class Chip:
    """Offer one rough distance for tapping: key, label, value [m] and plus-minus [m]."""

    key: str
    label: str
    value_m: float
    plus_minus_m: float


CHIPS: tuple[Chip, ...] = (
    Chip("touching", "touching", 0.0, 0.4),
    Chip("1", "1 m", 1.0, 0.6),
    Chip("3", "3 m", 3.0, 1.4),
    Chip("6", "6 m", 6.0, 2.0),
    Chip("12", "12 m", 12.0, 4.0),
    Chip("25", "25 m", 25.0, 9.0),
    Chip("50", "50 m", 50.0, 16.0),
    Chip("100", "100 m +", 100.0, 34.0),
    Chip("sky", "sky", math.inf, 0.0),
)
"""Distances and gaps by chip; together they leave no distance out."""

_ABOUT = re.compile(r"(?:about|around|roughly|some|circa|ca\.?|c\.|approx\.?|~|≈)\s*")
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_METRES = r"(?P<unit>m|metres?|meters?|km)?"
_FIGURE = re.compile(rf"(?P<value>{_NUMBER})\s*(?P<more>\+)?\s*{_METRES}\s*(?P<more_last>\+)?")
_WITH_PLUS_MINUS = re.compile(
    rf"(?P<value>{_NUMBER})\s*(?:m\s*)?(?:±|\+/?-)\s*(?P<pm>{_NUMBER})\s*{_METRES}"
)
_SPAN = re.compile(
    rf"(?:between\s+)?(?P<low>{_NUMBER})\s*(?:m\s*)?"
    rf"(?:-|\u2013|to|and)\s*(?P<high>{_NUMBER})\s*{_METRES}"
)
_TENS = {
    "ten": 10.0,
    "twenty": 20.0,
    "thirty": 30.0,
    "forty": 40.0,
    "fifty": 50.0,
    "sixty": 60.0,
    "seventy": 70.0,
    "eighty": 80.0,
    "ninety": 90.0,
    "hundred": 100.0,
    "a hundred": 100.0,
}
_ODD = re.compile(
    rf"(?P<tens>[1-9]0|100|{'|'.join(_TENS)})(?P<odd>[ -]odd)?\s*(?:m|metres?|meters?)"
)
_DISTANCE_REMEDY = (
    "Write metres, for example 12 m, about 12 m, 30 to 40 m, 12 ± 1 m, touching or sky."
)
_DEGREES = re.compile(rf"(?P<value>{_NUMBER})\s*(?:°|deg|degrees?)?")
_BEARING_REMEDY = "Write degrees from 0 to 360, or a compass word such as NE or north-east."


def plus_minus(how: str, quantity: Quantity, value: float = 0.0) -> float:
    """Give the plus-minus of a value by how it was measured.

    `how` is a key of `HOW`; `value` [m] matters to distances alone. Returns degrees for a bearing
    or tilt, metres for the others. Raises ValueError where this way of measuring does not give
    that quantity. Common practice, no source.
    """
    way = _way(how)
    if quantity == "bearing":
        answer = way.bearing_deg
    elif quantity == "tilt":
        answer = way.tilt_deg
    elif quantity == "position":
        answer = way.position_m
    elif quantity == "elevation":
        answer = way.elevation_m
    elif quantity == "distance":
        if not math.isfinite(value) or value < 0.0:
            raise ValueError("The distance must be a number of metres, 0 or more.")
        shares = [
            share
            for share in (
                way.distance_m,
                None if way.distance_share is None else way.distance_share * value,
            )
            if share is not None
        ]
        answer = max(shares) if shares else None
    else:
        raise ValueError(
            f"{quantity!r} is not measured here: bearing, distance, tilt, position, elevation are."
        )
    if answer is None:
        able = ", ".join(other.key for other in HOW.values() if _measures(other, quantity))
        raise ValueError(f"A {quantity} is not measured by {way.key}. Choose one of: {able}.")
    return answer


def caution(how: str, value_m: float) -> str | None:
    """Say when a distance [m] is nearer than the instrument can measure, else None."""
    way = _way(how)
    if value_m < way.least_distance_m:
        return (
            f"A {way.key} is useless under {way.least_distance_m:g} m: "
            "use a tape or pace the distance."
        )
    return None


def chip(key: str) -> Rough:
    """Give the rough distance of a chip by its key: value and plus-minus [m]."""
    for offered in CHIPS:
        if offered.key == key:
            return Rough(offered.value_m, offered.plus_minus_m, offered.label)
    keys = ", ".join(offered.key for offered in CHIPS)
    raise ValueError(f"There is no distance chip {key!r}. Choose one of: {keys}.")


def distance(text: str, how: str = "guess") -> Rough:
    """Read a distance or a gap as a person says it: value and plus-minus [m].

    "about" never makes a value better than a guess; a plus-minus in the text always counts.
    Raises ValueError with how to write it; a decimal comma and feet are refused, not guessed.
    """
    said = _said(text, "distance", _DISTANCE_REMEDY)
    if said == "touching":
        return chip("touching")
    if said in ("sky", "the sky"):
        return chip("sky")
    if re.search(r"[0-9],[0-9]", said):
        raise ValueError(f"Write the decimals of the distance with a point. {_DISTANCE_REMEDY}")
    about = _ABOUT.match(said)
    plain = said[about.end() :] if about else said
    stated = _WITH_PLUS_MINUS.fullmatch(plain)
    if stated:
        scale = _scale(stated["unit"])
        return Rough(float(stated["value"]) * scale, float(stated["pm"]) * scale, text.strip())
    span = _SPAN.fullmatch(plain)
    if span:
        scale = _scale(span["unit"])
        low, high = float(span["low"]) * scale, float(span["high"]) * scale
        if low >= high:
            raise ValueError("The distance must run from the smaller to the larger figure.")
        return Rough((low + high) / 2.0, (high - low) / 2.0, text.strip())
    odd = _ODD.fullmatch(plain)
    if odd and (odd["odd"] or odd["tens"] in _TENS):
        tens = _TENS.get(odd["tens"]) or float(odd["tens"])
        # "thirty-odd" is said of 31 to 39; "thirty" is a guess at thirty.
        middle = tens + 4.0 if odd["odd"] else tens
        return Rough(middle, max(5.0, plus_minus("guess", "distance", middle)), text.strip())
    figure = _FIGURE.fullmatch(plain)
    if not figure:
        raise ValueError(f"The distance was not understood. {_DISTANCE_REMEDY}")
    value = float(figure["value"]) * _scale(figure["unit"])
    by_way = plus_minus(how, "distance", value)
    if about or figure["more"] or figure["more_last"]:
        by_way = max(by_way, plus_minus("guess", "distance", value))
    return Rough(value, by_way, text.strip())


def bearing(text: str, how: str = "guess", rose: Literal[8, 16] | None = None) -> Rough:
    """Read a direction from compass letters, compass words or degrees: value and plus-minus [deg].

    0 to below 360 clockwise from whichever north the reading was taken from: its reference is a
    field of its own, and a text that names it is refused. `how` serves degrees. A word of the
    eight-point rose is good to ±22° unless `rose` says that sixteen were offered, one of the
    other eight words to ±11°. Raises ValueError with how to write it.
    """
    said = _said(text, "bearing", _BEARING_REMEDY)
    about = _ABOUT.match(said)
    plain = said[about.end() :] if about else said
    index = _POINTS.get(re.sub(r"[ -]", "", plain))
    if index is not None:
        if index % 2 and rose == 8:
            raise ValueError(f"{ROSE[index][0]} is not one of the eight compass points offered.")
        fine = bool(index % 2) or rose == 16
        return Rough(
            index * 22.5,
            POINT16_PLUS_MINUS_DEG if fine else POINT8_PLUS_MINUS_DEG,
            ROSE[index][1],
        )
    if re.search(r"\b(magnetic|true|grid|mag)\b", plain):
        raise ValueError("Choose the bearing's north (true or magnetic) beside it, not in it.")
    figure = _DEGREES.fullmatch(plain)
    if not figure:
        raise ValueError(f"The bearing was not understood. {_BEARING_REMEDY}")
    value = float(figure["value"])
    if value > 360.0:
        raise ValueError(f"The bearing must lie between 0 and 360 degrees, not {value:g}.")
    by_way = plus_minus(how, "bearing")
    if about:
        by_way = max(by_way, POINT16_PLUS_MINUS_DEG)
    return Rough(0.0 if value == 360.0 else value, by_way, text.strip())


_POINTS: dict[str, int] = {
    name.replace("-", "").lower(): index for index, names in enumerate(ROSE) for name in names
}


def _way(how: str) -> How:
    way = HOW.get(how)
    if way is None:
        raise ValueError(f"{how!r} is no way of measuring. Choose one of: {', '.join(HOW)}.")
    return way


def _measures(way: How, quantity: Quantity) -> bool:
    fields = {
        "bearing": (way.bearing_deg,),
        "tilt": (way.tilt_deg,),
        "position": (way.position_m,),
        "elevation": (way.elevation_m,),
        "distance": (way.distance_m, way.distance_share),
    }[quantity]
    return any(field is not None for field in fields)


def _said(text: str, field: str, remedy: str) -> str:
    if not isinstance(text, str):
        raise ValueError(f"The {field} must be a text. {remedy}")
    said = re.sub(r"\s+", " ", text).strip().lower()
    if not said or len(said) > 60:
        raise ValueError(f"The {field} is empty or longer than 60 characters. {remedy}")
    return said


def _scale(unit: str | None) -> float:
    return 1000.0 if unit == "km" else 1.0
