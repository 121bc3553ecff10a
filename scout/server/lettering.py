"""Names, numbers and figures lettered onto a sketch where they cover least.

Not for: the marks they belong to (`marks`).
"""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, radians, sin
from xml.etree import ElementTree as Tree

from scout.server.ink import INK, PAPER, draw, length_mm, letter
from scout.server.room import Box, Room, along, around

TOO_CROWDED = 9.0  # what letters may cover of other things before they are left out
_NAMES_MM = 2.7
_FIGURES_MM = 2.5
Spot = tuple[float, float]


def number_spot(room: Room, start: Spot, end: Spot) -> tuple[Spot, float]:
    """Find where on a line its number stands free, as near to the vantage as may be."""
    length = max(hypot(end[0] - start[0], end[1] - start[1]), 0.1)
    tried = []
    for farther, along_mm in enumerate((7.0, 9.0, 11.0, 14.0, 17.0, 20.0, 24.0, 28.0, 33.0, 38.0)):
        if farther and along_mm > length - 5.0:
            break
        spot = at_share(start, end, along_mm / length if along_mm < length - 5.0 else 0.5)
        # Away from the vantage only where it has to: the figures need the rest of the line.
        cost = room.cost(around(*spot, 1.9))
        tried.append((round(cost + 2.0 * farther, 2), round(cost, 2), spot))
    _, cost, spot = min(tried)
    return spot, cost


def letter_number(drawing: Tree.Element, rank: int, spot: Spot) -> None:
    """The sightline's place in the order, in a circle on it."""
    x, y = spot
    draw(drawing, "circle", cx=x, cy=y, r=1.75, fill=PAPER, stroke=INK, stroke_width=0.3)
    size = 2.6 if rank < 10 else 2.1
    letter(
        drawing, str(rank), x, y + size * 0.36, size, text_anchor="middle", font_weight="700"
    ).set("stroke", "none")


def letter_figures(
    drawing: Tree.Element, room: Room, figures: dict[str, str], start: Spot, end: Spot
) -> None:
    """Bearing and distance on one side of the line, the gap on the other, where there is room."""
    length = max(hypot(end[0] - start[0], end[1] - start[1]), 0.1)
    turn = degrees(atan2(end[1] - start[1], end[0] - start[0]))
    if not -90.0 < turn <= 90.0:
        turn += 180.0
    lean = radians(turn)
    for words in (f"{figures['bearing']} {figures['distance']}", figures["gap"]):
        half = length_mm(words, _FIGURES_MM) / 2
        # Clear of the number by the vantage and of the diamond at the perch.
        near, far = 9.0 + half, length - 2.6 - half
        if near > far + 1.0:
            continue
        spots = []
        for share in (0.5, 0.75, 0.25, 1.0, 0.0):
            x, y = at_share(start, end, (near + (far - near) * share) / length)
            spots += [(x - off * sin(lean), y + off * cos(lean)) for off in (-1.9, 1.9)]
        boxes = [
            along(
                (x - half * cos(lean), y - half * sin(lean)),
                (x + half * cos(lean), y + half * sin(lean)),
                1.0,
            )
            for x, y in spots
        ]
        costs = [round(sum(room.cost(box) for box in each), 2) for each in boxes]
        place = costs.index(min(costs))
        if costs[place] > TOO_CROWDED:
            continue  # the figures stand beside the strip as well
        x, y = spots[place]
        letter(
            drawing,
            words,
            x - 0.9 * sin(lean),
            y + 0.9 * cos(lean),
            _FIGURES_MM,
            text_anchor="middle",
            transform=f"rotate({turn:.1f} {x - 0.9 * sin(lean):.2f} {y + 0.9 * cos(lean):.2f})",
        )
        room.take(boxes[place])


def letter_name(
    drawing: Tree.Element, room: Room, spot: Spot, name: str, *, bold: bool
) -> Tree.Element | None:
    """Letter a name beside its mark where it covers least; None where there is no room for it."""
    words = name if len(name) <= 22 else f"{name[:20].rstrip()}…"
    x, y = spot
    wide, high = length_mm(words, _NAMES_MM) * (1.08 if bold else 1.0), _NAMES_MM
    spots: list[tuple[float, float, str]] = []
    for out in (3.0, 5.0, 7.0):
        spots += [
            (x + out, y + 0.9, "start"),
            (x - out, y + 0.9, "end"),
            (x, y - out - 0.4, "middle"),
            (x, y + out + 2.2, "middle"),
            (x + out * 0.7, y - out * 0.8, "start"),
            (x - out * 0.7, y - out * 0.8, "end"),
            (x + out * 0.7, y + out * 0.8 + 2.0, "start"),
            (x - out * 0.7, y + out * 0.8 + 2.0, "end"),
        ]
    boxes = []
    for tx, ty, anchor in spots:
        left = tx if anchor == "start" else tx - wide if anchor == "end" else tx - wide / 2
        boxes.append(Box(left, ty - high * 0.8, left + wide, ty + high * 0.25))
    best, cost = room.freest(boxes)
    if cost > TOO_CROWDED and not bold:
        return None  # a pin that no sightline here needs goes without its name
    tx, ty, anchor = spots[best]
    lettered = letter(
        drawing,
        words,
        tx,
        ty,
        _NAMES_MM,
        text_anchor=anchor,
        font_weight="700" if bold else "400",
        font_style=None if bold else "italic",
    )
    room.take([boxes[best]])
    return lettered


def at_share(start: Spot, end: Spot, share: float) -> Spot:
    return (
        start[0] + (end[0] - start[0]) * share,
        start[1] + (end[1] - start[1]) * share,
    )
