"""What hangs above a perch and takes light: its canopy, in leaf and bare apart.

Not for: what stands in the way of the sun (`horizon`), though leaves change that too.
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence

import attrs

from scout.records.places import Canopy


@attrs.frozen(kw_only=True)
class Leaves:
    """What the canopy above a perch takes away [stops], and how that is known."""

    loss_ev: float
    leaf: str
    readings: int
    other_only: bool


def leaves_of(canopies: Sequence[Canopy], leaf: str) -> Leaves:
    """Answer what a canopy takes in one leaf, "in leaf" or "bare": the median of its measurings.

    Nothing where it was never measured so; `other_only` tells that it was in the other leaf.
    """
    losses = [canopy.loss_ev for canopy in canopies if canopy.leaf == leaf]
    if not losses:
        return Leaves(loss_ev=0.0, leaf=leaf, readings=0, other_only=bool(canopies))
    return Leaves(
        loss_ev=statistics.median(losses), leaf=leaf, readings=len(losses), other_only=False
    )
