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

from scout.terrain.first_light import FirstLight, levels_min
from scout.terrain.frame import Frame
from scout.terrain.patch import Floats, Patch
from scout.terrain.relief import LINE, contour_levels

LATE: Final = (44, 62, 120)
LIGHT_LINE: Final = (150, 40, 20)
_DARKEST: Final = 130  # of 255, over the relief
_LEAST_SPAN_MIN: Final = 4.0  # between the plainest and the darkest: a minute's shade stays faint
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


def lateness(minutes: Floats) -> tuple[np.ndarray, float, float]:
    """Give how late each pixel is lit, from 0 to 1, and the minutes of the first and the last.

    Those are without the outermost hundredths; what is unknown counts as last.
    """
    known = np.isfinite(minutes)
    early, last = (
        (float(one) for one in np.nanpercentile(minutes, (2.0, 98.0)))
        if known.any()
        else (0.0, 1.0)
    )
    span = max(last - early, _LEAST_SPAN_MIN)
    return np.clip((np.where(known, minutes, last) - early) / span, 0.0, 1.0), early, last


def shade_of(share: np.ndarray) -> np.ndarray:
    """Give the opacity of lateness from 0, the first to be lit, to 1, the last [0 to 255]."""
    return np.asarray((share * _DARKEST).astype(np.uint8))


def hatched(high: int, wide: int) -> np.ndarray:
    """Give which pixels of a picture a hatching strikes, from lower left to upper right."""
    return np.asarray(np.add.outer(np.arange(high), np.arange(wide)) % _HATCH < 2)


def height_legend(frame: Frame, patch: Patch) -> tuple[Row, ...]:
    """Say what the relief's lines are, where any runs through the frame."""
    heights = frame.laid(patch, patch.heights_m, smooth=True)
    levels, step = contour_levels(patch)
    seen = _within(heights, [level for level, _ in levels])
    if not seen:
        return ()
    written = next((f"{level:g}" for level, thick in levels if thick and level in seen), "")
    words = f"brown line: height of the ground above sea level, one every {step:g} m"
    return (Row(_line(written, LINE), words),)


def light_legend(frame: Frame, found: FirstLight) -> tuple[Row, ...]:
    """Say what the picture of first light shows within its frame, with its own minutes."""
    event = "after the level sunrise" if found.dawn else "before the level sunset"
    comes = "comes" if found.dawn else "goes"
    minutes = frame.laid(found.patch, found.minutes, smooth=False)
    rows = list(height_legend(frame, found.patch))
    if np.isfinite(minutes).any():
        _, early, last = lateness(minutes)
        darkest = min(1.0, (last - early) / _LEAST_SPAN_MIN)
        if round(early) == round(last):
            rows.append(
                Row(
                    _shade(0.0),
                    f"plain: direct light {comes} all over at about {early:.0f} min {event}",
                )
            )
        else:
            ends = ("first", "last") if found.dawn else ("last", "first")
            rows += [
                Row(_shade(0.0), f"plain: direct light {comes} {ends[0]}, {early:.0f} min {event}"),
                Row(_shade(darkest), f"dark: it {comes} {ends[1]}, {last:.0f} min {event} or more"),
            ]
        levels = _within(minutes, levels_min(found.minutes))
        if levels:
            rows.append(
                Row(
                    _line(f"{sign_of(found)}{levels[0]:.0f}", LIGHT_LINE),
                    f"red line: there it {comes} so many min {event}",
                )
            )
    if np.isnan(minutes).any():
        rows.append(Row(_hatching, "hatched: no direct light within four hours, or land unknown"))
    return tuple(rows)


def _within(values: Floats, levels: Sequence[float]) -> list[float]:
    """Answer the levels whose lines run through a picture."""
    if not np.isfinite(values).any():
        return []
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    return [one for one in levels if low < one < high]


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
