"""Time what one eye sees over 0.25 to 16 million cells, against GDAL's viewshed in the same run.

Run from the checkout: python -m tests.bench.sight. Needs `gdal_viewshed` (Debian's gdal-bin). Both
are given as processor time, for another program may be running: GDAL's with its reading and writing
of one file, ours without.
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

import numpy as np

from scout.terrain.patch import Patch
from scout.terrain.seen import hidden_m
from tests.terrain.lands import patch_with, rough, write_patch

SIDES = (501, 1001, 2001, 4001)
ROUNDS = 3


def main() -> None:
    """Print one row for each size."""
    gdal = shutil.which("gdal_viewshed")
    print(f"{'cells':>12}{'ours s':>10}{'gdal s':>10}{'ratio':>8}")
    land = rough(501, 1)
    for side in SIDES:
        times = -(-side // 501)
        heights = np.kron(land, np.ones((times, times), dtype=np.float32))[:side, :side]
        patch = patch_with(heights, 5.0)
        eye = float(patch.heights_m[side // 2, side // 2]) + 1.5
        ours = min(_ours(patch, eye) for _ in range(ROUNDS))
        theirs = min(_theirs(patch) for _ in range(ROUNDS)) if gdal else float("nan")
        print(f"{side * side:>12}{ours:>10.3f}{theirs:>10.3f}{ours / theirs:>8.2f}")


def _ours(patch: Patch, eye_m: float) -> float:
    begun = time.process_time()
    hidden_m(patch, eye_m)
    return time.process_time() - begun


def _theirs(patch: Patch) -> float:
    with tempfile.TemporaryDirectory() as folder:
        source, out = Path(folder) / "land.tif", Path(folder) / "seen.tif"
        write_patch(source, patch)
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(
            ["gdal_viewshed", "-q", "-md", "0", "-oz", "1.5", "-ox", "0", "-oy", "0", "-cc", "0.87",
             str(source), str(out)],
            check=True,
            capture_output=True,
        )  # fmt: skip
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


if __name__ == "__main__":
    main()
