"""Strips of light: one session along one sightline, in the four marks of light, drawn in ink.

Empty is too dark, stippled is sky light, hatched is sun without the shutter, solid is good. A notch
stands where the sun clears the skyline, under the bracket of its ±. Not for: what was computed
(`stretches`), or the map (`sketch`).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any
from xml.etree import ElementTree as Tree
from zoneinfo import ZoneInfo

import attrs

from scout.server.ink import INK, PAPER, draw, letter, path, sheet
from scout.server.stretches import cases_of, moment, runs

FILLS = {"dark": PAPER, "sky light": "url(#stipple)", "sun": "url(#hatch)", "good": INK}
_LETTERS_MM = 2.5
_HEADROOM_MM = 2.6
_TICKS_MM = 1.1
MARKS_MM = 3.4  # of the row of visits under a strip


@attrs.frozen
class Span:
    """The time a strip covers [aware UTC] and where its ends lie [mm]."""

    start: datetime
    end: datetime
    left_mm: float
    right_mm: float

    def x(self, at: datetime) -> float:
        """Where a moment lies [mm]."""
        share = (at - self.start) / (self.end - self.start)
        return self.left_mm + share * (self.right_mm - self.left_mm)


def full_strip(
    line: dict[str, Any],
    skies: Sequence[str],
    ends: tuple[datetime, datetime],
    zone: ZoneInfo,
    width_mm: float,
) -> Tree.Element:
    """Draw a sightline's strips, one a sky, with the hours beneath and the good minutes beside.

    Under them, apart from the light, one mark a watched morning in order of sun time: filled where
    the animal was seen, open where somebody watched and nothing came.
    """
    row, between = (3.2, 0.8) if len(skies) > 1 else (5.6, 0.0)
    marks = MARKS_MM if line["marks"] else 0.0
    height = _HEADROOM_MM + len(skies) * (row + between) - between + _TICKS_MM + 3.1 + marks
    drawing = sheet(width_mm, height, f"Light on {line['name']}")
    span = Span(*ends, 15.5, width_mm - 12.0)
    top = _HEADROOM_MM
    for sky in skies:
        _cells(drawing, line, sky, span, top, row)
        letter(drawing, sky, 0.0, top + row / 2 + 0.9, _LETTERS_MM)
        _minutes(drawing, line, sky, span, top + row / 2)
        top += row + between
    _hours(drawing, span, zone, top - between, named=True)
    _notch(drawing, line, span, _HEADROOM_MM)
    if line["marks"]:
        _visits(drawing, line["marks"], span, height - MARKS_MM / 2)
    return drawing


def short_strip(
    line: dict[str, Any],
    sky: str,
    ends: tuple[datetime, datetime],
    zone: ZoneInfo,
    width_mm: float,
) -> Tree.Element:
    """Draw one sightline's strip under one sky, with ticks only."""
    row, top = 2.9, 2.2
    drawing = sheet(width_mm, top + row + _TICKS_MM, f"Light on {line['name']}")
    span = Span(*ends, 0.3, width_mm - 12.0)
    _cells(drawing, line, sky, span, top, row)
    _minutes(drawing, line, sky, span, top + row / 2)
    _hours(drawing, span, zone, top + row, named=False)
    _notch(drawing, line, span, top)
    return drawing


def sample(state: str) -> Tree.Element:
    """Draw one cell for the legend."""
    drawing = sheet(9.0, 3.6, state)
    _cell(drawing, state, 0.2, 0.2, 8.6, 3.2)
    return drawing


def notch_sample() -> Tree.Element:
    """Draw the notch and its bracket for the legend."""
    drawing = sheet(9.0, 5.2, "sun clears the skyline")
    _cell(drawing, "good", 0.2, 2.4, 8.6, 2.6)
    _notch_at(drawing, 4.5, 1.5, 7.5, 2.4)
    return drawing


def patterns() -> Tree.Element:
    """Draw the stipple and the hatch once for a page."""
    drawing = Tree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": "0",
            "height": "0",
            "style": "position:absolute",
            "aria-hidden": "true",
        },
    )
    defs = draw(drawing, "defs")
    stipple = draw(
        defs, "pattern", id="stipple", width=1.1, height=1.1, patternUnits="userSpaceOnUse"
    )
    draw(stipple, "circle", cx=0.3, cy=0.3, r=0.16, fill=INK)
    draw(stipple, "circle", cx=0.85, cy=0.85, r=0.16, fill=INK)
    hatch = draw(
        defs,
        "pattern",
        id="hatch",
        width=1.0,
        height=1.0,
        patternUnits="userSpaceOnUse",
        patternTransform="rotate(45)",
    )
    draw(hatch, "rect", x=0.0, y=0.0, width=0.4, height=1.0, fill=INK)
    return drawing


