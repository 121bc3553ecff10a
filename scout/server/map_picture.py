"""A base map that the user supplies as one picture (PNG or JPEG), laid on the land by a small file.

Beside `hill.png` lies `hill.json` with `south_deg`, `west_deg`, `north_deg`, `east_deg`, or a
world file (`hill.pgw`, `hill.jgw`, `hill.wld`) with its six lines in degrees. Tiles are cut from it
as they are asked for. Not for: HTTP (`maps`), map projections other than plain degrees.
"""

from __future__ import annotations

import io
import json
import math
import warnings
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import Any, Final

import attrs
from PIL import Image

from scout.server.map_sheet import MOST_LAT_DEG, MOST_ZOOM, Bounds, Sheet, Unusable

TILE_PX: Final = 256
LARGEST_MPX: Final = 60
_FORMATS: Final = ("PNG", "JPEG")
_WORLD_ENDINGS: Final = (".pgw", ".pngw", ".jgw", ".jpgw", ".jpegw", ".wld")
_EDGES: Final = ("south_deg", "west_deg", "north_deg", "east_deg")
_LARGEST_TEXT_BYTES: Final = 10_000
_METRE: Final = (
    "The world file of this picture is not in degrees; save the picture in plain degrees (WGS 84),"
    " or write its edges into a .json file beside it."
)
_NO_PLACE: Final = (
    "Nothing says where this picture lies: put a .json file beside it with south_deg, west_deg,"
    " north_deg and east_deg, or a world file in degrees."
)
_UNREADABLE: Final = "This picture cannot be read as PNG or JPEG; copy it here again."
_TOO_LARGE: Final = (
    f"This picture has more than {LARGEST_MPX} million pixels; cut it smaller, or supply MBTiles."
)
_one_at_a_time = Lock()


