"""The two sizes of paper: their lengths, and how many letters stand in a line of each part.

Not for: what is written on them (`layout`).
"""

from __future__ import annotations

import attrs


@attrs.frozen(kw_only=True)
class Sheet:
    """One size of paper: lengths [mm], and how many letters stand in a line."""

    name: str
    sketch_mm: tuple[float, float]
    strip_mm: float
    short_strip_mm: float
    room_mm: tuple[float, ...]  # of each side, less what fonts may differ by
    head_mm: float
    beside_sketch_mm: float  # what stands under the sketch
    heading: int
    asked: int
    verdict: int
    verdict_lines: int
    time: int
    wrapped: int  # entries of the timeline that may take a second line
    note: int
    arrival: int
    title: int
    reason: int
    owed: int  # beneath a sightline with a short strip, across the page
    always: int  # the cautions that always hold, across the back
    reasons_beside: bool
    barred: int
    others: int
    columns: tuple[int, int, int]
    foot_mm: float


SHEETS = {
    "A4": Sheet(
        name="A4",
        sketch_mm=(98.0, 74.0),
        strip_mm=92.0,
        short_strip_mm=106.0,
        room_mm=(282.0,),
        head_mm=20.0,
        beside_sketch_mm=4.5,
        heading=56,
        asked=118,
        verdict=90,
        verdict_lines=3,
        time=54,
        wrapped=5,
        note=60,
        arrival=26,
        title=88,
        reason=68,
        owed=124,
        always=0,
        reasons_beside=True,
        barred=116,
        others=118,
        columns=(38, 65, 38),
        foot_mm=7.5,
    ),
    "A5": Sheet(
        name="A5",
        sketch_mm=(66.0, 76.0),
        strip_mm=132.0,
        short_strip_mm=64.0,
        room_mm=(196.0, 195.0),
        head_mm=20.0,
        beside_sketch_mm=17.5,
        heading=46,
        asked=86,
        verdict=64,
        verdict_lines=3,
        time=35,
        wrapped=9,
        note=48,
        arrival=14,
        title=68,
        reason=94,
        owed=90,
        always=92,
        reasons_beside=False,
        barred=84,
        others=80,
        columns=(47, 47, 47),
        foot_mm=6.0,
    ),
}
