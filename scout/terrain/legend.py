"""What a picture of first light means, drawn under it: shades, a hatching and a line, in words.

For the picture that leaves as a file; the one that lies on the map has its edges on the land's. Not
for: the picture itself (`pictures`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

import attrs
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from scout.terrain.first_light import FirstLight
from scout.terrain.relief import LINE

LATE: Final = (44, 62, 120)
LIGHT_LINE: Final = (150, 40, 20)
_DARKEST: Final = 130  # of 255, over the relief
_HATCH: Final = 10  # pixels from stroke to stroke
_INK: Final = (20, 20, 20)
_PAPER: Final = (255, 255, 255)
_GROUND: Final = (225, 225, 225)  # the relief's usual grey
_ROW, _SWATCH, _EDGE = 30, 46, 12

Box = tuple[int, int, int, int]


@attrs.frozen
class Row:
    """One line of a legend: how its sample is drawn, and its words."""

    draw: Callable[[Image.Image, Box], None]
    words: str


def shade_of(share: np.ndarray) -> np.ndarray:
    """Give the opacity of lateness from 0, the first to be lit, to 1, the last [0 to 255]."""
    return np.asarray((share * _DARKEST).astype(np.uint8))


def hatched(high: int, wide: int) -> np.ndarray:
    """Give which pixels of a picture a hatching strikes, from lower left to upper right."""
    return np.asarray(np.add.outer(np.arange(high), np.arange(wide)) % _HATCH < 2)


def light_legend(found: FirstLight) -> tuple[Row, ...]:
    """Say what the picture of first light is made of, with its own minutes."""
    event = "after the level sunrise" if found.dawn else "before the level sunset"
    comes = "comes" if found.dawn else "goes"
    rows = [Row(_line("30", LINE), "thin line: height of the ground above sea level, in metres")]
    if np.isfinite(found.minutes).any():
        early, last = (float(one) for one in np.nanpercentile(found.minutes, (2.0, 98.0)))
        ends = ("first", "last") if found.dawn else ("last", "first")
        rows += [
            Row(_shade(0.0), f"plain: direct light {comes} {ends[0]}, {early:.0f} min {event}"),
            Row(_shade(1.0), f"dark: it {comes} {ends[1]}, {last:.0f} min {event} or more"),
            Row(
                _line(f"{sign_of(found)}20", LIGHT_LINE),
                f"thick line: there it {comes} so many min {event}",
            ),
        ]
    if np.isnan(found.minutes).any():
        rows.append(Row(_hatching, "hatched: no direct light within four hours, or land unknown"))
    return tuple(rows)


def sign_of(found: FirstLight) -> str:
    """Give the sign before minutes; the letters that a picture has know no longer minus."""
    return "+" if found.dawn else "-"


def with_legend(picture: Image.Image, title: str, rows: Sequence[Row]) -> Image.Image:
    """Answer a picture with its title and legend on a strip under it."""
    font = ImageFont.load_default(16.0)
    wide = max(
        picture.width,
        *(round(font.getlength(one.words)) + _SWATCH + 3 * _EDGE for one in rows),
        round(font.getlength(title)) + 2 * _EDGE,
    )
    whole = Image.new("RGB", (wide, picture.height + (len(rows) + 1) * _ROW + 2 * _EDGE), _PAPER)
    whole.paste(picture, ((wide - picture.width) // 2, 0))
    drawing = ImageDraw.Draw(whole)
    top = picture.height + _EDGE
    drawing.text((_EDGE, top + _ROW // 2), title, fill=_INK, font=font, anchor="lm")
    for number, row in enumerate(rows, 1):
        y = top + number * _ROW
        row.draw(whole, (_EDGE, y + 3, _EDGE + _SWATCH, y + _ROW - 3))
        drawing.rectangle((_EDGE, y + 3, _EDGE + _SWATCH, y + _ROW - 3), outline=_INK)
        drawing.text(
            (2 * _EDGE + _SWATCH, y + _ROW // 2), row.words, fill=_INK, font=font, anchor="lm"
        )
    return whole


def _shade(share: float) -> Callable[[Image.Image, Box], None]:
    part = float(shade_of(np.array(share))) / 255.0
    tone = tuple(
        round(ground + (late - ground) * part) for ground, late in zip(_GROUND, LATE, strict=True)
    )

    def draw(whole: Image.Image, box: Box) -> None:
        ImageDraw.Draw(whole).rectangle(box, fill=tone)

    return draw


def _hatching(whole: Image.Image, box: Box) -> None:
    left, top, right, bottom = box
    struck = Image.fromarray((hatched(bottom - top, right - left) * 255).astype(np.uint8))
    ImageDraw.Draw(whole).rectangle(box, fill=_GROUND)
    whole.paste(LATE, (left, top), struck)


def _line(words: str, colour: tuple[int, ...]) -> Callable[[Image.Image, Box], None]:
    def draw(whole: Image.Image, box: Box) -> None:
        left, top, right, bottom = box
        drawing, middle = ImageDraw.Draw(whole), (top + bottom) // 2
        drawing.rectangle(box, fill=_GROUND)
        drawing.line((left, middle, right, middle), fill=colour, width=2)
        drawing.text(
            ((left + right) / 2, middle), words, fill=colour, anchor="mm", stroke_width=2,
            stroke_fill=_PAPER, font=ImageFont.load_default(14.0),
        )  # fmt: skip

    return draw
