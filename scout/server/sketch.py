"""The small map of a site: pins, sightlines and their figures, drawn like a sketch in a field book.

A pin that is not sure stands in a ring of that radius; figures stand on the sightline itself. Not
for: its frame (`sketch_frame`), the marks (`marks`), or maps to find the way by.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, radians, sin
from typing import Any
from xml.etree import ElementTree as Tree

import attrs

from scout.engine.site_map import scale_bar_m
from scout.server.clipped import clipped
from scout.server.ink import INK, draw, path, sheet
from scout.server.land_under import lay_under
from scout.server.lettering import (
    TOO_CROWDED,
    at_share,
    letter_figures,
    letter_name,
    letter_number,
    number_spot,
)
from scout.server.marks import land_mark, middle_deg, north_arrow, perch_mark, vantage_mark
from scout.server.room import Box, Room, along, around
from scout.server.sketch_frame import Frame, Spot, framed, grid, scale_bar

_STROKES: dict[str, dict[str, float | str | None]] = {
    "dark": {"stroke_width": 0.45, "stroke_dasharray": "0.1 1.9", "stroke_linecap": "round"},
    "sky light": {"stroke_width": 0.4, "stroke_dasharray": "2.2 1.2"},
    "sun": {"stroke_width": 0.3},
    "good": {"stroke_width": 0.95},
}
_FRAMED = 4  # the sketch is framed around so many sightlines


@attrs.frozen
class Drawn:
    """A sightline to be drawn: its id, place in the order, state at the moment shown.

    `worth` tells whether it has a good minute at all: the sketch is framed around those.
    """

    id: str
    rank: int
    state: str
    worth: bool


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
    frame = framed([pins[pin] for pin in ends] or list(pins.values()), width_mm, height_mm)
    drawn = [
        line
        for line in drawn
        if all(frame.holds(spot) for spot in _ends(frame, pins, known[line.id]))
    ]
    ends = [known[line.id][end] for line in drawn for end in ("vantage", "perch")]
    room = Room(Box(0.8, 0.8, width_mm - 0.8, height_mm - 0.8))
    bar_m = scale_bar_m(width_mm / frame.scale)
    if (under := site_map.get("relief")) is not None:
        lay_under(drawing, under, frame.spot, width_mm, height_mm)
    grid(drawing, frame, bar_m)
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
        spot, cost = number_spot(room, start, end)
        if cost > TOO_CROWDED and line.rank > _FRAMED:
            continue  # where many lines cross, those further down are left to the notebook
        room.take([around(*spot, 1.9)])
        room.take(along(start, end, 0.6), soft=True)
        tags.append((line, spot))
    drawn = [line for line, _ in tags]
    for line in reversed(drawn):
        _stroke(drawing, line, *_ends(frame, pins, known[line.id]))
    for line, spot in tags:
        letter_number(drawing, line.rank, spot)
    for line in drawn:
        letter_figures(
            drawing, room, known[line.id]["figures"], *_ends(frame, pins, known[line.id])
        )
    busy = {known[line.id]["vantage"]: line for line in reversed(drawn)}
    for pin in shown:
        spot = frame.spot(pin)
        if "usable" in pin:
            first = busy.get(pin["id"])
            toward = known[first.id]["bearing_deg"] if first else middle_deg(pin["usable"])
            vantage_mark(drawing, spot, pin, toward)
        else:
            perch_mark(drawing, spot)
    for kind, mark in marks:
        land_mark(drawing, frame.spot(mark), mark, kind)
    first = min((line for line in lines if line.id in known), key=_by_rank, default=None)
    _pointers(
        drawing,
        frame,
        room,
        site_map,
        {mark["id"] for _, mark in marks},
        None if first is None else pins[known[first.id]["vantage"]],
    )
    wanted = set(ends)
    for pin in sorted(shown, key=lambda pin: pin["id"] not in wanted):
        letter_name(drawing, room, frame.spot(pin), pin["name"], bold=pin["id"] in wanted)
    for _, mark in marks:
        letter_name(drawing, room, frame.spot(mark), mark["name"], bold=False)
    for pin in shown:
        if pin.get("came") and pin["id"] in wanted:
            count = f"{pin['came']['k']} of {pin['came']['n']}"
            lettered = letter_name(drawing, room, frame.spot(pin), count, bold=False)
            if lettered is not None:
                lettered.set("data-came", count)
    north_arrow(drawing, width_mm)
    scale_bar(drawing, frame, bar_m)
    return drawing


def _by_rank(line: Drawn) -> int:
    return line.rank


def _ends(frame: Frame, pins: dict[str, Any], line: dict[str, Any]) -> tuple[Spot, Spot]:
    return frame.spot(pins[line["vantage"]]), frame.spot(pins[line["perch"]])


def _ring(drawing: Tree.Element, frame: Frame, room: Room, pin: dict[str, Any]) -> None:
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
        start, end = at_share(start, end, 2.4 / length), at_share(start, end, 1.0 - 2.2 / length)
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


def _pointers(
    drawing: Tree.Element,
    frame: Frame,
    room: Room,
    site_map: dict[str, Any],
    inside: set[str],
    stand: dict[str, Any] | None,
) -> None:
    """Point from the margin to parking and hazards that lie beyond the edge.

    Their distances are from where a person will stand, as in the cautions; the drawing says whence.
    """
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
        land_mark(drawing, (x, y), mark, kind)
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
        name = mark["name"]
        if stand is not None:
            drawing.set("data-from", clipped(stand["name"], 16))
            far = hypot(mark["east_m"] - stand["east_m"], mark["north_m"] - stand["north_m"])
            name = f"{name} {_rounded(far) if kind == 'landmarks' else round(far)} m"
        letter_name(drawing, room, (x, y), name, bold=False)


def _rounded(away_m: float) -> int:
    return round(away_m / 10) * 10 if away_m >= 100 else round(away_m)
