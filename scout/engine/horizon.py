"""A pin's skyline put together from its records: lines aimed, typed, traced, and taps of the sun.

Not for: the line itself (`skyline`), how readings are weighed (`survey`), or when the sun clears
it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import cast

import attrs

from scout.engine.declination import declination, true_from
from scout.engine.skyline import Node
from scout.engine.skyline import Skyline as Line
from scout.engine.sun import sun_position
from scout.engine.survey import Measuring, Source, Tap, skyline_from
from scout.records.measured import Position
from scout.records.places import Skyline

# What each way of recording is good for where its ± was not noted [deg]: common practice.
_ALTITUDE_PLUS_MINUS_DEG = {"aimed": 1.5, "typed": 2.0, "photo": 1.0, "terrain": 0.5}
_TAPS = ("sun on it", "sun off it")
# What broadleaf trees are called in the leaf that a day is not.
_OTHER_LEAF = {"in leaf": "broadleaf bare", "bare": "broadleaf in leaf"}
_OTHER = {"in leaf": "bare", "bare": "in leaf"}
_MOVED = {
    "bare": "with trees in leaf; now the sun comes earlier",
    "in leaf": "with trees bare; now the sun comes later",
}
_LAND = "terrain"
_HEADING_PLUS_MINUS_DEG = {"aimed": 10.0, "typed": 10.0, "photo": 3.0, "terrain": 0.0}


@attrs.frozen(kw_only=True)
class Horizon:
    """A skyline with how it is known; `line` is None where nothing is recorded.

    `known` is of what was measured or tapped; `land_known` of the land, which speaks only where
    nobody did, empty where it was not asked. `remarks` are sentences on what was set aside, or
    stands for another season.
    """

    line: Line | None
    known: str
    taps: int
    land_known: str = ""
    remarks: tuple[str, ...] = ()

    @property
    def all_known(self) -> str:
        """How all of the line is known."""
        if self.land_known in ("", self.known):
            return self.known
        return f"{self.known}; elsewhere {self.land_known}"

    def known_at(self, what: str) -> str:
        """Say how the line is known where it is `what`."""
        return self.land_known if what == _LAND else self.known


def horizon(
    records: Sequence[Skyline],
    position: Position,
    at: datetime,
    leaf: str = "in leaf",
    leaf_on: Callable[[date], str] | None = None,
) -> Horizon:
    """Put a pin's skyline together for a day.

    `at` [aware] dates the magnetic declination of records without a time. Broadleaf trees in leaf
    and bare are two skylines: `leaf` is the day's, `leaf_on` answers it for the day of a tap, None
    where taps hold all year. A line drawn in the other leaf serves where there is no better one of
    the trees, and says so. A tap by night is set aside and named, for clocks lie. Raises ValueError
    for two nodes at one azimuth.
    """
    remarks: list[str] = []
    drawn = [record for record in records if record.nodes]
    seen = [record for record in drawn if record.source != _LAND]
    leafy = any(node.what in _OTHER_LEAF.values() for record in seen for node in record.nodes)
    taps = []
    of_other_leaf = 0
    for record in records:
        if record.source not in _TAPS or record.at is None:
            continue
        # Taps tell of the leaves of their own day; a line of conifers or hills has no season.
        if leafy and leaf_on is not None and leaf_on(record.at.at.date()) != leaf:
            of_other_leaf += 1
            continue
        height = sun_position(position.lat, position.lon, record.at.at).apparent_altitude_deg
        if height < -1.0:
            remarks.append(
                f"The tap of {record.at.at.isoformat()} was made by night and is set aside: check "
                "its clock."
            )
            continue
        taps.append(Tap(record.at.at, record.source == "sun on it"))
    measurings = [_measuring(record, position, at, leaf) for record in drawn]
    line = skyline_from(measurings, taps, position.lat, position.lon)
    if line is not None and any(node.what == _OTHER_LEAF[leaf] for node in line.nodes):
        like = any(not one.other_leaf and one.source != _LAND for one in measurings)
        remarks.insert(0, f"The skyline was drawn {'in part ' if like else ''}{_MOVED[leaf]}.")
    if of_other_leaf:
        said = "A tap of the sun" if of_other_leaf == 1 else f"{of_other_leaf} taps of the sun"
        counted = "is not counted" if of_other_leaf == 1 else "are not counted"
        remarks.append(f"{said} {counted} here: with trees {_OTHER[leaf]}, not {leaf}.")
    land = [record.source for record in drawn if record.source == _LAND]
    land_known = (
        f"{_known(land, 0 if seen else len(taps))}; trees its models lack are not in the ±"
        if land
        else ""
    )
    known = _known([record.source for record in seen], len(taps))
    return Horizon(
        line=line,
        known=known if seen or taps else land_known or known,
        land_known=land_known,
        taps=len(taps),
        remarks=tuple(remarks),
    )


def _measuring(record: Skyline, position: Position, at: datetime, leaf: str) -> Measuring:
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
            altitude if node.plus_minus_deg is None else node.plus_minus_deg,
            _LAND if record.source == _LAND else node.what or "",
        )
        for node in record.nodes
    ]
    return Measuring(
        nodes,
        cast(Source, record.source),
        heading + unsure,
        any(node.what == _OTHER_LEAF[leaf] for node in record.nodes),
    )


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
