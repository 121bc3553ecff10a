"""Pins as GPX 1.1 waypoints, in the order of elements that its schema demands.

Not for: sightings or sightlines, which the format has no place for; or what may leave (`outgoing`).
"""

from __future__ import annotations

from xml.etree import ElementTree as Tree

from scout.notebook.sharing.geojson import withheld
from scout.notebook.sharing.let_out import Outgoing, Place

MEDIA_TYPE = "application/gpx+xml"
NAMESPACE = "http://www.topografix.com/GPX/1/1"
_ALLOWED_CONTROL = "\t\n\r"


def gpx_of(leaving: Outgoing) -> bytes:
    """Write a GPX document as UTF-8."""
    Tree.register_namespace("", NAMESPACE)
    root = Tree.Element(_named("gpx"), version="1.1", creator="scouting notebook")
    kept = withheld(leaving)
    if kept:
        _put(Tree.SubElement(root, _named("metadata")), "desc", kept)
    for one in leaving.places:
        _waypoint(root, one)
    Tree.indent(root, " ")
    return bytes(Tree.tostring(root, encoding="utf-8", xml_declaration=True)) + b"\n"


def _waypoint(root: Tree.Element, one: Place) -> None:
    point = Tree.SubElement(
        root, _named("wpt"), lat=_degrees(one.spot.lat), lon=_degrees(one.spot.lon)
    )
    if one.elevation_m is not None:
        _put(point, "ele", f"{one.elevation_m:.1f}")
    _put(point, "name", one.label)
    _put(point, "desc", "; ".join(_told(one)))
    _put(point, "type", one.kind)


def _told(one: Place) -> list[str]:
    told = [f"{one.kind} at {one.site}"]
    told += [
        f"{name.replace('_', ' ')} {value}"
        for name, value in one.facts.items()
        if value is not None
    ]
    if one.spot.uncertainty_m is not None:
        told.append(f"good to {one.spot.uncertainty_m:.0f} m")
    if one.spot.generalised:
        told.append(one.spot.generalised)
    return told


def _put(parent: Tree.Element, name: str, text: str) -> None:
    clean = "".join(c for c in text if c >= " " or c in _ALLOWED_CONTROL)
    Tree.SubElement(parent, _named(name)).text = clean


def _named(name: str) -> str:
    return f"{{{NAMESPACE}}}{name}"


def _degrees(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")
