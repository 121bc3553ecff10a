"""Rays from an eye over the land: how steeply each rises to the ground at every distance.

A slope is rise over distance, less what the Earth's curve and the bending of light take away. The
land may be told by several patches, each for a ring of distances. Not for: which patches (`rings`).
"""

from __future__ import annotations

from typing import Final

import numpy as np

from scout.engine.geodesy import MEAN_RADIUS_M, REFRACTION_K
from scout.terrain.patch import Doubles, Patch

STEP_CELLS: Final = 0.7  # along a ray, in cells: no cell is stepped over
NEAR_STEP_CELLS: Final = 0.15  # where a crest between two looks would matter
NEAR_CELLS: Final = 40.0


def drop_m(distance_m: Doubles, k: float = REFRACTION_K) -> Doubles:
    """Give how far the ground falls below a level line over distances [m], D²(1 − k)/2R."""
    fall: Doubles = np.square(distance_m) * ((1.0 - k) / (2.0 * MEAN_RADIUS_M))
    return fall


def distances_m(start_m: float, end_m: float, cell_m: float) -> Doubles:
    """Give the distances at which a ray is looked at, from start to end, both included [m].

    Closer together within the first cells, where a crest that is missed by a little stands high.
    """
    turn = min(end_m, NEAR_CELLS * cell_m)
    parts = []
    if start_m < turn:
        count = max(1, int(np.ceil((turn - start_m) / (NEAR_STEP_CELLS * cell_m))))
        parts.append(np.linspace(start_m, turn, count + 1)[:-1])
    begin = max(start_m, turn)
    count = max(1, int(np.ceil((end_m - begin) / (STEP_CELLS * cell_m))))
    parts.append(np.linspace(begin, end_m, count + 1) if end_m > begin else np.array([end_m]))
    return np.concatenate(parts)


def heights_along(patch: Patch, azimuths_deg: Doubles, along_m: Doubles) -> Doubles:
    """Give the ground's height along rays from a patch's middle: [ray, distance], NaN unknown."""
    turn = np.radians(azimuths_deg)[:, None]
    return patch.at(np.sin(turn) * along_m, np.cos(turn) * along_m)


def slopes(heights: Doubles, along_m: Doubles, eye_m: float, k: float = REFRACTION_K) -> Doubles:
    """Turn heights along rays [ray, distance] into apparent slopes seen from an eye's height [m].

    NaN where the ground is not known. The arctangent of a slope is the apparent altitude.
    """
    rises: Doubles = (heights - (eye_m + drop_m(along_m, k))) / along_m
    return rises
