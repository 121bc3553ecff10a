"""A line of sight from the side, as a drawing: lens, perch, the land, what blocks, the gap.

One colour (that of the text around it) in several weights, so that it serves on paper, by day and
in red light. Heights are drawn larger than lengths, and the drawing says by how much. Not for:
finding anything (`sight`).
"""

from __future__ import annotations

import math
from typing import Final
from xml.etree import ElementTree as Tree

import numpy as np

from scout.terrain.sight import Sighted

WIDE: Final = 720.0
HIGH: Final = 260.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 44.0, 16.0, 34.0, 40.0
_SVG: Final = "http://www.w3.org/2000/svg"
_MOST_EXAGGERATED = 10.0
_LETTERS = {"font-size": "13", "fill": "currentColor", "font-family": "sans-serif"}


def side_view(sighted: Sighted) -> str:
    """Draw a line of sight as an SVG document."""
    shown_m = _shown_m(sighted)
    kept = (sighted.away_m <= shown_m) & np.isfinite(sighted.ground_m)
    away, ground, line = (one[kept] for one in (sighted.away_m, sighted.ground_m, sighted.line_m))
    scale = _Scale(
        shown_m,
        float(min(ground.min(), line.min())),
        float(max(ground.max(), line.max())),
    )
    drawing = Tree.Element(
        "svg",
        {
            "xmlns": _SVG,
            "viewBox": f"0 0 {WIDE:.0f} {HIGH:.0f}",
            "role": "img",
            "class": "side-view",
        },
    )
    Tree.SubElement(drawing, "title").text = f"{sighted.sight_words} {sighted.gap_words}"
    _land(drawing, scale, away, ground)
    _line(drawing, scale, sighted, shown_m)
    _ends(drawing, scale, sighted)
    _axis(drawing, scale, shown_m)
    return Tree.tostring(drawing, encoding="unicode")


def _shown_m(sighted: Sighted) -> float:
    """How much of the line is drawn [m]: all of it, and the gap where it is not much longer."""
    distance = sighted.line.distance_m
    gap = sighted.gap_m
    behind = distance if gap is None or math.isinf(gap) else gap * 1.15 + 1.0
    return distance + min(behind, 2.0 * distance)


class _Scale:
    """From metres to the drawing's units."""

    def __init__(self, shown_m: float, low_m: float, high_m: float) -> None:
        self.across = (WIDE - _LEFT - _RIGHT) / shown_m
        room = HIGH - _TOP - _BOTTOM
        span = max(high_m - low_m, 0.5)
        self.up = min(room / (span * 1.1), self.across * _MOST_EXAGGERATED)
        self.low_m = low_m - 0.05 * span
        self.base = HIGH - _BOTTOM

    @property
    def exaggerated(self) -> float:
        """How many times larger heights are drawn than lengths."""
        return self.up / self.across

    def spot(self, away_m: float, height_m: float) -> tuple[float, float]:
        """Where a point of the line's plane lies on the drawing."""
        return _LEFT + away_m * self.across, self.base - (height_m - self.low_m) * self.up


def _land(drawing: Tree.Element, scale: _Scale, away: np.ndarray, ground: np.ndarray) -> None:
    top = [scale.spot(float(x), float(z)) for x, z in zip(away, ground, strict=True)]
    foot = [(top[-1][0], scale.base + 12.0), (top[0][0], scale.base + 12.0)]
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in [*top, *foot])
    Tree.SubElement(
        drawing,
        "polygon",
        {"points": points, "fill": "currentColor", "fill-opacity": "0.22", "stroke": "none"},
    )
    crest = " ".join(f"{x:.1f},{y:.1f}" for x, y in top)
    Tree.SubElement(
        drawing,
        "polyline",
        {"points": crest, "fill": "none", "stroke": "currentColor", "stroke-width": "2"},
    )


