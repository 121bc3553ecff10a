"""Real hills (a 3″ model of Tennessee that matplotlib carries), against GDAL and against a march.

Skipped where matplotlib or Debian's gdal-bin is not installed. The model's keys ymin and ymax are
swapped; row 0 is north. Cells on which two viewsheds differ lie at the rims of what is seen: GDAL
works in whole cells of the file, we on a plane true to distance, and each smooths the line between
cells in its own way.
"""

from __future__ import annotations

import importlib.util
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine
from rasterio.warp import Resampling, reproject

from scout.terrain.model import BARE
from scout.terrain.patch import Patch, patch_of, plane_of
from scout.terrain.relief import hillshade
from scout.terrain.seen import hidden_m
from scout.terrain.shelf import Shelf
from scout.terrain.skylines import skyline_of
from scout.terrain.taking_in import take_in

LAT, LON = 36.59, -84.25


def _hills() -> Path | None:
    spec = importlib.util.find_spec("matplotlib")
    if spec is None or not spec.submodule_search_locations:
        return None
    home = Path(next(iter(spec.submodule_search_locations)))
    found = home / "mpl-data" / "sample_data" / "jacksboro_fault_dem.npz"
    return found if found.is_file() else None


pytestmark = pytest.mark.skipif(_hills() is None, reason="matplotlib's sample land is not here")


@pytest.fixture(scope="module")
def patch(tmp_path_factory: pytest.TempPathFactory) -> Patch:
    folder = tmp_path_factory.mktemp("hills")
    source = _hills()
    assert source is not None
    with np.load(source) as read:
        heights = read["elevation"].astype("float32")
        west, north = float(read["xmin"]), float(max(read["ymin"], read["ymax"]))
        step = float(read["dx"])
    path = folder / "hills.tif"
    turn = Affine(step, 0.0, west, 0.0, -step, north)
    profile: dict[str, Any] = {
        "driver": "GTiff",
        "width": heights.shape[1],
        "height": heights.shape[0],
        "count": 1,
        "dtype": "float32",
        "crs": "EPSG:4326",
        "transform": turn,
    }
    with rasterio.open(path, "w", **profile) as file:
        file.write(heights, 1)
    model, _ = take_in(Shelf(folder), path, kind=BARE)
    return patch_of([model], LAT, LON, 9_000.0, 80.0)


def _written(folder: Path, patch: Patch) -> Path:
    path = folder / "plane.tif"
    profile: dict[str, Any] = {
        "driver": "GTiff",
        "width": patch.size,
        "height": patch.size,
        "count": 1,
        "dtype": "float32",
        "crs": plane_of(LAT, LON),
        "transform": patch.transform,
    }
    with rasterio.open(path, "w", **profile) as file:
        file.write(patch.heights_m, 1)
    return path


@pytest.mark.skipif(shutil.which("gdal_viewshed") is None, reason="gdal-bin is not installed")
def test_gdal_sees_the_same_hills(tmp_path: Path, patch: Patch) -> None:
    out = tmp_path / "seen.tif"
    command = ["gdal_viewshed", "-q", "-md", "0", "-oz", "2", "-ox", "0", "-oy", "0"]
    source = _written(tmp_path, patch)
    subprocess.run([*command, "-cc", "0.87", str(source), str(out)], check=True)
    with rasterio.open(out) as file:
        theirs = file.read(1) > 0
    middle = patch.size // 2
    eye = float(patch.heights_m[middle, middle]) + 2.0
    mine = hidden_m(patch, eye) <= 0.0
    marched = _marched(patch, eye)
    rows, columns = marched[:, 0], marched[:, 1]
    # A march along rays agrees with ours on 99 cells of 100 and with GDAL's on 95: on such rough
    # land (80 m cells) GDAL's planes hide more. What it sees, we see; where the two differ, the
    # line passes a few metres over the ground or under it.
    assert (mine[rows, columns] == (marched[:, 2] > 0)).mean() > 0.985
    assert (theirs & ~mine).mean() < 0.003
    assert (mine != theirs).mean() < 0.06


def _marched(patch: Patch, eye_m: float) -> Any:
    """Row, column and whether it is seen, of cells picked at random, every tenth of a cell."""
    middle, radius = patch.size // 2, 6_371_008.8
    found = []
    for row, column in np.random.default_rng(1).integers(0, patch.size, (1500, 2)):
        cells = float(np.hypot(row - middle, column - middle))
        if cells < 3.0:
            continue
        parts = np.arange(1.0, cells - 0.99, 0.1) / cells
        away = cells * patch.cell_m * parts
        ground = patch.at(
            (column - middle) * patch.cell_m * parts, (middle - row) * patch.cell_m * parts
        )
        rise = (ground - eye_m - away**2 * 0.87 / (2 * radius)) / away
        whole = cells * patch.cell_m
        line = eye_m + rise.max() * whole + whole**2 * 0.87 / (2 * radius)
        found.append((row, column, int(line <= patch.heights_m[row, column])))
    return np.array(found)


@pytest.mark.skipif(shutil.which("gdaldem") is None, reason="gdal-bin is not installed")
def test_gdal_shades_the_same_hills(tmp_path: Path, patch: Patch) -> None:
    out = tmp_path / "shade.tif"
    source = _written(tmp_path, patch)
    subprocess.run(["gdaldem", "hillshade", "-q", str(source), str(out)], check=True)
    with rasterio.open(out) as file:
        theirs = file.read(1).astype(float)
    mine = 1 + 254 * hillshade(patch.heights_m, patch.cell_m)
    inner = (slice(1, -1), slice(1, -1))
    assert np.abs(mine[inner] - theirs[inner]).max() <= 1.0


def test_the_skyline_is_what_a_march_over_the_land_finds(patch: Patch) -> None:
    found = skyline_of(patch.models, LAT, LON, height_m=2.0, reach_m=8_500.0)
    radius, k, cell = 6_371_008.8, 0.13, patch.models[0].cell_m
    land = patch_of(patch.models, LAT, LON, 8_600.0, cell)
    away = np.arange(1.5 * cell, 8_500.0, 5.0)
    off = []
    for azimuth, altitude in zip(found.azimuths_deg[::12], found.altitudes_deg[::12], strict=True):
        turn = np.radians(azimuth)
        ground = land.at(np.sin(turn) * away, np.cos(turn) * away)
        rise = (ground - found.eye_m - away**2 * (1 - k) / (2 * radius)) / away
        off.append(float(np.degrees(np.arctan(np.nanmax(rise)))) - float(altitude))
    # The march steps 5 m, the skyline a part of a cell: a crest between may be missed by that.
    assert np.abs(off).max() < 0.12
    assert np.median(np.abs(off)) < 0.01


def test_the_land_laid_out_is_what_proj_and_gdal_lay_out(patch: Patch) -> None:
    again = np.full_like(patch.heights_m, np.nan)
    with rasterio.open(patch.models[0].path) as file:
        reproject(
            rasterio.band(file, 1),
            again,
            dst_transform=patch.transform,
            dst_crs=patch.crs,
            dst_nodata=np.nan,
            resampling=Resampling.bilinear,
        )
    both = np.isfinite(again) & np.isfinite(patch.heights_m)
    assert np.abs(again - patch.heights_m)[both].max() < 2.0
    assert np.abs(again - patch.heights_m)[both].mean() < 0.1
