"""What one eye sees of the land round it: how high over the ground a thing must stand to be seen.

The land is swept ring by ring from the eye outwards; what hides a cell is taken between the two
cells before it on the way to the eye (reference planes, as by Wang, Robinson and White 2000). Not
for: one line looked at closely (`sight`), skylines (`skylines`).
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from scout.engine.geodesy import MEAN_RADIUS_M, REFRACTION_K
from scout.terrain.patch import Floats, Patch

FINE_ENOUGH: Final = 10.0
"""A line of sight is trusted from this many cells on."""

_NOTHING: Final = np.float32(-1e9)


def hidden_m(patch: Patch, eye_m: float, k: float = REFRACTION_K) -> Floats:
    """Give how far above the ground the line of sight from the middle passes, cell by cell [m].

    A thing on a cell is seen where it stands higher than that; negative: the ground itself is seen.
    `eye_m` is the eye's height above sea level. The cell of the eye and its neighbours hide
    nothing. NaN where the ground is not known; unknown ground hides nothing.
    """
    heights = patch.heights_m
    size = patch.size
    middle = (size - 1) // 2
    bend = (1.0 - k) / (2.0 * MEAN_RADIUS_M)
    cell = patch.cell_m
    limit = np.empty_like(heights)
    # The four sides of a ring: each as rows that lead away from the eye.
    sides = _sides(heights, middle)
    out = _sides(limit, middle)
    limit[middle, middle] = heights[middle, middle] - eye_m
    eye = np.float32(eye_m)
    beside = np.arange(-middle, middle + 1, dtype=np.float64)
    squares = (beside * beside).astype(np.float32)
    before: npt.NDArray[Any] = np.full((4, 1), _NOTHING, dtype=np.float32)
    for ring in range(1, middle + 1):
        span = slice(middle - ring, middle + ring + 1)
        land = np.empty((4, 2 * ring + 1), dtype=np.float32)
        for side in range(4):
            land[side] = sides[side][ring, span]
        squared = squares[span] + np.float32(ring * ring)
        away = np.sqrt(squared) * np.float32(cell)
        fall = squared * np.float32(cell * cell * bend) + eye
        if ring == 1:
            shade = np.full_like(land, _NOTHING)
        else:
            # Where the way to the eye crosses the ring before, in cells of that ring.
            cross = beside[span] * ((ring - 1) / ring) + (ring - 1)
            low = np.minimum(cross.astype(np.intp), 2 * ring - 3)
            part = (cross - low).astype(np.float32)
            left = before[:, low]
            shade = left + (before[:, low + 1] - left) * part
        slope = (land - fall) / away
        for side in range(4):
            # The line over the cell, less the ground: what must be stood higher than.
            out[side][ring, span] = shade[side] * away + fall - land[side]
        slope = np.where(np.isnan(slope), _NOTHING, slope)
        before = np.maximum(shade, slope)
    found: Floats = np.where(limit < -1e6, np.float32(-np.inf), limit)
    return found


def _sides(grid: npt.NDArray[Any], middle: int) -> list[npt.NDArray[Any]]:
    """Look at a grid from its middle to the north, south, east and west: rows lead away."""
    return [
        grid[middle::-1, :],
        grid[middle:, :],
        grid.T[middle:, :],
        grid.T[middle::-1, :],
    ]


def too_coarse(cell_m: float, distance_m: float) -> str | None:
    """Say why a line of sight cannot be trusted, None where it can."""
    if cell_m <= distance_m / FINE_ENOUGH * 1.0001:
        return None
    return (
        f"cells of {cell_m:.2g} m are too coarse for a line of {distance_m:.0f} m; a model with "
        f"cells of {_rounded_down(distance_m / FINE_ENOUGH):g} m or less is needed"
    )


def _rounded_down(metres: float) -> float:
    step = 10.0 ** math.floor(math.log10(metres))
    return math.floor(metres / step * 10.0 + 1e-9) / 10.0 * step
