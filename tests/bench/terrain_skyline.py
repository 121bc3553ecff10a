"""Time a skyline of 0.5° from a 30 m model out to 20 km, and first light over a million cells.

Run from the checkout: python -m tests.bench.terrain_skyline. One peer is GDAL's viewshed over the
very same cells, which looks at them all as well (its skyline is the rim of what it sees): reading,
laying out and looking are in both. The other is GRASS's r.horizon (Debian's grass-core): the same
azimuths over the same cells, with the Earth's curve and without refraction, from the ground; it
takes the nearest cell where we look between cells, so a walk along every ray in double precision,
written here alone, stands beside both. Processor time.
"""

from __future__ import annotations

import datetime as dt
import resource
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import rasterio

from scout.terrain.first_light import first_light
from scout.terrain.skylines import skyline_of
from tests.terrain.lands import LAT, LON, hills, model_of, patch_with, rough

ROUNDS = 3


def main() -> None:
    """Print the times."""
    land = hills(1401, 6, 30.0, 320.0)
    with tempfile.TemporaryDirectory() as folder:
        model = model_of(Path(folder), land, half_m=20_400, cell_m=30, crs="EPSG:32630")
        ours = []
        for _ in range(ROUNDS):
            begun = time.process_time()
            found = skyline_of([model], LAT, LON, height_m=1.5)
            ours.append(time.process_time() - begun)
        print(f"skyline, {len(found.azimuths_deg)} azimuths, 20 km at 30 m: {min(ours):.2f} s")
        _against_others(Path(folder), land)
        if shutil.which("gdal_viewshed"):
            theirs = min(_theirs(model.path, Path(folder)) for _ in range(ROUNDS))
            print(
                f"gdal_viewshed over the same cells: {theirs:.2f} s; ratio {min(ours) / theirs:.2f}"
            )
    patch = patch_with(rough(1001, 2), 5.0)
    begun = time.process_time()
    first_light(patch, dt.datetime(2026, 5, 12, 4, 9, tzinfo=dt.UTC))
    print(f"first light over {patch.size**2} cells: {time.process_time() - begun:.2f} s")


def _against_others(folder: Path, land: Callable[..., Any]) -> None:
    """Print how far r.horizon and a walk along every ray lie from ours, and r.horizon's time."""
    # On a plane true to distance round the eye, so that no peer lays the cells out anew.
    model = model_of(folder / "flat", land, half_m=20_400, cell_m=30)
    begun = time.process_time()
    ours = skyline_of([model], LAT, LON, height_m=0.0, k=0.0)
    spent = time.process_time() - begun
    near, far = ours.distances_m < 300.0, ours.distances_m >= 300.0
    walked = _walked(model.path, ours.azimuths_deg, 45.0)
    _tell("a walk along every ray", ours.altitudes_deg - walked, near, far)
    if shutil.which("grass") is None:
        print("r.horizon: GRASS is not installed here")
        return
    place = str(folder / "grass")
    _spent(["grass", "-c", str(model.path), place, "-e"])
    within = ["grass", f"{place}/PERMANENT", "--exec"]
    start, _ = _spent([*within, "true"])
    reading, _ = _spent([*within, "r.in.gdal", "-o", f"input={model.path}", "output=land"])
    _spent([*within, "g.region", "raster=land"])
    looking, said = _spent(
        [*within, "r.horizon", "-d", "-c", "elevation=land", "step=0.5", "coordinates=0,0",
         "maxdistance=20000", "start=0", "end=360"]
    )  # fmt: skip
    rows = [line.split(",") for line in said.splitlines() if line[:1].isdigit()]
    found = {round(float(azimuth) % 360.0, 2): float(altitude) for azimuth, altitude in rows}
    theirs = np.array([found[round(float(one), 2)] for one in ours.azimuths_deg])
    both = reading + looking - 2.0 * start
    print(
        f"skyline {spent:.2f} s; r.horizon {looking - start:.2f} s, with reading the file as ours "
        f"{both:.2f} s; ratio {spent / both:.2f}"
    )
    _tell("r.horizon", ours.altitudes_deg - theirs, near, far)
    _tell("(r.horizon to the walk)", theirs - walked, near, far)


def _tell(name: str, off_deg: np.ndarray, near: np.ndarray, far: np.ndarray) -> None:
    for where, those in (("all", near | far), ("within 300 m", near), ("beyond", far)):
        off = np.abs(off_deg[those])
        print(
            f"  {name}, {where} ({len(off)}): largest {off.max():.3f}°, 95 % within "
            f"{np.percentile(off, 95):.3f}°"
        )


def _walked(path: Path, azimuths_deg: np.ndarray, start_m: float) -> np.ndarray:
    """Walk along every ray in steps of 2 m, bilinear, in double precision [deg]."""
    with rasterio.open(path) as file:
        heights, turn = file.read(1).astype(float), file.transform

    def at(east: np.ndarray, north: np.ndarray) -> np.ndarray:
        column, row = (east - turn.c) / turn.a - 0.5, (north - turn.f) / turn.e - 0.5
        left, top = np.floor(column).astype(int), np.floor(row).astype(int)
        over, down = column - left, row - top
        upper = heights[top, left] * (1 - over) + heights[top, left + 1] * over
        lower = heights[top + 1, left] * (1 - over) + heights[top + 1, left + 1] * over
        return np.asarray(upper * (1 - down) + lower * down)

    eye = float(at(np.zeros(1), np.zeros(1))[0])
    away = np.arange(start_m, 20_000.0, 2.0)
    fall = away**2 / (2.0 * 6_371_008.8)
    found = []
    for angle in np.radians(azimuths_deg):
        rise = (at(np.sin(angle) * away, np.cos(angle) * away) - eye - fall) / away
        found.append(float(np.degrees(np.arctan(rise.max()))))
    return np.array(found)


def _spent(command: list[str]) -> tuple[float, str]:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (
        after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime,
        done.stdout,
    )


def _theirs(path: Path, folder: Path) -> float:
    out = folder / "seen.tif"
    x, y = _middle(path)
    return _spent(
        ["gdal_viewshed", "-q", "-md", "20000", "-oz", "1.5", "-ox", str(x), "-oy", str(y),
         "-cc", "0.87", str(path), str(out)]
    )[0]  # fmt: skip


def _middle(path: Path) -> tuple[float, float]:
    with rasterio.open(path) as file:
        edges = file.bounds
    return (edges.left + edges.right) / 2, (edges.bottom + edges.top) / 2


if __name__ == "__main__":
    main()
