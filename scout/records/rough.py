"""Values that are roughly known: each carries its own plus-minus.

"NE", "about 12 m", "thirty-odd metres", a chip tapped with a cold thumb. Not for what an
instrument is good for (`ways`), for arithmetic on angles, or for propagating errors along a line.
"""

from __future__ import annotations

import math
import re
from typing import Literal

import attrs

from scout.records.ways import POINT8_PLUS_MINUS_DEG, POINT16_PLUS_MINUS_DEG, plus_minus

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


@attrs.frozen
class Rough:
    """Hold a value, its plus-minus in the same unit, and the words it came from.

    `value` is infinite for sky behind a perch, and for nothing else.
    """

    value: float
    plus_minus: float
    words: str


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


def _said(text: str, field: str, remedy: str) -> str:
    if not isinstance(text, str):
        raise ValueError(f"The {field} must be a text. {remedy}")
    said = re.sub(r"\s+", " ", text).strip().lower()
    if not said or len(said) > 60:
        raise ValueError(f"The {field} is empty or longer than 60 characters. {remedy}")
    return said


def _scale(unit: str | None) -> float:
    return 1000.0 if unit == "km" else 1.0
