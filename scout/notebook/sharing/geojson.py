"""What leaves as GeoJSON (RFC 7946): pins and sightings as points, sightlines, outlines.

Longitude first; outlines run anticlockwise and are cut at the 180th meridian (section 3.1.9), whose
own longitude is written −180 or 180 by the side it closes. Uncertainty and what was done to a
position carry their Darwin Core names. Not for: what may leave (`outgoing`).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from scout.notebook.sharing.grid import Spot
from scout.notebook.sharing.let_out import Line, Outgoing, Outline, Place, Seen

MEDIA_TYPE = "application/geo+json"
_Corner = tuple[float, float]  # longitude, latitude


def geojson_of(leaving: Outgoing) -> str:
    """Write a feature collection, the same for the same records."""
    features = [
        *(_place(one) for one in leaving.places),
        *(_line(one) for one in leaving.lines),
        *(_outline(one) for one in leaving.outlines),
        *(_seen(one) for one in leaving.sightings),
    ]
    told = {
        "type": "FeatureCollection",
        "features": features,
        "informationWithheld": withheld(leaving),
    }
    return json.dumps(told, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def withheld(leaving: Outgoing) -> str | None:
    """Say what stayed inside (Darwin Core: informationWithheld)."""
    kept = [
        f"{count} {kind}{'' if count == 1 else 's'}"
        for kind, count in leaving.withheld.items()
        if count
    ]
    return f"{', '.join(kept)} withheld as sensitive" if kept else None


def _feature(geometry: dict[str, Any] | None, properties: dict[str, Any]) -> dict[str, Any]:
    told = {name: value for name, value in properties.items() if value is not None}
    return {"type": "Feature", "geometry": geometry, "properties": told}


def _point(at: Spot, elevation_m: float | None = None) -> dict[str, Any]:
    height = [] if elevation_m is None else [elevation_m]
    return {"type": "Point", "coordinates": [at.lon, at.lat, *height]}


def _place(one: Place) -> dict[str, Any]:
    at = _point(one.spot, one.elevation_m)
    return _feature(at, {**one.told, **one.spot.goodness})


def _line(one: Line) -> dict[str, Any]:
    ends = [[end.spot.lon, end.spot.lat] for end in (one.vantage, one.perch)]
    told = {
        "what": "sightline",
        "name": one.label,
        "site": one.perch.site,
        "light_wanted": one.light_wanted,
        "gap_m": one.gap_m,
    }
    return _feature({"type": "LineString", "coordinates": ends}, told)


def _seen(one: Seen) -> dict[str, Any]:
    if one.spot is None:
        return _feature(None, {"what": "sighting", **one.told})
    return _feature(_point(one.spot), {"what": "sighting", **one.told, **one.spot.goodness})


def _outline(one: Outline) -> dict[str, Any]:
    corners = [(lon, lat) for lat, lon in one.corners]
    rings = [_ring(part) for part in _cut(corners) if len(part) >= 3]
    geometry: dict[str, Any] | None = None
    if len(rings) == 1:
        geometry = {"type": "Polygon", "coordinates": [rings[0]]}
    elif rings:
        geometry = {"type": "MultiPolygon", "coordinates": [[ring] for ring in rings]}
    return _feature(geometry, {"what": "area", "name": one.label, "kind": one.kind})


def _ring(corners: Sequence[_Corner]) -> list[list[float]]:
    """Close a ring and turn it anticlockwise."""
    ring = list(corners) if _area(corners) > 0 else list(reversed(corners))
    return [list(corner) for corner in (*ring, ring[0])]


def _area(corners: Sequence[_Corner]) -> float:
    around = zip(corners, [*corners[1:], corners[0]], strict=True)
    return sum((x1 * y2 - x2 * y1) for (x1, y1), (x2, y2) in around) / 2


def _cut(corners: Sequence[_Corner]) -> list[list[_Corner]]:
    """Cut an outline at the 180th meridian; one that does not cross it stays whole."""
    lons = [lon for lon, _ in corners]
    if max(lons) - min(lons) <= 180:
        return [list(corners)]
    round_ = [(lon % 360, lat) for lon, lat in corners]
    west = _half(round_, 180.0, keep_below=True)
    east = [(lon - 360, lat) for lon, lat in _half(round_, 180.0, keep_below=False)]
    return [west, east]


def _half(corners: Sequence[_Corner], at: float, *, keep_below: bool) -> list[_Corner]:
    """Clip an outline at a meridian (Sutherland and Hodgman, 1974, for one edge)."""

    def inside(corner: _Corner) -> bool:
        return corner[0] <= at if keep_below else corner[0] >= at

    kept: list[_Corner] = []
    for one, other in zip(corners, [*corners[1:], corners[0]], strict=True):
        if inside(one):
            kept.append(one)
        if inside(one) != inside(other) and one[0] != at and other[0] != at:
            share = (at - one[0]) / (other[0] - one[0])
            kept.append((at, round(one[1] + share * (other[1] - one[1]), 6)))
    return kept
