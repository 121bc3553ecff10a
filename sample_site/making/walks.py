"""The timed walk-ins, drawn through the landmarks, with what of each leg a perch can see.

Not for: the places themselves (`places`).
"""

from __future__ import annotations

import math

from making.ground import Record, between

# vantage: (the way there, for each leg the perches that can see it, cautions)
_WAYS: dict[str, tuple[list[str], list[list[str]], str]] = {
    "pump-house": (
        ["dray-yard", "field-gate", "ditch-bend", "pump-house"],
        [[], [], []],
        "One plank over the ditch: lamp down, hand free.",
    ),
    "track-end": (["dray-yard", "field-gate", "track-end"], [[], ["hedge-gap"]], ""),
    "hedge-foot": (
        ["dray-yard", "field-gate", "ditch-bend", "hedge-foot"],
        [[], [], ["ditch-post", "bramble-spray"]],
        "Not along the pool: soft ground.",
    ),
    "bank-seat": (["dray-yard", "field-gate", "bank-seat"], [[], ["hedge-gap"]], ""),
    "bale-row": (["dray-yard", "field-gate", "bale-row"], [[], ["hedge-gap"]], ""),
    "root-plate": (
        ["wood-lay-by", "ride-gate", "hollow-oak", "leaning-ash", "root-plate"],
        [[], ["ride-end"], [], ["grey-boulder"]],
        "Do not stop under the leaning ash.",
    ),
    "ride-hide": (
        ["wood-lay-by", "ride-gate", "hollow-oak", "ride-hide"],
        [[], ["ride-end"], []],
        "Roots across the last thirty metres.",
    ),
}


def walk_ins() -> list[Record]:
    """Answer the timed walk-ins, each with its legs."""
    made = []
    for vantage, (stops, seen, cautions) in _WAYS.items():
        legs = []
        for start, end, seen_from in zip(stops[:-1], stops[1:], seen, strict=True):
            bearing, distance = between(start, end)
            leg: Record = {"bearing_deg": round(bearing), "distance_m": round(distance)}
            if seen_from:
                leg["seen_from"] = seen_from
            legs.append(leg)
        length = sum(leg["distance_m"] for leg in legs)
        record: Record = {
            "id": f"way-{vantage}",
            "vantage": vantage,
            "start": stops[0],
            "dark_min": math.ceil(length / 30) + 1,
            "day_min": math.ceil(length / 50) + 1,
            "legs": legs,
        }
        if cautions:
            record["cautions"] = cautions
        made.append(record)
    return made
