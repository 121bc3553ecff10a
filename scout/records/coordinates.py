"""Latitude and longitude as a person types or pastes them.

The whole text is understood or it is refused in words: a position that was half read sends
somebody to the wrong wood in the dark. Not for map grids of any country, place names, or
positions that a program wrote into a record (those are numbers already).
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

DEGREE_M = 111_320.0  # one degree of longitude on the equator, WGS84 (2 pi 6378137 / 360)
LONGEST_TEXT = 120

REMEDY = (
    "Write latitude, then longitude, for example 52.1234 N, 1.2345 W or 52 7.4 N, 1 14.1 W "
    "or 52.1234, -1.2345."
)

# Degree sign and its look-alikes; apostrophe, prime, curly quotes, accents; the same doubled.
_DEGREE_MARKS = "\u00b0\u00ba\u02da"
_MINUTE_MARKS = "'\u2032\u2019\u2018\u02b9\u00b4`"
_SECOND_MARKS = '"\u2033\u201d\u201c\u02ba'
_MINUSES = "\u2212\ufe63\uff0d\u2010\u2011"
_SPACES = "\u00a0\u2007\u2009\u202f\u200a\t"

_ANGLE = re.compile(
    r"""(?P<before>[NSEW])?\s*(?P<sign>[+-])?\s*
        (?P<degrees>[0-9]{1,3}(?:\.[0-9]+)?)\s*(?P<degree_mark>°)?
        (?:(?:\s*:\s*|(?<=°)\s*|\s+)(?P<minutes>[0-9]{1,2}(?:\.[0-9]+)?)\s*(?P<minute_mark>')?
            (?:(?:\s*:\s*|(?<=')\s*|\s+)(?P<seconds>[0-9]{1,2}(?:\.[0-9]+)?)\s*(?P<second_mark>")?
            )?
        )?
        \s*(?P<after>[NSEW])?""",
    re.VERBOSE,
)
_LETTERS_FIRST = re.compile(r"([NSEW][^NSEW]+)([NSEW][^NSEW]+)")
_LETTERS_LAST = re.compile(r"([^NSEW]+[NSEW])([^NSEW]+[NSEW])")
_SIGN_BETWEEN = re.compile(r"([^ ].*[^ ,;])\s+([+-][^+-]+)")
_TWO_NUMBERS = re.compile(r"([+-]?[0-9]+\.[0-9]+)\s+([+-]?[0-9]+(?:\.[0-9]+)?)")
_TWO_MARKED = re.compile(r"([^°]+°[^°]*?(?<=[°'\"]))\s*([+-]?[0-9.]+\s*°[^°]*)")
# A comma glued between digits, after a number that has no decimal point of its own.
_DECIMAL_COMMA = re.compile(r"(?<![0-9.])[0-9]+,[0-9]")
_GEO_URI = re.compile(
    r"geo:(-?[0-9]+(?:\.[0-9]+)?),(-?[0-9]+(?:\.[0-9]+)?)(?:,-?[0-9]+(?:\.[0-9]+)?)?"
    r"((?:;[a-z0-9-]+(?:=[a-z0-9%_.~*'()!\[\]:&+$-]*)?)*)",
)
_GRID = re.compile(r"[A-Z]{1,3}\s?[0-9][0-9\s]+|[0-9]{1,2}\s?[A-Z](?:\s?[A-Z]{2})?\s?[0-9][0-9\s]+")


class Coordinates(NamedTuple):
    """Hold a position and how finely it was stated.

    `precision_m` [m] is half of the last digit typed, of the coarser of the two: what was
    written cannot mean more than this, whatever it was measured with.
    """

    lat_deg: float
    lon_deg: float
    precision_m: float


class _Angle(NamedTuple):
    value_deg: float
    half_digit_deg: float
    letter: str
    signed: bool
    parts: int


def parse(text: str) -> Coordinates:
    """Read one position from a text, all of it, or refuse.

    Latitude [deg, north positive, -90 to 90] and longitude [deg, east positive, -180 to 180] in
    WGS84, as decimal degrees, degrees and minutes, or degrees, minutes and seconds; the
    hemisphere as a letter before or after, or as a sign. Latitude comes first unless letters say
    otherwise. A `geo:` address (RFC 5870) is read too.

    Raises ValueError with what was unsure and how to write it, and never answers with a part.
    """
    if not isinstance(text, str):
        raise ValueError(f"The position must be a text. {REMEDY}")
    if len(text) > LONGEST_TEXT:
        raise ValueError(f"The position is longer than {LONGEST_TEXT} characters. {REMEDY}")
    if text.strip().lower().startswith("geo:"):
        return _read_geo_uri(text.strip().lower())
    plain = _plain(text)
    if not plain:
        raise ValueError(f"The position is empty. {REMEDY}")
    if _DECIMAL_COMMA.search(plain):
        raise ValueError(
            "The position has a comma between digits, which may be a decimal comma or the gap "
            "between latitude and longitude. Write decimals with a point: 57.2083, -3.8167."
        )
    if _GRID.fullmatch(plain):
        raise ValueError(
            "The position looks like a map grid reference. No national grid, UTM or military "
            f"grid is read here; take latitude and longitude (WGS84) from the map. {REMEDY}"
        )
    unknown = sorted(set(re.findall(r"[^0-9NSEW+\-.,;:°'\" ]", plain)))
    if unknown:
        raise ValueError(
            f"The position holds {' '.join(unknown)}, which is no part of a latitude or longitude "
            f"(the hemispheres are N, S, E, W). {REMEDY}"
        )
    first_text, second_text, sure = _halves(plain)
    first, second = _angle(first_text, "first"), _angle(second_text, "second")
    if bool(first.letter) != bool(second.letter):
        raise ValueError(
            f"The position has a hemisphere letter for one value only. Give N or S and E or W. "
            f"{REMEDY}"
        )
    if first.letter and (first.letter in "NS") == (second.letter in "NS"):
        raise ValueError(
            f"The position has {first.letter} and {second.letter}: one value must be N or S, the "
            f"other E or W. {REMEDY}"
        )
    # A minus is seldom forgotten from decimals, but minutes are written with letters: without
    # either, the west was more likely lost than meant to be the east.
    in_minutes = max(first.parts, second.parts) > 1
    if in_minutes and not first.letter and not (first.signed or second.signed):
        raise ValueError(
            f"The position in minutes has no hemispheres. Add N or S and E or W. {REMEDY}"
        )
    if not first.letter and first.parts != second.parts:
        raise ValueError(
            "The position gives one value in degrees and the other in minutes or seconds. Add "
            f"the letters N or S and E or W to both. {REMEDY}"
        )
    if not sure:
        raise ValueError(
            "The position has no letter, sign or comma to show where latitude ends. Add the "
            f"letters N or S and E or W. {REMEDY}"
        )
    lat, lon = (second, first) if first.letter in ("E", "W") else (first, second)
    return _within(lat.value_deg, lon.value_deg, lat.half_digit_deg, lon.half_digit_deg)


def written(lat_deg: float, lon_deg: float, decimals: int = 5) -> str:
    """Write a position so that a person can check it, and `parse` can read it back.

    Latitude and longitude [deg], 0 to 9 decimals (five are about a metre).
    """
    _within(lat_deg, lon_deg, 0.0, 0.0)
    if not 0 <= decimals <= 9:
        raise ValueError("The decimals of a position must be 0 to 9.")
    # Rounded first: -0.000001 written with five decimals stands on the equator, not south of it.
    lat, lon = round(lat_deg, decimals), round(lon_deg, decimals)
    north, east = ("S" if lat < 0 else "N"), ("W" if lon < 0 else "E")
    return f"{abs(lat):.{decimals}f}° {north}, {abs(lon):.{decimals}f}° {east}"


def _plain(text: str) -> str:
    """Bring the many shapes of marks, minus signs and spaces to one each."""
    table = {ord(mark): "°" for mark in _DEGREE_MARKS}
    table |= {ord(mark): "'" for mark in _MINUTE_MARKS}
    table |= {ord(mark): '"' for mark in _SECOND_MARKS}
    table |= {ord(mark): "-" for mark in _MINUSES}
    table |= {ord(mark): " " for mark in _SPACES}
    plain = text.translate(table).replace("''", '"').strip()
    plain = re.sub(r"(?i)(?<![a-z])(north|south|east|west)(?![a-z])", _initial, plain)
    plain = re.sub(r"(?i)(?<=[0-9 ])(degrees?|deg)(?![a-z])\.?", "°", plain)
    plain = re.sub(r"(?i)(?<=[0-9 ])(minutes?|min)(?![a-z])\.?", "'", plain)
    plain = re.sub(r"(?i)(?<=[0-9 ])(seconds?|sec)(?![a-z])\.?", '"', plain)
    return re.sub(r" +", " ", plain).upper()


def _initial(word: re.Match[str]) -> str:
    return word.group(1)[0].upper()


def _halves(plain: str) -> tuple[str, str, bool]:
    """Cut the text in two where something other than our guess says so."""
    commas = re.findall(r"[,;]", plain)
    if len(commas) > 1:
        raise ValueError(f"The position has more than one comma. {REMEDY}")
    if commas:
        first, second = re.split(r"[,;]", plain)
        return first.strip(), second.strip(), True
    for shape in (_LETTERS_FIRST, _LETTERS_LAST, _SIGN_BETWEEN, _TWO_NUMBERS, _TWO_MARKED):
        cut = shape.fullmatch(plain)
        if cut:
            return cut.group(1).strip(), cut.group(2).strip(), True
    numbers = plain.split(" ")
    if len(numbers) % 2 == 0 and not re.search(r"[NSEW°'\":]", plain):
        half = len(numbers) // 2
        return " ".join(numbers[:half]), " ".join(numbers[half:]), False
    raise ValueError(
        f"The position cannot be split into a latitude and a longitude for certain. {REMEDY}"
    )


def _angle(text: str, which: str) -> _Angle:
    found = _ANGLE.fullmatch(text)
    if not found:
        raise ValueError(f"The {which} value of the position was not understood. {REMEDY}")
    before, after, sign = found["before"], found["after"], found["sign"]
    if before and after:
        raise ValueError(f"The {which} value of the position has two hemisphere letters. {REMEDY}")
    letter = before or after or ""
    if letter and sign:
        raise ValueError(
            f"The {which} value of the position has a sign and a letter, which may contradict "
            f"each other. Give one of them. {REMEDY}"
        )
    parts = [part for part in (found["degrees"], found["minutes"], found["seconds"]) if part]
    for part, name in zip(parts[:-1], ("degrees", "minutes"), strict=False):
        if "." in part:
            raise ValueError(
                f"The {which} value of the position has decimals in its {name} and goes on "
                f"after them. {REMEDY}"
            )
    for part, name in zip(parts[1:], ("minutes", "seconds"), strict=False):
        if float(part) >= 60.0:
            raise ValueError(
                f"The {name} of the {which} value of the position must be below 60, not {part}."
            )
    unit_deg = 60.0 ** (1 - len(parts))
    size_deg = math.fsum(float(part) / 60.0**step for step, part in enumerate(parts))
    decimals = len(parts[-1].partition(".")[2])
    negative = sign == "-" or letter in ("S", "W")
    return _Angle(
        value_deg=-size_deg if negative and size_deg else size_deg,
        half_digit_deg=0.5 * unit_deg * 10.0**-decimals,
        letter=letter,
        signed=bool(sign),
        parts=len(parts),
    )


def _read_geo_uri(text: str) -> Coordinates:
    found = _GEO_URI.fullmatch(text)
    if not found:
        raise ValueError(
            "The geo: address was not understood. It must read geo:52.1234,-1.2345 "
            "(RFC 5870), with a point for decimals."
        )
    uncertainty_m = 0.0
    for parameter in found[3].split(";")[1:]:
        name, _, value = parameter.partition("=")
        if name == "crs" and value != "wgs84":
            raise ValueError("The geo: address must be in WGS84; another system is not read here.")
        if name == "u":
            if not re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", value):
                raise ValueError("The uncertainty u of the geo: address must be in metres.")
            uncertainty_m = float(value)
    halves = [0.5 * 10.0 ** -len(found[part].partition(".")[2]) for part in (1, 2)]
    stated = _within(float(found[1]), float(found[2]), halves[0], halves[1])
    return stated._replace(precision_m=max(stated.precision_m, uncertainty_m))


def _within(lat_deg: float, lon_deg: float, half_lat: float, half_lon: float) -> Coordinates:
    for value, limit, name in ((lat_deg, 90, "latitude"), (lon_deg, 180, "longitude")):
        if not math.isfinite(value) or abs(value) > limit:
            raise ValueError(
                f"The {name} must lie between -{limit} and {limit} degrees, not {value:g}. "
                "Latitude comes first; letters N, S, E, W make the order plain."
            )
    across = half_lon * math.cos(math.radians(lat_deg))
    # -0.0 typed as such is the equator or the meridian, and must compare and print as zero.
    return Coordinates(lat_deg + 0.0, lon_deg + 0.0, DEGREE_M * max(half_lat, across))
