"""The marks of places, drawn in ink, readable at three millimetres.

Perch: a diamond on a stem. Vantage: a chevron with its usable range as a short arc of ticks, a bar
across for a hide. Landmark: a square with a letter. Hazard: a triangle. Not for: where they stand
(`sketch`).
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any
from xml.etree import ElementTree as Tree

from scout.server.ink import INK, PAPER, draw, letter, path, sheet

Spot = tuple[float, float]


def mark_sample(kind: str) -> Tree.Element:
    """Draw one mark of a place for the legend."""
    drawing = sheet(6.0, 5.2, kind)
    spot = (3.0, 2.9)
    if kind == "perch":
        perch_mark(drawing, spot)
    elif kind in ("vantage", "hide"):
        pin = {"cover": "hide" if kind == "hide" else None, "usable": None}
        vantage_mark(drawing, spot, pin, 0.0)
    elif kind == "pin is unsure":
        draw(drawing, "circle", cx=3.0, cy=2.6, r=2.2, fill="none", stroke=INK, stroke_width=0.2)
    else:
        land_mark(
            drawing, (3.0, 2.6), {"letter": "A"}, "hazards" if kind == "hazard" else "landmarks"
        )
    return drawing


def perch_mark(drawing: Tree.Element, spot: Spot) -> None:
    x, y = spot
    draw(
        drawing,
        "path",
        d=path([(x, y - 2.6), (x + 1.5, y - 0.9), (x, y + 0.8), (x - 1.5, y - 0.9)], closed=True),
        fill=PAPER,
        stroke=INK,
        stroke_width=0.45,
    )
    draw(drawing, "path", d=path([(x, y + 0.8), (x, y + 2.2)]), stroke=INK, stroke_width=0.45)


def vantage_mark(
    drawing: Tree.Element, spot: Spot, pin: dict[str, Any], toward_deg: float | None
) -> None:
    x, y = spot
    turned = draw(
        drawing, "g", transform=f"translate({x:.2f} {y:.2f}) rotate({toward_deg or 0.0:.1f})"
    )
    draw(
        turned,
        "path",
        d=path([(-1.9, 1.4), (0.0, -1.6), (1.9, 1.4)]),
        fill="none",
        stroke=INK,
        stroke_width=0.75,
        stroke_linejoin="miter",
    )
    if pin["cover"] == "hide":
        draw(turned, "path", d=path([(-2.0, 0.2), (2.0, 0.2)]), stroke=INK, stroke_width=0.6)
    usable = pin["usable"]
    if usable is not None:
        sweep = (usable["to_deg"] - usable["from_deg"]) % 360.0 or 360.0
        count = max(2, round(sweep / 10.0))
        strokes = []
        for step in range(count + 1):
            turn = radians(usable["from_deg"] + sweep * step / count)
            inner, outer = (3.1, 4.4) if step in (0, count) else (3.5, 4.2)
            strokes.append(
                path(
                    [
                        (x + inner * sin(turn), y - inner * cos(turn)),
                        (x + outer * sin(turn), y - outer * cos(turn)),
                    ]
                )
            )
        draw(drawing, "path", d="".join(strokes), stroke=INK, stroke_width=0.25)


def middle_deg(usable: dict[str, float] | None) -> float:
    if usable is None:
        return 0.0
    return usable["from_deg"] + ((usable["to_deg"] - usable["from_deg"]) % 360.0) / 2.0


def land_mark(drawing: Tree.Element, spot: Spot, mark: dict[str, Any], kind: str) -> None:
    x, y = spot
    if kind == "hazards":
        draw(
            drawing,
            "path",
            d=path([(x, y - 2.0), (x + 2.0, y + 1.5), (x - 2.0, y + 1.5)], closed=True),
            fill=PAPER,
            stroke=INK,
            stroke_width=0.45,
        )
        draw(drawing, "path", d=path([(x, y - 0.8), (x, y + 0.4)]), stroke=INK, stroke_width=0.4)
        draw(drawing, "circle", cx=x, cy=y + 0.95, r=0.25, fill=INK)
        return
    draw(
        drawing,
        "rect",
        x=x - 1.6,
        y=y - 1.6,
        width=3.2,
        height=3.2,
        fill=PAPER,
        stroke=INK,
        stroke_width=0.4,
    )
    letter(
        drawing,
        mark["letter"],
        x,
        y + 0.9,
        2.5 if len(mark["letter"]) == 1 else 1.9,
        text_anchor="middle",
        font_weight="700",
    ).set("stroke", "none")


def north_arrow(drawing: Tree.Element, width: float) -> None:
    x = width - 4.6
    draw(drawing, "path", d=path([(x, 11.6), (x, 5.2)]), stroke=INK, stroke_width=0.4)
    draw(
        drawing,
        "path",
        d=path([(x - 1.1, 7.6), (x, 4.8), (x + 1.1, 7.6)]),
        fill="none",
        stroke=INK,
        stroke_width=0.4,
    )
    letter(drawing, "N", x, 4.1, 2.7, text_anchor="middle", font_weight="700")
