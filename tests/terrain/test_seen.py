"""What an eye sees, against a march along every ray and against GDAL's viewshed.

`gdal_viewshed` (Debian's gdal-bin) takes the same reference planes with its own rounding and the
curvature coefficient it is given; where it is not installed that part is skipped.
"""

from __future__ import annotations

import math
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio

from scout.terrain.patch import Patch, patch_of
from scout.terrain.seen import hidden_m, too_coarse

from .lands import LAT, LON, model_of, patch_with, rough, write_patch

R_M = 6_371_008.8


def _marched(patch: Patch, eye_m: float) -> Any:
    """The line of sight to every cell, looked at every tenth of a cell with bilinear heights."""
    size, cell = patch.size, patch.cell_m
    middle = (size - 1) // 2
    found = np.zeros((size, size))
    for row in range(size):
        for column in range(size):
            away = math.hypot(row - middle, column - middle)
            if away < 1.5:
                found[row, column] = -np.inf
                continue
            parts = np.arange(1.0, away - 0.999, 0.1) / away
            east = (column - middle) * cell * parts
            north = (middle - row) * cell * parts
            d = away * cell * parts
            rise = (patch.at(east, north) - eye_m - d * d * 0.87 / (2 * R_M)) / d
            whole = away * cell
            line = eye_m + rise.max() * whole + whole * whole * 0.87 / (2 * R_M)
            found[row, column] = line - float(patch.heights_m[row, column])
    return found


def test_a_march_along_every_ray_sees_nearly_the_same() -> None:
    patch = patch_with(rough(101, 5), 2.0)
    eye = float(patch.heights_m[50, 50]) + 1.5
    swept, marched = hidden_m(patch, eye), _marched(patch, eye)
    rest = np.isfinite(marched) & np.isfinite(swept)
    seen_swept, seen_marched = swept[rest] <= 0.5, marched[rest] <= 0.5
    # Reference planes smooth the line between cells: the two differ at the rims of what is seen.
    assert (seen_swept == seen_marched).mean() > 0.93
    near = np.abs(swept[rest] - marched[rest]) < 3.0
    assert near.mean() > 0.9


def test_a_wall_hides_what_lies_behind_it_up_to_its_shadow() -> None:
    # A wall 10 m high 50 m off, the eye at 2 m: at distance d the shadow stands 2 + 8 d/50 high.
    heights = np.zeros((401, 401))
    heights[:, 251:253] = 10.0  # 50.5 and 51.5 m east of the middle
    swept = hidden_m(patch_with(heights, 1.0), 2.0, k=1.0)
    for away in (80, 120, 199):
        assert swept[200, 200 + away] == pytest.approx(2 + 8 * away / 51, rel=0.02)
    assert swept[200, 200 + 40] <= 0.0
    assert swept[200, 200 - 150] <= 0.0


def test_the_curve_of_the_earth_hides_a_plain() -> None:
    # From 2 m over a sphere the ground is seen to √(2hR/(1 − k)), 5.4 km; behind it, less and less.
    patch = patch_with(np.zeros((401, 401)), 50.0)
    swept = hidden_m(patch, 2.0)
    horizon = math.sqrt(2 * 2.0 * R_M / 0.87)
    row = swept[200, 201:]
    away = np.arange(1, 201) * 50.0
    seen = away[row <= 0.002]
    # 2 mm of drop beyond the horizon take 170 m, and a cell is 50 m.
    assert seen.max() == pytest.approx(horizon, abs=220)
    # A mast at 9 km shows above the rest of the drop beyond the horizon: (d − d_h)²(1 − k)/2R.
    behind = (9000 - horizon) ** 2 * 0.87 / (2 * R_M)
    assert row[179] == pytest.approx(behind, abs=0.05)


@pytest.mark.skipif(shutil.which("gdal_viewshed") is None, reason="gdal-bin is not installed")
def test_gdal_sees_the_same_but_for_rims(tmp_path: Path) -> None:
    size, cell = 601, 5.0
    patch = patch_with(rough(size, 9), cell)
    source, out = tmp_path / "land.tif", tmp_path / "seen.tif"
    write_patch(source, patch)
    target = 0.5
    command = ["gdal_viewshed", "-q", "-md", "0", "-oz", "1.5", "-tz", str(target)]
    command += ["-ox", "0", "-oy", "0", "-cc", "0.87", "-om", "NORMAL", str(source), str(out)]
    subprocess.run(command, check=True, capture_output=True)
    with rasterio.open(out) as file:
        theirs = file.read(1) > 0
    mine = hidden_m(patch, float(patch.heights_m[300, 300]) + 1.5) <= target
    apart = mine != theirs
    assert apart.mean() < 0.02
    # Every cell on which they differ touches the rim of what is seen in one of the two.
    rim = np.zeros_like(mine)
    for seen in (mine, theirs):
        for axis in (0, 1):
            for step in (-1, 1):
                rim |= seen != np.roll(seen, step, axis=axis)
    assert (apart & ~rim).sum() <= 0.1 * apart.sum()


def test_cells_larger_than_a_tenth_of_the_line_are_refused() -> None:
    assert too_coarse(1.0, 10.0) is None
    said = too_coarse(30.0, 12.0)
    assert said is not None
    assert "cells of 30 m are too coarse for a line of 12 m; a model with cells of 1.2 m" in said


def test_a_hole_hides_nothing_and_is_not_known(tmp_path: Path) -> None:
    heights = np.zeros((101, 101))
    heights[40:45, 50] = np.nan
    swept = hidden_m(patch_with(heights, 1.0), 1.0)
    assert np.isnan(swept[42, 50])
    assert swept[10, 50] <= 0.0


def test_a_patch_read_from_a_file_serves_as_well(tmp_path: Path) -> None:
    model = model_of(tmp_path, lambda x, y: 20 + 0.02 * x, half_m=200, cell_m=1)
    patch = patch_of([model], LAT, LON, 100.0, 1.0)
    swept = hidden_m(patch, float(patch.at(0, 0)) + 1.0)
    assert np.nanmax(swept) <= 0.01
