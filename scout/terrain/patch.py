"""Heights out of models: at single places, and as a square patch of metres round a place.

A patch is laid out true to distance and bearing from its middle (azimuthal equidistant), so that a
ray from there is a straight line on it. Not for: what is seen or lit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

import attrs
import numpy as np
import numpy.typing as npt
import rasterio
from rasterio.crs import CRS
from rasterio.enums import Resampling
from rasterio.transform import Affine
from rasterio.warp import reproject, transform, transform_bounds
from rasterio.windows import Window, from_bounds

from scout.terrain.model import BARE, Model, order_for

Floats = npt.NDArray[np.float32]
Doubles = npt.NDArray[np.float64]

MOST_CELLS: Final = 16_800_000
"""No patch has more: 67 MB of heights."""

_CACHE_MB: Final = 128
_EXACT_CELLS: Final = 0.02  # how far the place of a cell may be approximated


@attrs.frozen(eq=False)
class Patch:
    """Heights on a square grid round a place, north up.

    `heights_m` [rows from the north, columns from the west], NaN where no model knows; `cell_m` the
    side of a cell; the middle of the grid is the place itself. `model` tells, cell by cell, which
    of `models` a height is from, −1 for none.
    """

    lat_deg: float
    lon_deg: float
    cell_m: float
    heights_m: Floats
    model: npt.NDArray[np.int8]
    models: tuple[Model, ...]

    @property
    def size(self) -> int:
        """How many cells a side has."""
        return int(self.heights_m.shape[0])

    @property
    def half_m(self) -> float:
        """How far the outermost cells' middles lie from the place, along the axes [m]."""
        return (self.size - 1) / 2.0 * self.cell_m

    def at(self, east_m: Any, north_m: Any) -> Doubles:
        """Give heights between cells (bilinear) at metres east and north; NaN off the grid [m]."""
        return sampled(self.heights_m, *self.spots(east_m, north_m))

    def spots(self, east_m: Any, north_m: Any) -> tuple[Doubles, Doubles]:
        """Give row and column, in cells with fractions, of metres east and north."""
        middle = (self.size - 1) / 2.0
        rows: Doubles = middle - np.asarray(north_m, dtype=np.float64) / self.cell_m
        columns: Doubles = middle + np.asarray(east_m, dtype=np.float64) / self.cell_m
        return rows, columns

    def axes_m(self) -> tuple[Doubles, Doubles]:
        """Give metres east of every column and metres north of every row."""
        count = np.arange(self.size, dtype=np.float64)
        along: Doubles = (count - (self.size - 1) / 2.0) * self.cell_m
        return along, -along

    @property
    def crs(self) -> CRS:
        """The plane it is laid out on."""
        return plane_of(self.lat_deg, self.lon_deg)

    @property
    def transform(self) -> Affine:
        """From column and row (corners of cells) to metres east and north."""
        edge = self.size / 2.0 * self.cell_m
        return Affine(self.cell_m, 0.0, -edge, 0.0, -self.cell_m, edge)

    @property
    def used(self) -> tuple[Model, ...]:
        """The models that heights on it are from, in the order in which they were asked."""
        here = np.unique(self.model)
        return tuple(one for place, one in enumerate(self.models) if place in here)

    @property
    def known_share(self) -> float:
        """The share of cells with a height, 0 to 1."""
        return float((self.model >= 0).mean())


def plane_of(lat_deg: float, lon_deg: float) -> CRS:
    """Give the plane round a place that is true to distance and bearing from it [m]."""
    return CRS.from_proj4(
        f"+proj=aeqd +lat_0={lat_deg!r} +lon_0={lon_deg!r} +datum=WGS84 +units=m +no_defs"
    )


def patch_of(
    models: Sequence[Model],
    lat_deg: float,
    lon_deg: float,
    half_m: float,
    cell_m: float,
    kind: str = BARE,
    *,
    only: bool = False,
) -> Patch:
    """Read a patch that reaches `half_m` in every direction, in cells of `cell_m` [m].

    The models are asked in the order of `order_for`; the first that knows a cell counts. Raises
    ValueError where the patch would have more than MOST_CELLS cells.
    """
    size = 2 * math.ceil(half_m / cell_m) + 1
    if size * size > MOST_CELLS:
        raise ValueError(
            f"A patch of {half_m:.0f} m in cells of {cell_m:g} m is too large to compute at once: "
            "ask for a smaller stretch of land or for larger cells."
        )
    heights = np.full((size, size), np.nan, dtype=np.float32)
    whose = np.full((size, size), -1, dtype=np.int8)
    reach = half_m * math.sqrt(2.0) + 2.0 * cell_m
    asked = [
        one
        for one in order_for(models, cell_m, kind, only=only)
        if one.away_m(lat_deg, lon_deg) <= reach
    ]
    patch = Patch(lat_deg, lon_deg, cell_m, heights, whose, tuple(asked))
    for place, model in enumerate(asked):
        unknown = whose < 0
        if not unknown.any():
            break
        warped = _warped(model, patch)
        if warped is None:
            continue
        taken = unknown & np.isfinite(warped)
        heights[taken] = warped[taken]
        whose[taken] = place
    return patch


