"""What is worth knowing of a skyline from the land, in sentences: its trees, its gaps, its doubts.

Not for: finding it (`skylines`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from scout.engine.first_sun import VERY_UNSURE_DEG
from scout.terrain.model import SURFACE, Model, near
from scout.terrain.patch import Doubles
from scout.terrain.rings import Ring, distance_words, tree_words


def unsure_words(azimuths_deg: Doubles, plus_minus_deg: Doubles) -> str | None:
    """Warn of azimuths at which the line is hardly known, None where there are none.

    That is so where steep ground or a tree of the model stands within a few metres of a pin that
    may itself be off by as much.
    """
    much = np.round(plus_minus_deg) >= VERY_UNSURE_DEG
    if not much.any():
        return None
    worst = int(np.argmax(plus_minus_deg))
    return (
        f"unsure by up to ±{plus_minus_deg[worst]:.0f}° (at {azimuths_deg[worst]:.0f}°; over "
        f"{100.0 * much.mean():.0f} % of the line by ±{VERY_UNSURE_DEG:.0f}° or more): steep "
        "ground or trees too close to the pin; aim it on the spot"
    )


def remarks_of(
    found: Sequence[Ring],
    kind: str,
    told: Any,
    known_to: Doubles,
    holes: Doubles,
    reach_m: float,
    ground_m: float | None,
    ground_plus_minus_m: float,
    under_m: float,
    under_plus_minus_m: float,
) -> list[str]:
    """Say which trees are in it, from where on, how far, and with which holes."""
    if not found:
        return ["No model tells of the land further off: it is taken as level there."]
    words = tree_words(found)
    said = [f"{words[:1].upper()}{words[1:]}."]
    if kind == SURFACE and "not in it" in words:
        said.append("No surface model reaches here, so the bare earth was taken.")
    cells = found[0].patch
    finest = min(one.cell_m for one in cells.used)
    if found[0].start_m > 20.0:
        said.append(
            f"Nothing nearer than {distance_words(found[0].start_m)} is in it: the finest model "
            f"here has cells of {finest:.0f} m."
        )
    if not told.all():
        said.append(f"Over {100.0 * (1.0 - told.mean()):.0f} % of the circle no model tells of it.")
    short = known_to[told] < 0.95 * reach_m
    if short.any():
        nearest = float(known_to[told][short].min())
        said.append(
            f"The models end {distance_words(nearest)} away at the nearest; higher land beyond "
            "them is not in it."
        )
    if (holes[told] > 0.02 * known_to[told]).any():
        said.append("Holes in the models were skipped; a hill may stand in one.")
    if ground_m is not None:
        apart = ground_m - under_m
        if abs(apart) > math.hypot(ground_plus_minus_m, under_plus_minus_m) + 0.5:
            said.append(
                f"The ground was measured {abs(apart):.1f} m {'above' if apart > 0 else 'below'} "
                "the model's; the model's own is taken, which fits the land around it."
            )
    return said


def nowhere_words(models: Sequence[Model], lat_deg: float, lon_deg: float) -> str:
    """Say why no model tells of a place, and which is nearest."""
    if not models:
        return "there is no elevation model here yet; take one in first"
    if near(models, lat_deg, lon_deg, 0.0):
        return "the models have a hole here; get one without"
    nearest = min(models, key=lambda one: one.away_m(lat_deg, lon_deg))
    away = nearest.away_m(lat_deg, lon_deg)
    return (
        f"no elevation model covers this place; the nearest, {nearest.words}, ends "
        f"{distance_words(away)} away. Take in the tile in which it lies"
    )
