"""Where to stand, or what gap to find, for the blur that is wished for or that another kit gives.

Never nearer than the keep-distance: without one there is no answer. Not for: places on a map.
"""

from __future__ import annotations

from math import floor, inf
from typing import Any

from scout.engine.background import (
    Stand,
    blur_over_animal,
    blur_sentence,
    largest_distance_for_ratio_m,
    same_blur_mm,
    smallest_gap_for_ratio_m,
    smallest_gap_m,
    stand_for_blur,
)
from scout.engine.carried import noun_of, optic_of
from scout.engine.kit_table import gap_words, read_gap
from scout.engine.optics import Optic, magnification
from scout.engine.request import Request
from scout.records.kit import Species


def stand_where(request: dict[str, Any]) -> dict[str, Any]:
    """Answer where to stand and what gap to find.

    The request has `kit`, `species`, `distance_m` and `gap_m` (or "sky") as they are now, and what
    is wanted: `like`, another kit whose blur from here is wanted (at `like_distance_m`,
    `like_gap_m` where these differ), or `times_animal`, the blur over the animal's length.
    `in_hide` chooses the keep-distance. Raises ValueError with a sentence a line.
    """
    asked = Request(request)
    kit, species = asked.record("kit", "kit"), asked.record("species", "species")
    distance = asked.number("distance_m", low=0.01, high=5000, unit="m")
    gap = asked.plain("gap_m", read_gap)
    like = asked.record("like", "kit", needed=False)
    like_distance = asked.number("like_distance_m", low=0.01, high=5000, unit="m", needed=False)
    like_gap = asked.plain("like_gap_m", read_gap, needed=False)
    times = asked.number("times_animal", low=0.001, high=100, needed=False)
    in_hide = asked.flag("in_hide")
    if (like is None) == (times == 0.0):
        asked.fault("give either another kit to match, or times_animal, and not both", "like")
    asked.close()

    optic = optic_of(kit)
    if like is not None:
        other = optic_of(like)
        other_distance = like_distance or distance
        other_gap = gap if like_gap is None else like_gap
        if other_gap == 0.0:
            raise ValueError("gap_m: 0 m behind the animal nothing blurs; give what kit B sees.")
        wanted = same_blur_mm(optic, other, other_distance, other_gap)
        source = f"as {like.name} gives at {other_distance:g} m with {gap_words(other_gap)} behind"
    else:
        wanted = times * 1000.0 * species.length_m * magnification(optic.focal_mm, distance)
        source = blur_sentence(times, noun_of(species))
    keep = species.keep_distance_open_m
    if in_hide and species.keep_distance_hide_m is not None:
        keep = species.keep_distance_hide_m
    # Nearer than the keep-distance nothing is offered, no gap either.
    start = distance if keep is None else max(distance, keep)
    if like is not None:
        smallest = smallest_gap_m(optic, start, wanted)
    else:
        smallest = smallest_gap_for_ratio_m(optic, start, times, species.length_m)
    now = blur_over_animal(optic, distance, gap, species.length_m) if gap > 0.0 else 0.0
    if gap == 0.0:
        stand = Stand(None, "nothing blurs where the background touches it: find a gap first")
    elif like is not None:
        stand = stand_for_blur(
            optic,
            gap_m=gap,
            wanted_mm=wanted,
            keep_distance_m=keep,
            length_m=species.length_m,
            animal=noun_of(species),
        )
    else:
        stand = _stand_for_ratio(optic, species, gap, times, keep)
    return {
        "wanted": source,
        "wanted_blur_mm": round(wanted, 3),
        "now": f"{blur_sentence(now, noun_of(species))} at {distance:g} m, {gap_words(gap)} behind",
        "gap_from_m": round(start, 2),
        "smallest_gap_m": None if smallest is None else round(smallest, 1),
        "gap_words": _gap_sentence(distance, start, smallest),
        "largest_distance_m": stand.distance_m,
        "stand_words": stand.sentence,
        "keep_distance_m": keep,
        "sky_behind": gap == inf,
    }


def _gap_sentence(distance: float, start: float, smallest: float | None) -> str:
    words = (
        f"from {start:g} m not even the sky behind it blurs so much"
        if smallest is None
        else f"from {start:g} m, find a background at least {smallest:.1f} m behind it"
    )
    if start > distance:
        return f"{distance:g} m is nearer than your keep-distance; {words}"
    return words


def _stand_for_ratio(
    optic: Optic, species: Species, gap: float, times: float, keep: float | None
) -> Stand:
    """Answer where to stand for a blur of so many lengths of the animal."""
    noun = noun_of(species)
    if keep is None:
        return Stand(None, f"no keep-distance is set for this {noun}: set your own first")
    nearest = max(keep, optic.nearest_focus_m, optic.focal_mm / 1000.0 + 0.1)
    farthest = largest_distance_for_ratio_m(optic, gap, times, species.length_m)
    if farthest == inf:
        return Stand(None, "from any distance, with the sky behind it")
    shown = None if farthest is None else floor(farthest * 10.0 + 1e-9) / 10.0
    if shown is not None and shown >= nearest:
        return Stand(shown, f"stand at most {shown:.1f} m from it (keep-distance {keep:g} m)")
    wider = smallest_gap_for_ratio_m(optic, nearest, times, species.length_m)
    if wider is None:
        return Stand(None, "not with this kit, whatever stands behind it")
    return Stand(
        None,
        f"not with this gap: from {nearest:.1f} m, find a background at least {wider:.1f} m "
        "behind it",
    )
