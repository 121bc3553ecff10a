"""The small map of a site: pins, sightlines and their figures, drawn like a sketch in a field book.

Perch: a diamond on a stem. Vantage: a chevron with its usable range as a short arc of ticks, a bar
across for a hide. Landmark: a square with a letter. Hazard: a triangle. A pin that is not sure
stands in a ring of that radius. Not for: maps to find the way by.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Any
from xml.etree import ElementTree as Tree

import attrs

from scout.engine.site_map import scale_bar_m
from scout.server.ink import INK, PAPER, draw, length_mm, letter, path, sheet
from scout.server.room import Box, Room, along, around

_NAMES_MM = 2.7
_FIGURES_MM = 2.5
_MARGIN_MM = 13.0
_LARGEST = 4.0  # millimetres a metre: beyond this a sketch shows only the errors of its pins
_STROKES: dict[str, dict[str, float | str | None]] = {
    "dark": {"stroke_width": 0.45, "stroke_dasharray": "0.1 1.9", "stroke_linecap": "round"},
    "sky light": {"stroke_width": 0.4, "stroke_dasharray": "2.2 1.2"},
    "sun": {"stroke_width": 0.3},
    "good": {"stroke_width": 0.95},
}
_FRAMED = 4  # the sketch is framed around so many sightlines
_TOO_CROWDED = 9.0  # what figures may cover of other things before they are left out
Spot = tuple[float, float]


@attrs.frozen
class Drawn:
    """A sightline to be drawn: its id, place in the order, state at the moment shown.

    `worth` tells whether it has a good minute at all: the sketch is framed around those.
    """

    id: str
    rank: int
    state: str
    worth: bool


@attrs.frozen
class _Frame:
    width: float
    height: float
    scale: float
    east: float
    north: float

    def spot(self, pin: dict[str, Any]) -> Spot:
        return (
            self.width / 2 + (pin["east_m"] - self.east) * self.scale,
            self.height / 2 - (pin["north_m"] - self.north) * self.scale,
        )

    def holds(self, spot: Spot, edge: float = 3.0) -> bool:
        x, y = spot
        return edge <= x <= self.width - edge and edge <= y <= self.height - edge


def sketch(
    site_map: dict[str, Any], lines: Sequence[Drawn], width_mm: float, height_mm: float
) -> Tree.Element:
    """Draw the map around the sightlines given, or around all pins where none is.

    Pins beyond the edge are left out, but parking and hazards are pointed to from the margin.
    """
    drawing = sheet(width_mm, height_mm, "Sketch of the site, north up")
    pins = {pin["id"]: pin for pin in (*site_map["vantages"], *site_map["perches"])}
    known = {one["id"]: one for one in site_map["sightlines"]}
    drawn = [line for line in lines if line.id in known]
    framing = ([line for line in drawn if line.worth] or drawn)[:_FRAMED]
    ends = [known[line.id][end] for line in framing for end in ("vantage", "perch")]
    frame = _framed([pins[pin] for pin in ends] or list(pins.values()), width_mm, height_mm)
    drawn = [
        line
        for line in drawn
        if all(frame.holds(spot) for spot in _ends(frame, pins, known[line.id]))
    ]
    ends = [known[line.id][end] for line in drawn for end in ("vantage", "perch")]
    room = Room(Box(0.8, 0.8, width_mm - 0.8, height_mm - 0.8))
    bar_m = scale_bar_m(width_mm / frame.scale)
    _grid(drawing, frame, bar_m)
    room.take([Box(0, height_mm - 7.5, bar_m * frame.scale + 6, height_mm)])
    room.take([Box(width_mm - 8, 0, width_mm, 13)])

    shown = [
        pin for pin in pins.values() if pin["id"] in ends or frame.holds(frame.spot(pin), edge=5.0)
    ]
    marks = [
        (kind, mark)
        for kind in ("landmarks", "hazards")
        for mark in site_map[kind]
        if frame.holds(frame.spot(mark))
    ]
    for pin in (*shown, *(mark for _, mark in marks)):
        _ring(drawing, frame, room, pin)
        room.take([around(*frame.spot(pin), 2.3)])
    tags = []
    for line in drawn:
        start, end = _ends(frame, pins, known[line.id])
        spot, cost = _tag_spot(room, start, end)
        if cost > _TOO_CROWDED and line.rank > _FRAMED:
            continue  # where many lines cross, those further down are left to the notebook
        room.take([around(*spot, 1.9)])
        room.take(along(start, end, 0.6), soft=True)
        tags.append((line, spot))
    drawn = [line for line, _ in tags]
    for line in reversed(drawn):
        _stroke(drawing, line, *_ends(frame, pins, known[line.id]))
    for line, spot in tags:
        _tag(drawing, line, spot)
    for line in drawn:
        _figures(drawing, room, known[line.id]["figures"], *_ends(frame, pins, known[line.id]))
    busy = {known[line.id]["vantage"]: line for line in reversed(drawn)}
    for pin in shown:
        spot = frame.spot(pin)
        if "usable" in pin:
            first = busy.get(pin["id"])
            toward = known[first.id]["bearing_deg"] if first else _middle_deg(pin["usable"])
            _vantage(drawing, spot, pin, toward)
        else:
            _perch(drawing, spot)
    for kind, mark in marks:
        _mark(drawing, frame.spot(mark), mark, kind)
    _pointers(drawing, frame, room, site_map, {mark["id"] for _, mark in marks})
    wanted = set(ends)
    for pin in sorted(shown, key=lambda pin: pin["id"] not in wanted):
        _name(drawing, room, frame.spot(pin), pin["name"], bold=pin["id"] in wanted)
    for _, mark in marks:
        _name(drawing, room, frame.spot(mark), mark["name"], bold=False)
    _north(drawing, width_mm)
    _scale_bar(drawing, frame, bar_m)
    return drawing


def mark_sample(kind: str) -> Tree.Element:
    """Draw one mark of a place for the legend."""
    drawing = sheet(6.0, 5.2, kind)
    spot = (3.0, 2.9)
    if kind == "perch":
        _perch(drawing, spot)
    elif kind in ("vantage", "hide"):
        pin = {"cover": "hide" if kind == "hide" else None, "usable": None}
        _vantage(drawing, spot, pin, 0.0)
    elif kind == "pin is unsure":
        draw(drawing, "circle", cx=3.0, cy=2.6, r=2.2, fill="none", stroke=INK, stroke_width=0.2)
    else:
        _mark(drawing, (3.0, 2.6), {"letter": "A"}, "hazards" if kind == "hazard" else "landmarks")
    return drawing


def _framed(pins: Sequence[dict[str, Any]], width: float, height: float) -> _Frame:
    easts = [pin["east_m"] for pin in pins] or [0.0]
    norths = [pin["north_m"] for pin in pins] or [0.0]
    wide, high = max(easts) - min(easts), max(norths) - min(norths)
    scale = min(
        _LARGEST,
        (width - 2 * _MARGIN_MM) / max(wide, 1.0),
        (height - 2 * _MARGIN_MM) / max(high, 1.0),
    )
    return _Frame(
        width, height, scale, (max(easts) + min(easts)) / 2, (max(norths) + min(norths)) / 2
    )


def _ends(frame: _Frame, pins: dict[str, Any], line: dict[str, Any]) -> tuple[Spot, Spot]:
    return frame.spot(pins[line["vantage"]]), frame.spot(pins[line["perch"]])


def _grid(drawing: Tree.Element, frame: _Frame, step_m: float) -> None:
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


def _ring(drawing: Tree.Element, frame: _Frame, room: Room, pin: dict[str, Any]) -> None:
    radius = (pin["radius_m"] or 0.0) * frame.scale
    x, y = frame.spot(pin)
    # A ring within its own mark, or wider than the sketch, tells nothing.
    if 2.0 < radius < min(frame.width, frame.height) / 2:
        draw(drawing, "circle", cx=x, cy=y, r=radius, fill="none", stroke=INK, stroke_width=0.15)
        room.take(
            [
                around(x + radius * cos(radians(turn)), y + radius * sin(radians(turn)), 0.4)
                for turn in range(0, 360, 20)
            ],
            soft=True,
        )


def _stroke(drawing: Tree.Element, line: Drawn, start: Spot, end: Spot) -> None:
    # The line stops short of both marks, so that they stay clean.
    length = hypot(end[0] - start[0], end[1] - start[1])
    if length > 5.0:
        start, end = _at(start, end, 2.4 / length), _at(start, end, 1.0 - 2.2 / length)
    draw(
        drawing,
        "path",
        d=path([start, end]),
        stroke=INK,
        fill="none",
        data_state=line.state,
        data_rank=str(line.rank),
        **_STROKES[line.state],
    )


def _at(start: Spot, end: Spot, share: float) -> Spot:
    return (
        start[0] + (end[0] - start[0]) * share,
        start[1] + (end[1] - start[1]) * share,
    )


def _tag_spot(room: Room, start: Spot, end: Spot) -> tuple[Spot, float]:
    """Find where on a line its number stands free, as near to the vantage as may be."""
    length = max(hypot(end[0] - start[0], end[1] - start[1]), 0.1)
    tried = []
    for farther, along_mm in enumerate((7.0, 9.0, 11.0, 14.0, 17.0, 20.0, 24.0, 28.0, 33.0, 38.0)):
        if farther and along_mm > length - 5.0:
            break
        spot = _at(start, end, along_mm / length if along_mm < length - 5.0 else 0.5)
        # Away from the vantage only where it has to: the figures need the rest of the line.
        cost = room.cost(around(*spot, 1.9))
        tried.append((round(cost + 2.0 * farther, 2), round(cost, 2), spot))
    _, cost, spot = min(tried)
    return spot, cost


def _tag(drawing: Tree.Element, line: Drawn, spot: Spot) -> None:
    """The sightline's place in the order, in a circle on it."""
    x, y = spot
    draw(drawing, "circle", cx=x, cy=y, r=1.75, fill=PAPER, stroke=INK, stroke_width=0.3)
    size = 2.6 if line.rank < 10 else 2.1
    letter(
        drawing, str(line.rank), x, y + size * 0.36, size, text_anchor="middle", font_weight="700"
    ).set("stroke", "none")


