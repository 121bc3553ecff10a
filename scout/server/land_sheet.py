"""A picture of the land for paper: the picture, pins by name, north, a scale in metres.

Not for: what is on the picture (`scout.terrain.pictures`).
"""

from __future__ import annotations

import base64
import math
from collections.abc import Sequence
from typing import Any, Final
from xml.etree import ElementTree as Tree

from scout.engine.geodesy import distance_m
from scout.engine.site_map import scale_bar_m

SIDE: Final = 1000.0
_FOOT: Final = 60.0
_LETTER: Final = 10.0  # how wide a letter is taken to be
_LETTERS: Final = {"font-size": "20", "font-family": "sans-serif"}


def land_sheet(layer: Any, pins: Sequence[Any], picture: bytes) -> Tree.Element:
    """Draw a layer with the pins that lie on it, north up."""
    edges = layer.bounds
    drawing = Tree.Element(
        "svg",
        {"viewBox": f"0 0 {SIDE:.0f} {SIDE + _FOOT:.0f}", "role": "img", "class": "land"},
    )
    Tree.SubElement(drawing, "title").text = layer.title or layer.kind
    data = base64.b64encode(picture).decode("ascii")
    Tree.SubElement(
        drawing,
        "image",
        {
            "href": f"data:image/png;base64,{data}",
            "x": "0",
            "y": "0",
            "width": f"{SIDE:.0f}",
            "height": f"{SIDE:.0f}",
            "preserveAspectRatio": "none",
        },
    )
    top, bottom = _up(edges.north_deg), _up(edges.south_deg)
    taken: list[tuple[float, float, float, float]] = []
    for pin in pins:
        x = (pin.position.lon - edges.west_deg) / (edges.east_deg - edges.west_deg) * SIDE
        y = (top - _up(pin.position.lat)) / (top - bottom) * SIDE
        if 0.0 <= x <= SIDE and 0.0 <= y <= SIDE:
            _pin(drawing, x, y, pin, taken)
    across = distance_m(
        (edges.north_deg + edges.south_deg) / 2.0,
        edges.west_deg,
        (edges.north_deg + edges.south_deg) / 2.0,
        edges.east_deg,
    )
    _scale(drawing, across)
    north = f"M{SIDE - 30:.0f} {SIDE + 52:.0f}v-44m-8 14l8 -14l8 14"
    Tree.SubElement(
        drawing, "path", {"d": north, "fill": "none", "stroke": "#000", "stroke-width": "3"}
    )
    _word(drawing, SIDE - 60.0, SIDE + 40.0, "N")
    return drawing


def _pin(
    drawing: Tree.Element,
    x: float,
    y: float,
    pin: Any,
    taken: list[tuple[float, float, float, float]],
) -> None:
    """Mark a pin, and name it on the side that is free; where none is, the mark alone stands."""
    shape = "circle" if hasattr(pin, "height_m") else "rect"
    place = (
        {"cx": f"{x:.1f}", "cy": f"{y:.1f}", "r": "7"}
        if shape == "circle"
        else {"x": f"{x - 6:.1f}", "y": f"{y - 6:.1f}", "width": "12", "height": "12"}
    )
    Tree.SubElement(
        drawing, shape, {**place, "fill": "#fff", "stroke": "#000", "stroke-width": "3"}
    )
    wide = _LETTER * len(pin.name)
    for left, foot in ((x + 11, y + 6), (x - 11 - wide, y + 6), (x - wide / 2, y - 12),
                       (x - wide / 2, y + 26)):  # fmt: skip
        box = (left, foot - 17.0, left + wide, foot + 4.0)
        if left >= 0.0 and box[2] <= SIDE and not any(_share(box, other) for other in taken):
            taken.append(box)
            _word(drawing, left, foot, pin.name, halo=True)
            return


def _share(
    one: tuple[float, float, float, float], other: tuple[float, float, float, float]
) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _scale(drawing: Tree.Element, across_m: float) -> None:
    bar = scale_bar_m(across_m)
    end = 20.0 + bar / across_m * SIDE
    Tree.SubElement(
        drawing,
        "path",
        {
            "d": f"M20 {SIDE + 22:.0f}v12h{end - 20.0:.1f}v-12",
            "fill": "none",
            "stroke": "#000",
            "stroke-width": "3",
        },
    )
    _word(drawing, end + 10.0, SIDE + 36.0, f"{bar:g} m")


def _word(drawing: Tree.Element, x: float, y: float, text: str, *, halo: bool = False) -> None:
    look = {"x": f"{x:.1f}", "y": f"{y:.1f}", **_LETTERS}
    if halo:
        look |= {"stroke": "#fff", "stroke-width": "5", "paint-order": "stroke"}
    Tree.SubElement(drawing, "text", look).text = text


def _up(lat_deg: float) -> float:
    return math.asinh(math.tan(math.radians(lat_deg)))
