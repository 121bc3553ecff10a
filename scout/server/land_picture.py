"""A picture of the land as a file of its own: pins by name, a scale, north, and its legend.

Not for: what is on the picture (`scout.terrain.pictures`), or the page for printing (`land_sheet`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from PIL import Image, ImageDraw, ImageFont

from scout.engine.site_map import scale_bar_m
from scout.server.land_layers import LayerKept, Records
from scout.server.room import Box, Room, around
from scout.terrain.frame import Frame
from scout.terrain.legend import with_legend

_INK: Final = (20, 20, 20)
_PAPER: Final = (255, 255, 255)
_HALF: Final = 6  # of a pin's mark [px]
_FOOT: Final = 40


def pins_shown(records: Records, site: Any) -> list[Any]:
    """Answer the pins of a site that a picture may name; of a sensitive site none."""
    if site.sensitivity not in (None, "open"):
        return []
    return [
        one
        for kind in ("perch", "vantage", "landmark")
        for one in records.get(kind, {}).values()
        if one.site == site.id and getattr(one, "sensitivity", None) in (None, "open")
    ]


def as_file(picture: Image.Image, kept: LayerKept, pins: Sequence[Any]) -> Image.Image:
    """Answer the bare picture of a layer with all that it needs where no map lies round it."""
    whole = Image.new("RGB", (picture.width, picture.height + _FOOT), _PAPER)
    whole.paste(picture, (0, 0))
    drawing = ImageDraw.Draw(whole)
    _named(drawing, kept.frame, pins)
    _scale_and_north(drawing, kept.frame)
    if pins:
        font, middle = ImageFont.load_default(15.0), (picture.width / 2, picture.height + 24)
        words = "round: perch · square: vantage, landmark"
        drawing.text(middle, words, fill=_INK, font=font, anchor="mm")
    return with_legend(whole, kept.title, kept.legend)


def _named(drawing: ImageDraw.ImageDraw, frame: Frame, pins: Sequence[Any]) -> None:
    """Mark the pins, a perch round and what else there is square, each with its name beside it."""
    font = ImageFont.load_default(15.0)
    columns, rows = frame.spots(
        [one.position.lat for one in pins], [one.position.lon for one in pins]
    )
    placed = [
        (x, y, pin)
        for x, y, pin in zip(columns.tolist(), rows.tolist(), pins, strict=True)
        if 0.0 <= x <= frame.wide and 0.0 <= y <= frame.high
    ]
    room = Room(Box(0, 0, frame.wide, frame.high))
    room.take(around(x, y, _HALF + 2) for x, y, _ in placed)
    for x, y, pin in placed:
        mark = drawing.ellipse if hasattr(pin, "height_m") else drawing.rectangle
        mark((x - _HALF, y - _HALF, x + _HALF, y + _HALF), fill=_PAPER, outline=_INK, width=3)
    for x, y, pin in placed:
        wide, aside = font.getlength(pin.name) + 4, _HALF + 4
        boxes = [
            Box(left, y + down - 9, left + wide, y + down + 9)
            for down in (0, -18, 18)
            for left in (x + aside, x - aside - wide, x - wide / 2)
            if down or left != x - wide / 2  # a name beneath its own mark is no name
        ]
        chosen = boxes[room.freest(boxes)[0]]
        room.take([chosen])
        drawing.text(
            (chosen.left + 2, (chosen.top + chosen.bottom) / 2), pin.name, fill=_INK, font=font,
            anchor="lm", stroke_width=3, stroke_fill=_PAPER,
        )  # fmt: skip


def _scale_and_north(drawing: ImageDraw.ImageDraw, frame: Frame) -> None:
    font = ImageFont.load_default(16.0)
    bar_m = scale_bar_m(frame.wide / frame.metre_px)
    left, end = 12.0, 12.0 + bar_m * frame.metre_px
    top, foot = frame.high + 12, frame.high + 28
    drawing.line(((left, top), (left, foot), (end, foot), (end, top)), fill=_INK, width=3)
    drawing.text((end + 10, foot - 6), f"{bar_m:g} m", fill=_INK, font=font, anchor="lm")
    x = frame.wide - 20
    drawing.line(((x, frame.high + 34), (x, frame.high + 6)), fill=_INK, width=3)
    drawing.line(((x - 7, frame.high + 15), (x, frame.high + 6), (x + 7, frame.high + 15)),
                 fill=_INK, width=3)  # fmt: skip
    drawing.text((x - 16, frame.high + 20), "N", fill=_INK, font=font, anchor="rm")