def _figures(
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
            x, y = _at(start, end, (near + (far - near) * share) / length)
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
        if costs[place] > _TOO_CROWDED:
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


def _perch(drawing: Tree.Element, spot: Spot) -> None:
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


def _vantage(
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


def _middle_deg(usable: dict[str, float] | None) -> float:
    if usable is None:
        return 0.0
    return usable["from_deg"] + ((usable["to_deg"] - usable["from_deg"]) % 360.0) / 2.0


def _mark(drawing: Tree.Element, spot: Spot, mark: dict[str, Any], kind: str) -> None:
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


def _name(drawing: Tree.Element, room: Room, spot: Spot, name: str, *, bold: bool) -> None:
    """Letter a name beside its mark where it covers least."""
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
    if cost > _TOO_CROWDED and not bold:
        return  # a pin that no sightline here needs goes without its name
    tx, ty, anchor = spots[best]
    letter(
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


def _pointers(
    drawing: Tree.Element, frame: _Frame, room: Room, site_map: dict[str, Any], inside: set[str]
) -> None:
    """Point from the margin to parking and hazards that lie beyond the edge."""
    beyond = [
        (kind, mark)
        for kind in ("landmarks", "hazards")
        for mark in site_map[kind]
        if mark["id"] not in inside and (kind == "hazards" or mark["kind"] == "parking")
    ]
    for kind, mark in beyond[:3]:
        east, north = mark["east_m"] - frame.east, mark["north_m"] - frame.north
        away = hypot(east, north)
        reach = min(
            (frame.width / 2 - 5.0) / max(abs(east), 1e-6),
            (frame.height / 2 - 5.0) / max(abs(north), 1e-6),
        )
        x, y = frame.width / 2 + east * reach, frame.height / 2 - north * reach
        # Move along the edge away from the corner furniture and from what is drawn there.
        along_edge = [
            (min(max(x + dx, 5.0), frame.width - 5.0), min(max(y + dy, 5.0), frame.height - 5.0))
            for move in (0.0, 6.0, -6.0, 12.0, -12.0, 18.0, -18.0)
            for dx, dy in (((0.0, move),) if x > frame.width - 6 or x < 6 else ((move, 0.0),))
        ]
        best, _ = room.freest([around(px, py, 3.2) for px, py in along_edge])
        x, y = along_edge[best]
        room.take([around(x, y, 3.0)])
        _mark(drawing, (x, y), mark, kind)
        dx, dy = east / away, -north / away
        tip = (x + 4.4 * dx, y + 4.4 * dy)
        back = (x + 2.7 * dx, y + 2.7 * dy)
        draw(drawing, "path", d=path([back, tip]), stroke=INK, stroke_width=0.35)
        draw(
            drawing,
            "path",
            d=path(
                [
                    (tip[0] - 1.2 * dx + 0.7 * dy, tip[1] - 1.2 * dy - 0.7 * dx),
                    tip,
                    (tip[0] - 1.2 * dx - 0.7 * dy, tip[1] - 1.2 * dy + 0.7 * dx),
                ]
            ),
            fill="none",
            stroke=INK,
            stroke_width=0.35,
        )
        _name(drawing, room, (x, y), f"{mark['name']} {_rounded(away)} m", bold=False)


def _rounded(away_m: float) -> int:
    return round(away_m / 10) * 10 if away_m >= 100 else round(away_m)


def _north(drawing: Tree.Element, width: float) -> None:
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


def _scale_bar(drawing: Tree.Element, frame: _Frame, bar_m: float) -> None:
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
