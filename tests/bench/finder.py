"""Time the hide finder: three perches, 100 m around each, cells of half a metre.

Run from the checkout: python -m tests.bench.finder. The peer is a plain march of one ray to every
cell with numpy, for a hundredth of the cells, scaled up: what the search would cost cell by cell.
"""

from __future__ import annotations

import datetime as dt
import math
import tempfile
import time
from pathlib import Path

import attrs
import numpy as np

from scout.engine.minutes import Needs, minutes_of
from scout.terrain.finder import places_round
from tests.terrain.lands import LAT, LON, hills, model_of
from tests.terrain.test_finder import TARGET, WANTED

WIDE = attrs.evolve(WANTED, farthest_m=100.0)
SPOTS = ((0.0, 0.0), (0.0008, 0.0003), (-0.0005, 0.0011))


def main() -> None:
    """Print the time of the search and of the march."""
    minutes = minutes_of(
        LAT,
        LON,
        dt.datetime(2026, 5, 12, 3, 0, tzinfo=dt.UTC),
        dt.datetime(2026, 5, 12, 7, 30, tzinfo=dt.UTC),
    )
    first = attrs.evolve(TARGET, sun_on=tuple(minute.altitude_deg > 0 for minute in minutes))
    with tempfile.TemporaryDirectory() as folder:
        model = model_of(Path(folder), hills(1201, 4, 0.5, 6.4), half_m=290, cell_m=0.5)
        best, found = math.inf, None
        for _ in range(3):
            begun = time.process_time()
            for north, east in SPOTS:
                target = attrs.evolve(first, lat_deg=LAT + north, lon_deg=LON + east)
                found = places_round([model], target, WIDE, Needs((50.0, 200.0), 0), minutes)
            best = min(best, time.process_time() - begun)
    assert found is not None
    marched = _march(found.patch.heights_m, found.eye_m)
    print(f"three perches, {found.patch.size**2} cells each: {best:.2f} s of processor time")
    print(f"a march to every cell would take {marched:.1f} s for its lines of sight alone")
    print(f"ratio {best / marched:.3f}; left after each condition: {found.left}")


def _march(heights: np.ndarray, eye_m: float) -> float:
    size = heights.shape[0]
    middle = size // 2
    rng = np.random.default_rng(1)
    picked = rng.integers(0, size, (size * size // 100, 2))
    begun = time.process_time()
    for row, column in picked:
        steps = max(abs(row - middle), abs(column - middle))
        if steps < 2:
            continue
        parts = np.arange(1, steps) / steps
        rows = np.round(middle + parts * (row - middle)).astype(int)
        columns = np.round(middle + parts * (column - middle)).astype(int)
        away = parts * math.hypot(row - middle, column - middle) * 0.5
        ((heights[rows, columns] - eye_m) / away).max()
    return (time.process_time() - begun) * 100 * 3


if __name__ == "__main__":
    main()
