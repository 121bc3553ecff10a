"""Points read from a file of another's making: GPX waypoints, GeoJSON points.

Files come from strangers: sizes, counts and depth are bounded, XML that declares entities is
refused, and a point that cannot be read is told and passed over. Not for: deciding what a point is
(`review`).
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from typing import Any, Final
from xml.etree.ElementTree import Element, ParseError

import attrs
from defusedxml import ElementTree as Tree
from defusedxml.common import DefusedXmlException

from scout.notebook.strict_json import NotStrictJson, read_strict
from scout.records.trouble import Refused

MOST_POINTS: Final = 10_000
LARGEST_BYTES: Final = 20_000_000
_MOST_LETTERS: Final = 80
_GPX: Final = "{http://www.topografix.com/GPX/1/"


@attrs.frozen(kw_only=True)
class Point:
    """One point: degrees, and what its file says of it."""

    name: str | None
    lat: float
    lon: float
    elevation_m: float | None
    at: dt.datetime | None
    text: str | None


@attrs.frozen
class Points:
    """What a file held, and a sentence on each point that was not read."""

    points: tuple[Point, ...]
    passed_over: tuple[str, ...]


def points_of(raw: bytes, name: str) -> Points:
    """Read the points of a file by the end of its name. Raises Refused with the way out."""
    if len(raw) > LARGEST_BYTES:
        raise Refused.one(
            f"the file {name}: is larger than {LARGEST_BYTES // 1_000_000} MB; split it"
        )
    lower = name.lower()
    if lower.endswith(".gpx"):
        found = list(_waypoints(raw, name))
    elif lower.endswith((".geojson", ".json")):
        found = list(_features(raw, name))
    else:
        raise Refused.one(f"the file {name}: only files that end in .gpx or .geojson are read")
    points = [one for one in found if isinstance(one, Point)]
    if len(points) > MOST_POINTS:
        raise Refused.one(f"the file {name}: has more than {MOST_POINTS} points; split it")
    return Points(tuple(points), tuple(one for one in found if isinstance(one, str)))


def _waypoints(raw: bytes, name: str) -> Iterator[Point | str]:
    try:
        root = Tree.fromstring(raw, forbid_dtd=True)
    except DefusedXmlException:
        raise Refused.one(
            f"the file {name}: declares entities of its own, which no GPX file needs"
        ) from None
    except (ParseError, ValueError, LookupError):
        raise Refused.one(f"the file {name}: is no XML that can be read; export it again") from None
    if not root.tag.startswith(_GPX) or not root.tag.endswith("}gpx"):
        raise Refused.one(f"the file {name}: is no GPX 1.0 or 1.1 file; export it as GPX")
    space = root.tag.removesuffix("gpx")
    for number, point in enumerate(root.iter(f"{space}wpt"), 1):
        lat, lon = _number(point.get("lat")), _number(point.get("lon"))
        if not _on_earth(lat, lon):
            yield f"waypoint {number} has no position on the Earth."
            continue
        assert lat is not None
        assert lon is not None
        yield Point(
            name=_short(_said(point, f"{space}name")),
            lat=lat,
            lon=lon,
            elevation_m=_height(_number(_said(point, f"{space}ele"))),
            at=_moment(_said(point, f"{space}time")),
            text=_said(point, f"{space}desc") or _said(point, f"{space}cmt"),
        )


def _features(raw: bytes, name: str) -> Iterator[Point | str]:
    try:
        told = read_strict(raw, largest_bytes=LARGEST_BYTES)
    except NotStrictJson as trouble:
        raise Refused.one(f"the file {name}, line {trouble.line}: {trouble.says}") from None
    features = told.get("features") if isinstance(told, dict) else None
    if isinstance(told, dict) and told.get("type") == "Feature":
        features = [told]
    if not isinstance(features, list):
        raise Refused.one(
            f"the file {name}: is no GeoJSON feature collection; export it as GeoJSON"
        )
    for number, feature in enumerate(features, 1):
        geometry = feature.get("geometry") if isinstance(feature, dict) else None
        if not isinstance(geometry, dict) or geometry.get("type") != "Point":
            yield f"feature {number} is no point and is passed over."
            continue
        at = geometry.get("coordinates")
        numbers = [_number(one) for one in at] if isinstance(at, list) else []
        if len(numbers) < 2 or not _on_earth(numbers[1], numbers[0]):
            yield f"feature {number} has no position on the Earth; longitude stands first."
            continue
        said = feature.get("properties")
        said = said if isinstance(said, dict) else {}
        text = next(
            (said[key] for key in ("description", "desc", "note") if _is_text(said.get(key))), None
        )
        named = next((said[key] for key in ("name", "title") if _is_text(said.get(key))), None)
        lon, lat = numbers[:2]
        assert lat is not None
        assert lon is not None
        yield Point(
            name=_short(named),
            lat=lat,
            lon=lon,
            elevation_m=_height(numbers[2] if len(numbers) > 2 else None),
            at=_moment(said.get("time") if _is_text(said.get("time")) else None),
            text=text,
        )


def _said(point: Element, tag: str) -> str | None:
    found = point.find(tag)
    text = None if found is None or found.text is None else found.text.strip()
    return text or None


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip())


def _short(name: str | None) -> str | None:
    return None if name is None else " ".join(name.split())[:_MOST_LETTERS] or None


def _number(value: Any) -> float | None:
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        return None
    try:
        number = float(value)
    except (ValueError, OverflowError):
        return None
    return number if math.isfinite(number) else None


def _on_earth(lat: float | None, lon: float | None) -> bool:
    return lat is not None and lon is not None and -90 <= lat <= 90 and -180 <= lon <= 180


def _height(value: float | None) -> float | None:
    return value if value is not None and -500 <= value <= 9000 else None


def _moment(text: str | None) -> dt.datetime | None:
    """Answer a time with its offset; one without says nothing."""
    try:
        at = dt.datetime.fromisoformat((text or "").replace("Z", "+00:00"))
    except ValueError:
        return None
    return at if at.tzinfo is not None else None
