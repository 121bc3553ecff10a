"""Room on a drawing: which spot beside a mark is free for its name.

Not for: drawing anything.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import attrs


@attrs.frozen
class Box:
    """A rectangle on the drawing [mm]."""

    left: float
    top: float
    right: float
    bottom: float

    def shared(self, other: Box) -> float:
        """The area two boxes share [mm²]."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.bottom, other.bottom) - max(self.top, other.top)
        return wide * high if wide > 0.0 and high > 0.0 else 0.0


def around(x: float, y: float, half: float) -> Box:
    """The box about a point."""
    return Box(x - half, y - half, x + half, y + half)


def along(start: tuple[float, float], end: tuple[float, float], half: float) -> list[Box]:
    """Small boxes along a line, one every two of their halves."""
    (x0, y0), (x1, y1) = start, end
    count = max(1, int(max(abs(x1 - x0), abs(y1 - y0)) / (2.0 * half)))
    return [
        around(x0 + (x1 - x0) * step / count, y0 + (y1 - y0) * step / count, half)
        for step in range(count + 1)
    ]


class Room:
    """What is taken on a drawing so far."""

    def __init__(self, frame: Box) -> None:
        self._frame = frame
        self._hard: list[Box] = []
        self._soft: list[Box] = []

    def take(self, boxes: Iterable[Box], *, soft: bool = False) -> None:
        """Take room; a soft one (a line, a ring) may be lettered across where all else is taken."""
        (self._soft if soft else self._hard).extend(boxes)

    def cost(self, box: Box) -> float:
        """How much a box would cover of what is there, and how far it would leave the frame."""
        frame = self._frame
        outside = (box.right - box.left) * (box.bottom - box.top) - box.shared(frame)
        hard = sum(box.shared(other) for other in self._hard)
        soft = sum(box.shared(other) for other in self._soft)
        return 20.0 * outside + 8.0 * hard + soft

    def freest(self, boxes: Sequence[Box]) -> tuple[int, float]:
        """Answer which box covers least (the first of equals) and what it costs."""
        costs = [round(self.cost(box), 3) for box in boxes]
        best = min(costs)
        return costs.index(best), best