def _line(drawing: Tree.Element, scale: _Scale, sighted: Sighted, shown_m: float) -> None:
    eye = float(sighted.line_m[0])
    slope = math.tan(math.radians(sighted.tilt_deg))
    distance = sighted.line.distance_m

    def stretch(start: float, end: float, **look: str) -> None:
        (x1, y1), (x2, y2) = (scale.spot(one, eye + slope * one) for one in (start, end))
        Tree.SubElement(
            drawing,
            "line",
            {
                "x1": f"{x1:.1f}",
                "y1": f"{y1:.1f}",
                "x2": f"{x2:.1f}",
                "y2": f"{y2:.1f}",
                "stroke": "currentColor",
                **{name.replace("_", "-"): value for name, value in look.items()},
            },
        )

    blocked = sighted.blocked_at_m
    stretch(0.0, distance if blocked is None else blocked, stroke_width="2.5")
    if blocked is not None:
        stretch(blocked, distance, stroke_width="2.5", stroke_dasharray="3 6")
        x, y = scale.spot(blocked, eye + slope * blocked)
        cross = f"M{x - 7:.1f} {y - 7:.1f}l14 14m0 -14l-14 14"
        Tree.SubElement(
            drawing, "path", {"d": cross, "stroke": "currentColor", "stroke-width": "3"}
        )
        _word(drawing, x, y - 12.0, "blocked here", "middle")
    gap = sighted.gap_m
    end = shown_m if gap is None or math.isinf(gap) else min(shown_m, distance + gap)
    stretch(distance, end, stroke_width="1.5", stroke_dasharray="8 5")
    if gap is not None and math.isfinite(gap) and distance + gap <= shown_m:
        x, y = scale.spot(distance + gap, eye + slope * (distance + gap))
        Tree.SubElement(
            drawing,
            "circle",
            {"cx": f"{x:.1f}", "cy": f"{y:.1f}", "r": "5", "fill": "currentColor"},
        )


def _ends(drawing: Tree.Element, scale: _Scale, sighted: Sighted) -> None:
    eye = float(sighted.line_m[0])
    slope = math.tan(math.radians(sighted.tilt_deg))
    distance = sighted.line.distance_m
    x, y = scale.spot(0.0, eye)
    Tree.SubElement(
        drawing,
        "rect",
        {
            "x": f"{x - 6:.1f}",
            "y": f"{y - 6:.1f}",
            "width": "12",
            "height": "12",
            "fill": "currentColor",
        },
    )
    _word(drawing, x - 6.0, 20.0, f"lens, {sighted.line.lens_height_m:.1f} m up", "start")
    x, y = scale.spot(distance, eye + slope * distance)
    Tree.SubElement(
        drawing,
        "circle",
        {
            "cx": f"{x:.1f}",
            "cy": f"{y:.1f}",
            "r": "6",
            "fill": "none",
            "stroke": "currentColor",
            "stroke-width": "3",
        },
    )
    words = f"perch, {sighted.line.perch_height_m:.1f} m up, {distance:.0f} m off"
    _word(drawing, x, 20.0, words, "middle" if x < WIDE - 110.0 else "end")


def _axis(drawing: Tree.Element, scale: _Scale, shown_m: float) -> None:
    step = _round_step(shown_m / 6.0)
    at = 0.0
    while at <= shown_m:
        x = _LEFT + at * scale.across
        Tree.SubElement(
            drawing,
            "line",
            {
                "x1": f"{x:.1f}",
                "x2": f"{x:.1f}",
                "y1": f"{scale.base + 12:.1f}",
                "y2": f"{scale.base + 17:.1f}",
                "stroke": "currentColor",
            },
        )
        _word(drawing, x, HIGH - 8.0, f"{at:g} m", "middle")
        at += step
    if scale.exaggerated > 1.05 or scale.exaggerated < 0.95:
        said = f"heights × {scale.exaggerated:.1f}"
        _word(drawing, WIDE - _RIGHT, HIGH - 26.0, said, "end")


def _word(drawing: Tree.Element, x: float, y: float, text: str, anchor: str) -> None:
    said = Tree.SubElement(
        drawing, "text", {"x": f"{x:.1f}", "y": f"{y:.1f}", "text-anchor": anchor, **_LETTERS}
    )
    said.text = text


def _round_step(metres: float) -> float:
    size = 10.0 ** math.floor(math.log10(max(metres, 0.1)))
    return next((step * size for step in (1.0, 2.0, 5.0) if step * size >= metres), 10.0 * size)
