"""Time a skyline of 0.5° from a 30 m model out to 20 km, and first light over a million cells.

Run from the checkout: python -m tests.bench.terrain_skyline. The peer is GDAL's viewshed over the
very same cells, which looks at them all as well (its skyline is the rim of what it sees): reading,
laying out and looking are in both. Processor time.
"""

from __future__ import annotations

import datetime as dt
import resource
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

import numpy as np

from scout.terrain.first_light import first_light
from scout.terrain.patch import Patch
from scout.terrain.skylines import skyline_of
from tests.terrain.lands import LAT, LON, model_of
from tests.terrain.test_seen import _rough

ROUNDS = 3


def main() -> None:
    """Print the times."""
    rough = _rough(1401, 6) * 4.0

    def land(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        row = np.clip(np.round(700 - y / 30).astype(int), 0, 1400)
        column = np.clip(np.round(700 + x / 30).astype(int), 0, 1400)
        return rough[row, column]

    with tempfile.TemporaryDirectory() as folder:
        model = model_of(Path(folder), land, half_m=20_400, cell_m=30, crs="EPSG:32630")
        ours = []
        for _ in range(ROUNDS):
            begun = time.process_time()
            found = skyline_of([model], LAT, LON, height_m=1.5)
            ours.append(time.process_time() - begun)
        print(f"skyline, {len(found.azimuths_deg)} azimuths, 20 km at 30 m: {min(ours):.2f} s")
        if shutil.which("gdal_viewshed"):
            theirs = min(_theirs(model.path, Path(folder)) for _ in range(ROUNDS))
            print(
                f"gdal_viewshed over the same cells: {theirs:.2f} s; ratio {min(ours) / theirs:.2f}"
            )
    patch = Patch(
        LAT, LON, 5.0, _rough(1001, 2).astype(np.float32), np.zeros((1001, 1001), np.int8), ()
    )
    begun = time.process_time()
    first_light(patch, dt.datetime(2026, 5, 12, 4, 9, tzinfo=dt.UTC))
    print(f"first light over {patch.size**2} cells: {time.process_time() - begun:.2f} s")


def _theirs(path: Path, folder: Path) -> float:
    out = folder / "seen.tif"
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    x, y = _middle(path)
    subprocess.run(
        ["gdal_viewshed", "-q", "-md", "20000", "-oz", "1.5", "-ox", str(x), "-oy", str(y),
         "-cc", "0.87", str(path), str(out)],
        check=True,
        capture_output=True,
    )  # fmt: skip
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def _middle(path: Path) -> tuple[float, float]:
    import rasterio

    with rasterio.open(path) as file:
        edges = file.bounds
    return (edges.left + edges.right) / 2, (edges.bottom + edges.top) / 2


if __name__ == "__main__":
    main()
