"""Lands in closed form, written as files that the readers are given."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import rasterio
from rasterio.transform import Affine
from rasterio.warp import transform as transformed

from scout.terrain.model import BARE, Model
from scout.terrain.patch import Patch, plane_of
from scout.terrain.shelf import Shelf
from scout.terrain.taking_in import take_in

LAT, LON = 52.87, -0.47
Land = Callable[[Any, Any], Any]


def write_tiff(
    path: Path,
    land: Land,
    *,
    half_m: float = 1000.0,
    cell_m: float = 5.0,
    lat_deg: float = LAT,
    lon_deg: float = LON,
    crs: Any = None,
    dtype: str = "float32",
    nodata: float | None = None,
    hole: Callable[[Any, Any], Any] | None = None,
    unit_m: float = 1.0,
) -> Path:
    """Write a land of metres east and north of a place as a GeoTIFF.

    The land is asked at the middle of each cell. Without `crs` the file lies on a plane true to
    distance round the place; with one, the cells lie straight on that.
    """
    plane = plane_of(lat_deg, lon_deg)
    count = 2 * round(half_m / cell_m) + 1
    if crs is None:
        there, x0, y0, step = plane, 0.0, 0.0, cell_m
    else:
        there = rasterio.crs.CRS.from_user_input(crs)
        (x0,), (y0,) = transformed("EPSG:4326", there, [lon_deg], [lat_deg])
        step = cell_m / 111_320.0 if there.is_geographic else cell_m / unit_m
    edge = count / 2.0 * step
    turn = Affine(step, 0.0, x0 - edge, 0.0, -step, y0 + edge)
    columns, rows = np.meshgrid(np.arange(count) + 0.5, np.arange(count) + 0.5)
    xs, ys = turn.c + turn.a * columns, turn.f + turn.e * rows
    if crs is not None:
        flat = transformed(there, plane, xs.ravel().tolist(), ys.ravel().tolist())
        xs, ys = (np.asarray(one).reshape(xs.shape) for one in flat[:2])
    heights = np.asarray(land(xs, ys), dtype=np.float64) + np.zeros_like(xs)
    if hole is not None:
        assert nodata is not None
        heights = np.where(hole(xs, ys), nodata, heights)
    return write_heights(path, heights.astype(dtype), there, turn, nodata)


def write_heights(
    path: Path, heights: Any, crs: Any, turn: Affine, nodata: float | None = None
) -> Path:
    """Write a square of heights as a GeoTIFF of one band, in their own kind of number."""
    rows, columns = heights.shape
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        width=columns,
        height=rows,
        count=1,
        dtype=str(heights.dtype),
        crs=crs,
        transform=turn,
        nodata=nodata,
    ) as file:
        file.write(heights, 1)
    return path


def write_patch(path: Path, patch: Patch) -> Path:
    """Write a patch as a GeoTIFF on its own plane."""
    plane = plane_of(patch.lat_deg, patch.lon_deg)
    return write_heights(path, patch.heights_m, plane, patch.transform)


def patch_with(heights: Any, cell_m: float) -> Patch:
    """Make a patch of heights that are from no model."""
    grid = np.asarray(heights, dtype=np.float32)
    return Patch(LAT, LON, cell_m, grid, np.zeros(grid.shape, dtype=np.int8), ())


def rough(size: int, seed: int) -> Any:
    """Make rough land of 80 m from top to bottom, the same for the same seed [m]."""
    rng = np.random.default_rng(seed)
    spectrum = np.fft.rfft2(rng.normal(size=(size, size)))
    fy, fx = np.fft.fftfreq(size)[:, None], np.fft.rfftfreq(size)[None, :]
    fall = 1.0 / np.maximum(np.hypot(fy, fx), 1.0 / size) ** 1.8
    land = np.fft.irfft2(spectrum * fall, s=(size, size))
    return (land - land.min()) / np.ptp(land) * 80.0


def model_of(
    folder: Path, land: Land, name: str = "land", *, kind: str = BARE, **options: Any
) -> Model:
    """Take a land in and answer the model."""
    folder.mkdir(parents=True, exist_ok=True)
    path = write_tiff(folder / f"{name}.tif", land, **options)
    model, _ = take_in(Shelf(folder), path, kind=kind, name=name)
    return model


def hills(size: int, seed: int, cell_m: float, high_m: float = 80.0) -> Land:
    """Make rough land as a land that can be written: each place has the height of its cell."""
    heights = rough(size, seed) * (high_m / 80.0)
    middle = size // 2

    def land(x: Any, y: Any) -> Any:
        row = np.clip(np.round(middle - y / cell_m).astype(int), 0, size - 1)
        column = np.clip(np.round(middle + x / cell_m).astype(int), 0, size - 1)
        return heights[row, column]

    return land