def heights_at(model: Model, places: Sequence[tuple[float, float]]) -> Doubles:
    """Give the heights of a model at places (latitude, longitude [deg]), NaN where unknown [m].

    Between cells, bilinear.
    """
    found = np.full(len(places), np.nan)
    if not places:
        return found
    with rasterio.Env(GDAL_CACHEMAX=_CACHE_MB), rasterio.open(model.path) as source:
        lats, lons = zip(*places, strict=True)
        xs, ys = transform("EPSG:4326", source.crs, list(lons), list(lats))
        way = ~source.transform
        for place, (x, y) in enumerate(zip(xs, ys, strict=True)):
            if not (math.isfinite(x) and math.isfinite(y)):
                continue
            column = way.a * x + way.b * y + way.c - 0.5
            row = way.d * x + way.e * y + way.f - 0.5
            left, top = math.floor(column), math.floor(row)
            if not (-1 <= left < source.width and -1 <= top < source.height):
                continue
            left, top = max(0, left), max(0, top)
            wide = 2 if left + 1 < source.width else 1
            high = 2 if top + 1 < source.height else 1
            block = _filled(source.read(1, window=Window(left, top, wide, high), masked=True))
            spot = (
                np.array([min(max(row - top, 0.0), high - 1.0)]),
                np.array([min(max(column - left, 0.0), wide - 1.0)]),
            )
            found[place] = sampled(block, *spot)[0]
    return found


def sampled(grid: Floats, row: Doubles, column: Doubles) -> Doubles:
    """Give what a grid holds between its cells (bilinear); NaN off it or beside a hole."""
    high, wide = grid.shape
    inside = (row >= 0.0) & (row <= high - 1.0) & (column >= 0.0) & (column <= wide - 1.0)
    top = np.clip(row, 0.0, max(0.0, high - 1.000001)).astype(np.intp)
    left = np.clip(column, 0.0, max(0.0, wide - 1.000001)).astype(np.intp)
    down = (np.clip(row, 0.0, high - 1.0) - top).astype(np.float32)
    over = (np.clip(column, 0.0, wide - 1.0) - left).astype(np.float32)
    flat = np.ravel(grid)
    spot = top * wide + left
    below = np.where(top + 1 < high, wide, 0)
    right = np.where(left + 1 < wide, 1, 0)
    upper = flat[spot] * (1 - over) + flat[spot + right] * over
    lower = flat[spot + below] * (1 - over) + flat[spot + below + right] * over
    found = upper * (1 - down) + lower * down
    answer: Doubles = np.where(inside, found, np.nan).astype(np.float64)
    return answer


def _filled(read: Any) -> Floats:
    filled: Floats = np.ma.filled(read.astype(np.float32), np.nan)
    return filled


def _warped(model: Model, patch: Patch) -> Floats | None:
    """Lay a model out on a patch's grid; None where they do not meet."""
    edge = patch.size / 2.0 * patch.cell_m
    with rasterio.Env(GDAL_CACHEMAX=_CACHE_MB), rasterio.open(model.path) as source:
        box = transform_bounds(patch.crs, source.crs, -edge, -edge, edge, edge, densify_pts=21)
        window = _window(source, box)
        if window is None:
            return None
        # Where the patch is coarser, thinned copies inside the file are read instead of all of it.
        thin = max(1, int(patch.cell_m / model.cell_m + 0.01))
        shape = (max(1, round(window.height / thin)), max(1, round(window.width / thin)))
        read = _filled(
            source.read(
                1, window=window, out_shape=shape, masked=True, resampling=Resampling.average
            )
        )
        turn = _thinned(source.transform, window, shape)
        warped = np.full((patch.size, patch.size), np.nan, dtype=np.float32)
        reproject(
            read,
            warped,
            src_transform=turn,
            src_crs=source.crs,
            src_nodata=np.nan,
            dst_transform=patch.transform,
            dst_crs=patch.crs,
            dst_nodata=np.nan,
            resampling=Resampling.bilinear,
            tolerance=_EXACT_CELLS,
        )
    return warped


def _thinned(turn: Affine, window: Window, shape: tuple[int, int]) -> Affine:
    """Give the place of a window that was read into another number of cells."""
    wide, high = window.width / shape[1], window.height / shape[0]
    left, top = window.col_off, window.row_off
    return Affine(
        turn.a * wide,
        turn.b * high,
        turn.c + turn.a * left + turn.b * top,
        turn.d * wide,
        turn.e * high,
        turn.f + turn.d * left + turn.e * top,
    )


def _window(source: Any, box: tuple[float, float, float, float]) -> Window | None:
    """Give the whole cells of a file that a box in its coordinates touches, with two to spare."""
    if not all(math.isfinite(edge) for edge in box):
        box = tuple(source.bounds)
    if source.transform.b or source.transform.d:  # turned: take all of it
        return Window(0, 0, source.width, source.height)
    left, bottom, right, top = box
    found = from_bounds(left, bottom, right, top, source.transform)
    first_row, first_column = math.floor(found.row_off) - 2, math.floor(found.col_off) - 2
    last_row = math.ceil(found.row_off + found.height) + 2
    last_column = math.ceil(found.col_off + found.width) + 2
    first_row, first_column = max(0, first_row), max(0, first_column)
    last_row, last_column = min(source.height, last_row), min(source.width, last_column)
    if last_row <= first_row or last_column <= first_column:
        return None
    return Window(first_column, first_row, last_column - first_column, last_row - first_row)