def _minutes(
    drawing: Tree.Element, line: dict[str, Any], sky: str, span: Span, middle: float
) -> None:
    minutes = line["good_min"].get(sky, 0)
    words = f"{minutes} min" if minutes else "none"
    letter(drawing, words, span.right_mm + 1.2, middle + 0.9, _LETTERS_MM, font_weight="700")


def _visits(drawing: Tree.Element, marks: Sequence[bool], span: Span, middle: float) -> None:
    step = min(2.1, (span.right_mm - span.left_mm) / len(marks))
    radius = 0.38 * step
    row = draw(drawing, "g", class_="visits")
    for place, seen in enumerate(marks):
        draw(
            row,
            "circle",
            cx=span.left_mm + (place + 0.5) * step,
            cy=middle,
            r=radius,
            fill=INK if seen else PAPER,
            stroke=INK,
            stroke_width=0.25 * min(1.0, step),
        )
    letter(drawing, "came on", 0.0, middle + 0.9, _LETTERS_MM)
    words = f"{marks.count(True)} of {len(marks)}"
    letter(drawing, words, span.right_mm + 1.2, middle + 0.9, _LETTERS_MM, font_weight="700")


def _cells(
    drawing: Tree.Element, line: dict[str, Any], sky: str, span: Span, top: float, height: float
) -> None:
    cases = cases_of(sky)
    part = height / len(cases)
    for place, case in enumerate(cases):
        group = draw(drawing, "g", data_case=case)
        for start, end, state in runs(line["stretches"].get(case, ())):
            left, right = span.x(start), span.x(end)
            cell = _cell(group, state, left, top + place * part, right - left, part)
            cell.set("data-state", state)
    draw(
        drawing,
        "rect",
        x=span.left_mm,
        y=top,
        width=span.right_mm - span.left_mm,
        height=height,
        fill="none",
        stroke=INK,
        stroke_width=0.25,
    )
    if len(cases) > 1:
        y = top + part
        middle = draw(drawing, "path", d=path([(span.left_mm, y), (span.right_mm, y)]))
        # Ink over paper, so that the halves part within black and within white.
        middle.set("stroke", PAPER)
        middle.set("stroke-width", "0.3")
        draw(
            drawing,
            "path",
            d=path([(span.left_mm, y), (span.right_mm, y)]),
            stroke=INK,
            stroke_width=0.12,
        )


def _cell(
    on: Tree.Element, state: str, x: float, y: float, width: float, height: float
) -> Tree.Element:
    cell = draw(on, "rect", x=x, y=y, width=width, height=height, fill=FILLS[state])
    if on.tag == "svg":
        cell.set("stroke", INK)
        cell.set("stroke-width", "0.25")
    return cell


def _hours(drawing: Tree.Element, span: Span, zone: ZoneInfo, top: float, *, named: bool) -> None:
    at = span.start.replace(second=0, microsecond=0)
    last = -9.0
    while at <= span.end:
        local = at.astimezone(zone)
        if local.minute % 30 == 0 and at >= span.start:
            x, whole = span.x(at), local.minute == 0
            deep = _TICKS_MM if whole else _TICKS_MM * 0.55
            draw(
                drawing,
                "path",
                d=path([(x, top), (x, top + deep)]),
                stroke=INK,
                stroke_width=0.3 if whole else 0.2,
            )
            if named and whole and x - last > 8.0 and x < span.right_mm + 2.0:
                letter(
                    drawing,
                    f"{local:%H:%M}",
                    x,
                    top + _TICKS_MM + 2.4,
                    _LETTERS_MM,
                    text_anchor="middle",
                )
                last = x
        at += timedelta(minutes=1)


def _notch(drawing: Tree.Element, line: dict[str, Any], span: Span, top: float) -> None:
    clears = line["clears"]
    if clears is None:
        return
    at = moment(clears["at"])
    if not span.start <= at <= span.end:
        return
    spread = timedelta(minutes=clears["plus_minus_min"] or 0)
    left = span.x(max(span.start, at - spread))
    right = span.x(min(span.end, at + spread))
    known = clears["plus_minus_min"] is not None
    _notch_at(drawing, span.x(at), left if known else None, right, top)


def _notch_at(
    drawing: Tree.Element, x: float, left: float | None, right: float, top: float
) -> None:
    draw(
        drawing,
        "path",
        d=path([(x - 1.1, top - 0.9), (x, top + 1.5), (x + 1.1, top - 0.9)], closed=True),
        fill=PAPER,
        stroke=INK,
        stroke_width=0.3,
        class_="notch",
    )
    if left is not None:
        y = top - 1.5
        draw(
            drawing,
            "path",
            d=path([(left, y + 0.9), (left, y), (right, y), (right, y + 0.9)]),
            fill="none",
            stroke=INK,
            stroke_width=0.3,
            class_="bracket",
        )
