"""The relief: the land lit from the north-west, with contour lines, as a picture.

Light grey, so that marks and lines stand out on it, on paper as well. Not for: what is laid over it
(`pictures`).
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
import numpy.typing as npt
from contourpy import LineType, contour_generator
from PIL import Image, ImageDraw, ImageFont

from scout.terrain.frame import Frame
from scout.terrain.patch import Doubles, Floats, Patch

LIGHT_FROM_DEG: Final = 315.0  # maps are lit from the north-west: common practice
LIGHT_UP_DEG: Final = 45.0
_DARKEST, _LIGHTEST = 120.0, 250.0
_CONTOURS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
_LINES_WANTED = 14
_THICK_EVERY = 5
LINE: Final = (120, 84, 48)
_PAPER: Final = (238, 238, 236)

Line = tuple[float, list[npt.NDArray[Any]]]


def hillshade(
    heights: Floats,
    cell_m: float,
    azimuth_deg: float = LIGHT_FROM_DEG,
    altitude_deg: float = LIGHT_UP_DEG,
    exaggerated: float = 1.0,
) -> Floats:
    """Give how brightly each cell is lit, 0 to 1. Source: Horn (1981), the usual hill shading.

    The gradient is taken over the eight neighbours; the outermost cells are NaN.
    """
    z = heights.astype(np.float64) * exaggerated
    shade = np.full(heights.shape, np.nan)
    a, b, c = z[:-2, :-2], z[:-2, 1:-1], z[:-2, 2:]
    d, f = z[1:-1, :-2], z[1:-1, 2:]
    g, h, i = z[2:, :-2], z[2:, 1:-1], z[2:, 2:]
    east = ((c + 2 * f + i) - (a + 2 * d + g)) / (8.0 * cell_m)
    south = ((g + 2 * h + i) - (a + 2 * b + c)) / (8.0 * cell_m)
    turn, up = math.radians(azimuth_deg), math.radians(altitude_deg)
    # The land's normal against the direction of the light.
    lit = math.sin(up) + math.cos(up) * (south * math.cos(turn) - east * math.sin(turn))
    shade[1:-1, 1:-1] = lit / np.sqrt(1.0 + east**2 + south**2)
    found: Floats = np.clip(shade, 0.0, 1.0).astype(np.float32)
    return found


def contours(values: Floats, levels: list[float]) -> list[Line]:
    """Trace lines of equal value: for each level its lines, as columns and rows of the grid."""
    if min(values.shape) < 2:
        return []
    masked = np.ma.masked_invalid(values.astype(np.float64))
    tracer = contour_generator(z=masked, line_type=LineType.Separate)
    traced: list[Line] = []
    for level in levels:
        lines: Any = tracer.lines(level)
        traced.append((level, list(lines)))
    return traced


def contour_step_m(low_m: float, high_m: float) -> float:
    """Choose the height between two contour lines [m]."""
    span = max(high_m - low_m, 0.1)
    return next((one for one in _CONTOURS if span / one <= _LINES_WANTED), 200.0)


def contour_levels(patch: Patch) -> tuple[list[tuple[float, bool]], float]:
    """Choose a patch's contour lines: heights [m], whether drawn thick with its height; the step.

    Empty where nothing is known.
    """
    known = patch.heights_m[np.isfinite(patch.heights_m)]
    low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 1.0)
    step = contour_step_m(low, high)
    counts = range(math.ceil(low / step), math.floor(high / step) + 1) if known.size else range(0)
    return [(round(one * step, 3), one % _THICK_EVERY == 0) for one in counts], step


def relief_picture(frame: Frame, patch: Patch) -> Image.Image:
    """Draw the relief of a patch on a frame: shading, contours, heights written on every fifth."""
    known = patch.heights_m[np.isfinite(patch.heights_m)]
    # Flat country would show nothing: it is lifted until its slopes tell.
    slopes = np.abs(np.gradient(patch.heights_m, patch.cell_m)[0])
    steep = float(np.nanpercentile(slopes, 95.0)) if known.size else 1.0
    lifted = min(6.0, max(1.0, 0.25 / max(steep, 1e-3)))
    shade = frame.laid(
        patch, hillshade(patch.heights_m, patch.cell_m, exaggerated=lifted), smooth=True
    )
    flat = math.sin(math.radians(LIGHT_UP_DEG))
    grey = _DARKEST + (_LIGHTEST - _DARKEST) * np.clip(shade / (1.25 * flat), 0.0, 1.0)
    rgb = np.repeat(np.where(np.isfinite(grey), grey, np.nan)[:, :, None], 3, axis=2)
    rgb = np.where(np.isfinite(rgb), rgb, np.array(_PAPER, dtype=np.float32))
    picture = Image.fromarray(rgb.astype(np.uint8), "RGB")
    levels = dict(contour_levels(patch)[0])
    drawing = ImageDraw.Draw(picture)
    for level, lines in contours(smoothed(patch.heights_m), list(levels)):
        thick = levels[level]
        draw_lines(
            drawing,
            frame,
            patch,
            lines,
            colour=LINE,
            width=2 if thick else 1,
            label=f"{level:g}" if thick else None,
        )
    return picture


def draw_lines(
    drawing: ImageDraw.ImageDraw,
    frame: Frame,
    patch: Patch,
    lines: list[npt.NDArray[Any]],
    *,
    colour: tuple[int, ...],
    width: int,
    label: str | None = None,
    size: float = 13.0,
    halo: tuple[int, ...] = (255, 255, 255),
) -> None:
    """Draw traced lines on a frame; a label stands once on the longest of them."""
    placed: list[tuple[float, Doubles, Doubles]] = []
    middle = (patch.size - 1) / 2.0
    for line in lines:
        east, north = (line[:, 0] - middle) * patch.cell_m, (middle - line[:, 1]) * patch.cell_m
        x, y = frame.of_patch(patch, east, north)
        drawing.line(list(zip(x.tolist(), y.tolist(), strict=True)), fill=colour, width=width)
        inside = (x > 30) & (x < frame.wide - 30) & (y > 15) & (y < frame.high - 15)
        placed.append((float(inside.sum()), x[inside], y[inside]))
    if label is None or not placed:
        return
    count, x, y = max(placed, key=lambda one: one[0])
    if count < 12:
        return
    spot = int(count // 2)
    drawing.text(
        (float(x[spot]), float(y[spot])),
        label,
        fill=colour,
        font=ImageFont.load_default(size),
        anchor="mm",
        stroke_width=3,
        stroke_fill=halo,
    )


def smoothed(heights: Floats) -> Floats:
    """Take the finest wrinkles out, which would make contour lines jagged."""
    padded = np.pad(heights, 1, mode="edge")
    total = np.zeros(heights.shape, dtype=np.float32)
    for down in range(3):
        for over in range(3):
            total += padded[down : down + heights.shape[0], over : over + heights.shape[1]]
    found: Floats = total / np.float32(9.0)
    return found
