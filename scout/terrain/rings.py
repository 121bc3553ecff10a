"""The land round a place in rings: fine cells near it, coarser ones as far as they serve.

Each ring is a patch of its own, read from the models that are fine enough there, coarsest first, so
that a far field of kilometres costs no more than the near one. Not for: looking along rays.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

import attrs

from scout.terrain.model import BARE, SURFACE, Model, near
from scout.terrain.patch import Patch, patch_of

CELLS_OUT: Final = 400.0
"""A cell is fine enough at this many times its side: it then spans a seventh of a degree."""

GROWTH: Final = 2.0


@attrs.frozen(eq=False)
class Ring:
    """The land between two distances [m] on one patch."""

    start_m: float
    end_m: float
    patch: Patch


def rings(
    models: Sequence[Model],
    lat_deg: float,
    lon_deg: float,
    reach_m: float,
    kind: str = BARE,
    start_m: float | None = None,
    cells_out: float = CELLS_OUT,
    growth: float = GROWTH,
) -> Iterator[Ring]:
    """Answer the rings out to a distance [m], nearest first; none where no model reaches.

    A ring without any known cell is left out. `start_m` where the first one begins, one cell and a
    half out by itself: the cell on which the eye stands hides nothing. `cells_out`: from how many
    of its sides on a cell is fine enough; `growth`: how much further out each ring ends.
    """
    around = near(models, lat_deg, lon_deg, reach_m)
    over = [one for one in around if one.covers(lat_deg, lon_deg)] or around
    if not over:
        return
    wanted = [one for one in over if one.kind == kind] or over
    cell = min(one.cell_m for one in wanted)
    inner = 1.5 * cell if start_m is None else start_m
    ends = {one.id: one.furthest_m(lat_deg, lon_deg) for one in around}
    while inner < reach_m:
        # What ends before the ring begins tells nothing in it.
        here = [
            one for one in near(around, lat_deg, lon_deg, inner * growth) if ends[one.id] > inner
        ]
        best = min(here, key=lambda one: one.cell_m, default=None)
        cell = max(cell if best is None else best.cell_m, inner / cells_out)
        outer = max(cell * cells_out, inner * growth)
        if best is not None and best.cell_m < cell * 1.01:
            outer = min(outer, max(ends[best.id], inner + cell))
        # The last patch is not to be a little larger than the one before.
        outer = reach_m if outer * 1.3 > reach_m else outer
        if not here:
            inner = outer
            continue
        patch = patch_of(here, lat_deg, lon_deg, outer + cell, cell, kind)
        if patch.known_share > 0.0:
            yield Ring(inner, outer, patch)
        inner = outer


def made_from(found: Sequence[Ring]) -> str:
    """Say which models the land was told by, and from where on."""
    said: list[str] = []
    for ring in found:
        names = " and ".join(one.words for one in ring.patch.used)
        if said and said[-1].startswith(names):
            continue
        where = "" if not said else f" from {distance_words(ring.start_m)}"
        said.append(f"{names}{where}")
    return "; ".join(said)


def tree_words(found: Sequence[Ring]) -> str:
    """Say whether trees stand in the land as it was told."""
    kinds = {one.kind for ring in found for one in ring.patch.used}
    if kinds == {SURFACE}:
        return "trees are in it"
    if SURFACE in kinds:
        return "trees are in it where the surface model reaches"
    return "bare earth: trees are not in it"


def distance_words(distance_m: float) -> str:
    """Say a distance: "240 m", "1.8 km", "12 km"."""
    if distance_m < 1000.0:
        return f"{distance_m:.0f} m"
    km = distance_m / 1000.0
    return f"{km:.1f} km" if km < 9.95 and not math.isclose(km, round(km)) else f"{km:.0f} km"