@attrs.frozen
class Affine:
    """From pixels to degrees: lon = a·x + b·y + c, lat = d·x + e·y + f; x, y from the corner."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def pixel(self, lon_deg: float, lat_deg: float) -> tuple[float, float]:
        """Give the pixel of a place."""
        spread = self.a * self.e - self.b * self.d
        lon, lat = lon_deg - self.c, lat_deg - self.f
        return (self.e * lon - self.b * lat) / spread, (self.a * lat - self.d * lon) / spread


@attrs.frozen
class Picture:
    """A picture of the land."""

    path: Path

    def sheet(self, name: str) -> Sheet:
        """Read where it lies and how fine it is; raises Unusable with a sentence."""
        width, height = self._size()
        laid = self._laid(width, height)
        corners = [
            (laid.a * x + laid.b * y + laid.c, laid.d * x + laid.e * y + laid.f)
            for x in (0, width)
            for y in (0, height)
        ]
        lons, lats = [lon for lon, _ in corners], [lat for _, lat in corners]
        try:
            bounds = Bounds(
                south_deg=min(lats), west_deg=min(lons), north_deg=max(lats), east_deg=max(lons)
            )
        except ValueError:
            raise Unusable(_METRE) from None
        fine_deg = math.sqrt(abs(laid.a * laid.e - laid.b * laid.d)) or 1.0
        per_tile = 360.0 / (TILE_PX * fine_deg) * math.cos(math.radians(sum(lats) / 4)) ** 0.5
        most = min(MOST_ZOOM, max(1, math.ceil(math.log2(per_tile))))
        return Sheet(
            name=name,
            title=name,
            kind="picture",
            bounds=bounds,
            least_zoom=max(0, most - 6),
            most_zoom=most,
        )

    def tile(self, zoom: int, x: int, y: int) -> bytes | None:
        """Cut one tile, as PNG; None where the picture does not reach."""
        with _one_at_a_time:  # one large picture in memory, not one for every request
            image, laid = _opened(self, self._stamp())
            count = 1 << zoom

            def source(px: float, py: float) -> tuple[float, float]:
                lon = (x + px / TILE_PX) / count * 360.0 - 180.0
                up = math.pi * (1 - 2 * (y + py / TILE_PX) / count)
                return laid.pixel(lon, math.degrees(math.atan(math.sinh(up))))

            corners = [source(px, py) for px in (0, TILE_PX) for py in (0, TILE_PX)]
            left, right = min(one for one, _ in corners), max(one for one, _ in corners)
            top, low = min(one for _, one in corners), max(one for _, one in corners)
            if right <= 0 or low <= 0 or left >= image.width or top >= image.height:
                return None
            return _cut(image, (left, top, right, low), source)

    def _size(self) -> tuple[int, int]:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # judged just below
            try:
                with Image.open(self.path, formats=_FORMATS) as opened:
                    size = opened.size
            except Image.DecompressionBombError:
                raise Unusable(_TOO_LARGE) from None
            except (OSError, ValueError, SyntaxError) as error:
                raise Unusable(_UNREADABLE) from error
        if size[0] * size[1] > LARGEST_MPX * 1_000_000:
            raise Unusable(_TOO_LARGE)
        return size

    def _laid(self, width: int, height: int) -> Affine:
        said = self.path.with_suffix(".json")
        if said.is_file():
            return _by_edges(_text(said), width, height)
        for ending in _WORLD_ENDINGS:
            world = self.path.with_suffix(ending)
            if world.is_file():
                return _by_world_file(_text(world))
        raise Unusable(_NO_PLACE)

    def _stamp(self) -> tuple[int, ...]:
        beside = [self.path, *(self.path.with_suffix(e) for e in (".json", *_WORLD_ENDINGS))]
        return tuple(one.stat().st_mtime_ns for one in beside if one.is_file())


@lru_cache(maxsize=1)
def _opened(picture: Picture, stamp: tuple[int, ...]) -> tuple[Image.Image, Affine]:
    width, height = picture._size()
    laid = picture._laid(width, height)
    try:
        with (
            warnings.catch_warnings(),
            Image.open(picture.path, formats=_FORMATS) as opened,
        ):
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            return opened.convert("RGBA" if _has_holes(opened) else "RGB"), laid
    except (OSError, ValueError, SyntaxError) as error:
        raise Unusable(_UNREADABLE) from error


def _has_holes(image: Image.Image) -> bool:
    return image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info


def _cut(image: Image.Image, box: tuple[float, float, float, float], source: Any) -> bytes:
    left, top, right, low = box
    # Where many pixels fall on one, they are averaged first, or fine lines would break up.
    coarse = max(1, math.floor(min(right - left, low - top) / TILE_PX))
    margin = 2 * coarse
    x0, y0 = max(0, math.floor(left) - margin), max(0, math.floor(top) - margin)
    x1 = min(image.width, math.ceil(right) + margin)
    y1 = min(image.height, math.ceil(low) + margin)
    part = image.crop((x0, y0, x1, y1)).convert("RGBA")
    if coarse > 1:
        part = part.reduce(coarse)

    def inside(px: float, py: float) -> tuple[float, float]:
        sx, sy = source(px, py)
        return (sx - x0) / coarse, (sy - y0) / coarse

    (ox, oy), (rx, ry), (dx, dy) = inside(0, 0), inside(TILE_PX, 0), inside(0, TILE_PX)
    lines = [((r - o) / TILE_PX, (d - o) / TILE_PX, o) for o, r, d in ((ox, rx, dx), (oy, ry, dy))]
    tile = part.transform(
        (TILE_PX, TILE_PX),
        Image.Transform.AFFINE,
        (*lines[0], *lines[1]),
        Image.Resampling.BILINEAR,
    )
    written = io.BytesIO()
    tile.save(written, "PNG")
    return written.getvalue()


def _text(path: Path) -> str:
    try:
        with path.open("rb") as file:
            held = file.read(_LARGEST_TEXT_BYTES + 1)
        return held.decode("utf-8-sig") if len(held) <= _LARGEST_TEXT_BYTES else ""
    except (OSError, UnicodeDecodeError):
        return ""


def _by_edges(text: str, width: int, height: int) -> Affine:
    try:
        said = json.loads(text)
        south, west, north, east = (float(said[edge]) for edge in _EDGES)
        Bounds(south_deg=south, west_deg=west, north_deg=north, east_deg=east)
    except (ValueError, TypeError, KeyError, RecursionError):
        raise Unusable(
            "The .json file beside this picture needs south_deg, west_deg, north_deg and east_deg,"
            " in degrees, south below north and west before east."
        ) from None
    return Affine((east - west) / width, 0.0, west, 0.0, (south - north) / height, north)


def _by_world_file(text: str) -> Affine:
    """Read the six lines, which give the middle of the first pixel; ours counts from its corner."""
    try:
        a, d, b, e, c, f = (float(line.strip().replace(",", ".")) for line in text.split())
    except ValueError:
        raise Unusable("A world file has six lines with a number each; this one differs.") from None
    if not all(map(math.isfinite, (a, d, b, e, c, f))) or a * e - b * d == 0:
        raise Unusable("The numbers of this world file lay the picture nowhere; save it again.")
    laid = Affine(a, b, c - (a + b) / 2, d, e, f - (d + e) / 2)
    if abs(laid.c) > 180 or abs(laid.f) > MOST_LAT_DEG:
        raise Unusable(_METRE)
    return laid
