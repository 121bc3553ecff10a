"""What a photo's file says of itself: when, where, which way, how exposed; and what it does not.

Read with caps: a few tags, each of the one kind it may be, everything else passed over, for files
come from strangers. The clock of a camera mostly has no zone, and phones take the position out, so
both are hints. Not for: opening files (`thumbnails`), or judging the light (`photos`).

Tags: Exif 3.0 (CIPA DC-008-2023), sections 4.6.5 to 4.6.6.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Mapping
from typing import Any, Final

EXIF_IFD: Final = 0x8769
GPS_IFD: Final = 0x8825
_TIME_TAKEN, _ITS_OFFSET = 0x9003, 0x9011
_EXPOSURE_S, _F_NUMBER, _ISO, _BIAS_EV, _FLASH = 0x829A, 0x829D, 0x8827, 0x9204, 0x9209
_LAT_REF, _LAT, _LON_REF, _LON = 1, 2, 3, 4
_WAY_REF, _WAY, _ERROR_M = 16, 17, 31
_TIME = re.compile(r"\d{4}:\d\d:\d\d \d\d:\d\d:\d\d\Z", re.ASCII)
_OFFSET = re.compile(r"([+-])(\d\d):(\d\d)\Z", re.ASCII)
_NORTHS = {"T": "true", "M": "magnetic"}

Tags = Mapping[int, Any]


def facts(exif: Tags, gps: Tags) -> dict[str, Any]:
    """Answer what is known, as JSON: `at`, `position`, `bearing`, `exposure`, `flash`; or why not.

    `exif` and `gps` are the two directories' tags. `missing` has a sentence for each thing that a
    person may look for in vain.
    """
    found: dict[str, Any] = {}
    missing: list[str] = []
    for name, read, directory in (
        ("at", _at, exif),
        ("position", _position, gps),
        ("bearing", _bearing, gps),
        ("exposure", _exposure, exif),
    ):
        value, says = read(directory)
        if value is not None:
            found[name] = value
        if says:
            missing.append(says)
    flash = _whole(exif.get(_FLASH))
    found["flash"] = None if flash is None else bool(flash & 1)
    return {**found, "missing": missing}


def _at(tags: Tags) -> tuple[Any, str]:
    typed = _text(tags.get(_TIME_TAKEN))
    if typed is None or not _TIME.match(typed):
        return None, "The photo says nothing of when it was taken."
    try:
        local = dt.datetime.strptime(typed, "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None, "The photo's time is none that a calendar has."
    words = local.isoformat()
    offset = _OFFSET.match(_text(tags.get(_ITS_OFFSET)) or "")
    if offset is None or int(offset[2]) > 14 or int(offset[3]) > 59:
        return {"local": words, "offset": None}, (
            "The camera's clock has no time zone: say which one it was set to."
        )
    return {"local": words, "offset": offset[0]}, ""


def _position(tags: Tags) -> tuple[Any, str]:
    lat, lon = _degrees(tags.get(_LAT)), _degrees(tags.get(_LON))
    north, east = _text(tags.get(_LAT_REF)), _text(tags.get(_LON_REF))
    if lat is None or lon is None or north not in ("N", "S") or east not in ("E", "W"):
        return None, "The photo holds no position: phones often take it out when handing it over."
    if lat > 90 or lon > 180 or lat == lon == 0:
        return None, "The photo's position is none on the Earth."
    found = {
        "lat": round(lat if north == "N" else -lat, 7),
        "lon": round(lon if east == "E" else -lon, 7),
        "source": "photo",
    }
    error_m = _number(tags.get(_ERROR_M))
    if error_m is not None and 0 < error_m <= 100_000:
        found["accuracy_m"] = round(error_m, 1)
    return found, ""


def _bearing(tags: Tags) -> tuple[Any, str]:
    way = _number(tags.get(_WAY))
    if way is None or not 0 <= way <= 360:
        return None, ""
    north = _NORTHS.get(_text(tags.get(_WAY_REF)) or "")
    if north is None:
        return None, "The photo has a bearing and does not say from which north, so it is left out."
    return {"read_deg": round(way, 2), "reference": north, "how": "phone compass"}, ""


def _exposure(tags: Tags) -> tuple[Any, str]:
    shutter_s, f_number = _number(tags.get(_EXPOSURE_S)), _number(tags.get(_F_NUMBER))
    iso = _number(tags.get(_ISO))
    if shutter_s is None or f_number is None or iso is None:
        return None, "The photo does not say how it was exposed."
    if not (1e-5 <= shutter_s <= 3600 and 0.5 < f_number <= 128 and 1 <= iso <= 10_000_000):
        return None, "The photo's exposure is none that a camera makes."
    found = {"shutter_s": shutter_s, "f_number": round(f_number, 2), "iso": iso}
    bias_ev = _number(tags.get(_BIAS_EV))
    if bias_ev is not None and -10 <= bias_ev <= 10:
        found["compensation_ev"] = round(bias_ev, 2)
    return found, ""


def _degrees(value: object) -> float | None:
    """Answer degrees from degrees, minutes and seconds."""
    if not isinstance(value, (tuple, list)) or len(value) != 3:
        return None
    parts = [_number(part) for part in value]
    if any(part is None or part < 0 for part in parts):
        return None
    degrees, minutes, seconds = (part or 0.0 for part in parts)
    return degrees + minutes / 60 + seconds / 3600 if minutes < 61 and seconds < 61 else None


def _number(value: object) -> float | None:
    """Answer a finite number from what a file holds, the first of a few."""
    if isinstance(value, (tuple, list)) and 0 < len(value) <= 4:
        value = value[0]
    if isinstance(value, (bytes, str, bool)) or value is None:
        return None
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if math.isfinite(number) else None


def _whole(value: object) -> int | None:
    number = _number(value)
    return (
        None if number is None or number != int(number) or not 0 <= number < 65536 else int(number)
    )


def _text(value: object) -> str | None:
    if isinstance(value, bytes):
        value = value[:64].decode("ascii", "replace")
    return value[:64].strip("\x00 ") if isinstance(value, str) else None
