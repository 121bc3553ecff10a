"""A pin's skyline put together from its records: lines aimed, typed, traced, and taps of the sun.

Not for: the line itself (`skyline`), how readings are weighed (`survey`), or when the sun clears
it.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import cast

import attrs

from scout.engine.declination import declination, true_from
from scout.engine.skyline import Node
from scout.engine.skyline import Skyline as Line
from scout.engine.survey import Measuring, Source, Tap, skyline_from
from scout.records.measured import Position
from scout.records.places import Skyline

# What each way of recording is good for where its ± was not noted [deg]: common practice.
_ALTITUDE_PLUS_MINUS_DEG = {"aimed": 1.5, "typed": 2.0, "photo": 1.0, "terrain": 0.5}
_HEADING_PLUS_MINUS_DEG = {"aimed": 10.0, "typed": 10.0, "photo": 3.0, "terrain": 0.0}


@attrs.frozen(kw_only=True)
class Horizon:
    """A skyline with how it is known; `line` is None where nothing is recorded."""

    line: Line | None
    known: str
    taps: int
    with_leaves: bool


def horizon(records: Sequence[Skyline], position: Position, at: datetime) -> Horizon:
    """Put a pin's skyline together.

    `at` [aware] dates the magnetic declination of records without a time. Raises ValueError for
    a tap by night and for two nodes at one azimuth.
    """
    measurings = [_measuring(record, position, at) for record in records if record.nodes]
    taps = [
        Tap(record.at.at, record.source == "sun on it")
        for record in records
        if record.source in ("sun on it", "sun off it") and record.at is not None
    ]
    line = skyline_from(measurings, taps, position.lat, position.lon)
    return Horizon(
        line=line,
        known=_known([record.source for record in records if record.nodes], len(taps)),
        taps=len(taps),
        with_leaves=any(
            node.what == "broadleaf in leaf" for record in records for node in record.nodes
        ),
    )


def _measuring(record: Skyline, position: Position, at: datetime) -> Measuring:
    when = record.at.at if record.at is not None else at
    turned, unsure = 0.0, 0.0
    if record.reference == "magnetic":
        here = declination(position.lat, position.lon, when)
        turned, unsure = here.declination_deg, here.plus_minus_deg
    altitude = record.altitude_plus_minus_deg
    heading = record.heading_plus_minus_deg
    if altitude is None:
        altitude = _ALTITUDE_PLUS_MINUS_DEG[record.source]
    if heading is None:
        heading = _HEADING_PLUS_MINUS_DEG[record.source]
    nodes = [
        Node(
            true_from(node.azimuth_deg, record.reference or "true", turned),
            node.altitude_deg,
            altitude,
            node.what or "",
        )
        for node in record.nodes
    ]
    return Measuring(nodes, cast(Source, record.source), heading + unsure)


def _known(sources: Sequence[str], taps: int) -> str:
    """How the line is known, as a card says it: "aimed, once" or "typed, sharpened by 2 taps"."""
    if not sources and not taps:
        return "not recorded"
    words = ""
    if sources:
        kinds = sorted(set(sources), key=list(_ALTITUDE_PLUS_MINUS_DEG).index)
        times = {1: "once", 2: "twice"}.get(len(sources), f"{len(sources)} times")
        words = f"{' and '.join(kinds)}, {times}"
    if taps:
        tapped = f"{taps} tap{'s' if taps > 1 else ''} of the sun"
        words = f"{words}, sharpened by {tapped}" if words else f"from {tapped}"
    return words
