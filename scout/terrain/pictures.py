"""Pictures of what was found on the land: first light and places to sit, over the relief.

Not for: finding it (`first_light`, `finder`), or the relief by itself (`relief`).
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from scout.engine.geodesy import LocalPlane
from scout.terrain.finder import Found
from scout.terrain.first_light import FirstLight, levels_min
from scout.terrain.frame import Frame
from scout.terrain.legend import LATE, LIGHT_LINE, hatched, lateness, shade_of, sign_of
from scout.terrain.relief import contours, draw_lines, smoothed
from scout.terrain.spots import Spot

_GOOD: Final = ((252, 226, 120), (214, 96, 20))
_WORDS: Final = (20, 20, 20)


def png(picture: Image.Image) -> bytes:
    """Answer a picture as the bytes of a PNG, in few colours: it is to go to the phones."""
    held = io.BytesIO()
    few = picture.convert("RGB").quantize(128, dither=Image.Dither.NONE)
    few.save(held, "PNG", optimize=True)
    return held.getvalue()


def first_light_picture(base: Image.Image, frame: Frame, found: FirstLight) -> Image.Image:
    """Lay the minutes of first light over the relief: late ground dark, lines labelled.

    Where no direct light comes, or nothing is known, it is hatched: never by shade alone.
    The labels are minutes after the level sunrise ("+20"), at dusk before the level sunset ("-20").
    """
    minutes = frame.laid(found.patch, found.minutes, smooth=False)
    known = np.isfinite(minutes)
    late, _, _ = lateness(minutes)
    cover = np.zeros((frame.high, frame.wide, 4), dtype=np.uint8)
    cover[:, :, :3] = LATE
    cover[:, :, 3] = np.where(known, shade_of(late), hatched(frame.high, frame.wide) * 200)
    picture = Image.alpha_composite(base.convert("RGBA"), Image.fromarray(cover, "RGBA"))
    drawing = ImageDraw.Draw(picture)
    levels = levels_min(found.minutes)
    sign = sign_of(found)
    never = float(np.nanmax(found.minutes)) + 60.0 if np.isfinite(found.minutes).any() else 0.0
    filled = np.where(np.isfinite(found.minutes), found.minutes, np.float32(never))
    calm = smoothed(smoothed(filled.astype(np.float32)))
    for level, lines in contours(calm, [float(one) for one in levels]):
        draw_lines(
            drawing,
            frame,
            found.patch,
            lines,
            colour=LIGHT_LINE,
            width=2,
            label=f"{sign}{level:.0f}",
            size=16.0,
        )
    return picture.convert("RGB")


def finder_picture(
    base: Image.Image, frame: Frame, found: Sequence[Found], spots: Sequence[Spot]
) -> Image.Image:
    """Lay good minutes over the relief, the stronger the more, and number the best places."""
    most = max((int(one.good_min.max()) for one in found), default=0)
    best = np.zeros((frame.high, frame.wide), dtype=np.float32)
    for one in found:
        laid = frame.laid(one.patch, one.good_min.astype(np.float32), smooth=False)
        best = np.fmax(best, np.nan_to_num(laid))
    share = best / max(most, 1)
    cover = np.zeros((frame.high, frame.wide, 4), dtype=np.uint8)
    for channel in range(3):
        low, high = (tone[channel] for tone in _GOOD)
        cover[:, :, channel] = (low + (high - low) * share).astype(np.uint8)
    cover[:, :, 3] = np.where(best > 0, 190, 0)
    picture = Image.alpha_composite(base.convert("RGBA"), Image.fromarray(cover, "RGBA"))
    drawing = ImageDraw.Draw(picture)
    for one in found:
        _perch(drawing, frame, one)
    for number, spot in enumerate(spots, 1):
        _numbered(drawing, frame, spot, number)
    return picture.convert("RGB")


def _perch(drawing: ImageDraw.ImageDraw, frame: Frame, one: Found) -> None:
    x, y = (float(axis[0]) for axis in frame.spots([one.target.lat_deg], [one.target.lon_deg]))
    drawing.ellipse((x - 7, y - 7, x + 7, y + 7), outline=_WORDS, width=3)
    plane = LocalPlane(one.target.lat_deg, one.target.lon_deg)
    turn = np.radians(np.arange(0.0, 361.0, 5.0))
    ring = [
        plane.to_globe(one.wanted.nearest_m * math.sin(t), one.wanted.nearest_m * math.cos(t))
        for t in turn.tolist()
    ]
    lats, lons = zip(*ring, strict=True)
    columns, rows = frame.spots(lats, lons)
    spots = list(zip(columns.tolist(), rows.tolist(), strict=True))
    for start in range(0, len(spots) - 1, 2):  # broken: a limit, and no line on the land
        drawing.line(spots[start : start + 2], fill=_WORDS, width=2)


def _numbered(drawing: ImageDraw.ImageDraw, frame: Frame, spot: Spot, number: int) -> None:
    x, y = (float(axis[0]) for axis in frame.spots([spot.lat_deg], [spot.lon_deg]))
    drawing.ellipse((x - 11, y - 11, x + 11, y + 11), fill=(255, 255, 255), outline=_WORDS, width=2)
    drawing.text((x, y), str(number), fill=_WORDS, font=ImageFont.load_default(15.0), anchor="mm")
