"""The frame of a sketch: where its pins come to lie, the grid beneath them and the scale.

Not for: what is drawn in it (`sketch`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from xml.etree import ElementTree as Tree

import attrs

from scout.server.ink import INK, draw, letter, path

_FIGURES_MM = 2.5
_MARGIN_MM = 13.0
_LARGEST = 4.0  # millimetres a metre: beyond this a sketch shows only the errors of its pins
Spot = tuple[float, float]


@attrs.frozen
class Frame:
    """What a sketch shows: its size [mm], its scale [mm a metre], its middle [m east, north]."""

    width: float
    height: float
    scale: float
    east: float
    north: float

    def spot(self, pin: dict[str, Any]) -> Spot:
        """Where a pin lies on the sketch [mm]."""
        return (
            self.width / 2 + (pin["east_m"] - self.east) * self.scale,
            self.height / 2 - (pin["north_m"] - self.north) * self.scale,
        )

    def holds(self, spot: Spot, edge: float = 3.0) -> bool:
        """Whether a spot lies within the sketch, that far from its edge [mm]."""
        x, y = spot
        return edge <= x <= self.width - edge and edge <= y <= self.height - edge


def framed(pins: Sequence[dict[str, Any]], width: float, height: float) -> Frame:
    """Frame pins as large as the sketch allows, within its margin."""
    easts = [pin["east_m"] for pin in pins] or [0.0]
    norths = [pin["north_m"] for pin in pins] or [0.0]
    wide, high = max(easts) - min(easts), max(norths) - min(norths)
    scale = min(
        _LARGEST,
        (width - 2 * _MARGIN_MM) / max(wide, 1.0),
        (height - 2 * _MARGIN_MM) / max(high, 1.0),
    )
    return Frame(
        width, height, scale, (max(easts) + min(easts)) / 2, (max(norths) + min(norths)) / 2
    )


def grid(drawing: Tree.Element, frame: Frame, step_m: float) -> None:
    """Small crosses a scale bar apart, as on ruled field paper."""
    draw(
        drawing,
        "rect",
        x=0.15,
        y=0.15,
        width=frame.width - 0.3,
        height=frame.height - 0.3,
        fill="none",
        stroke=INK,
        stroke_width=0.3,
    )
    step = step_m * frame.scale
    strokes = []
    for column in range(1, int(frame.width / step) + 1):
        for row in range(1, int(frame.height / step) + 1):
            x, y = column * step, row * step
            if x < frame.width - 1 and y < frame.height - 1:
                strokes.append(path([(x - 0.5, y), (x + 0.5, y)]))
                strokes.append(path([(x, y - 0.5), (x, y + 0.5)]))
    if strokes:
        draw(drawing, "path", d="".join(strokes), stroke="#999", stroke_width=0.15)


def scale_bar(drawing: Tree.Element, frame: Frame, bar_m: float) -> None:
    """Draw a bar of so many metres into the lower left corner."""
    left, y, long = 3.0, frame.height - 3.0, bar_m * frame.scale
    draw(
        drawing,
        "path",
        d=path([(left, y - 1.2), (left, y), (left + long, y), (left + long, y - 1.2)]),
        fill="none",
        stroke=INK,
        stroke_width=0.4,
    )
    letter(drawing, f"{bar_m:g} m", left + long / 2, y - 0.9, _FIGURES_MM, text_anchor="middle")
