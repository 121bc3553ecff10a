"""The relief under the sketch of a printed page: the site's own layer, where there is one.

Not for: drawing the relief (`scout.terrain.relief`), or a page of its own (`land_sheet`).
"""

from __future__ import annotations

import base64
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree as Tree

from scout.engine.geodesy import LocalPlane
from scout.notebook.notebook import Notebook

_FAINT = "0.5"
Spot = tuple[float, float]


def relief_under(notebook: Notebook, records: Any, site: Any) -> dict[str, Any] | None:
    """Answer a site's relief with its edges in metres from the centre; None where there is none."""
    layers = [
        one
        for one in records.get("layer", {}).values()
        if one.site == site.id and one.kind == "relief"
    ]
    if not layers:
        return None
    layer = max(layers, key=lambda one: one.id)
    path = notebook.blobs.path_of(layer.blob)
    if not path.is_file():
        return None
    plane = LocalPlane(site.centre.lat, site.centre.lon)
    edges = layer.bounds
    west, north = plane.to_plane(edges.north_deg, edges.west_deg)
    east, south = plane.to_plane(edges.south_deg, edges.east_deg)
    data = base64.b64encode(path.read_bytes()).decode("ascii")
    return {
        "href": f"data:image/png;base64,{data}",
        "north_west": {"east_m": west, "north_m": north},
        "south_east": {"east_m": east, "north_m": south},
    }


def lay_under(
    drawing: Tree.Element,
    under: dict[str, Any],
    spot: Callable[[dict[str, Any]], Spot],
    width: float,
    height: float,
) -> None:
    """Lay a relief under a sketch, cut off at its edges; faint, for what is on it counts."""
    left, top = spot(under["north_west"])
    right, bottom = spot(under["south_east"])
    window = Tree.SubElement(
        drawing,
        "svg",
        {
            "x": "0",
            "y": "0",
            "width": f"{width:.2f}",
            "height": f"{height:.2f}",
            "viewBox": f"0 0 {width:.2f} {height:.2f}",
        },
    )
    Tree.SubElement(
        window,
        "image",
        {
            "href": under["href"],
            "x": f"{left:.2f}",
            "y": f"{top:.2f}",
            "width": f"{right - left:.2f}",
            "height": f"{bottom - top:.2f}",
            "preserveAspectRatio": "none",
            "opacity": _FAINT,
        },
    )
