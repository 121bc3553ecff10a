"""The survey of a skyline: many measurings and taps of the sun, made into one line.

Measurings are aimed, typed, traced on a photo or computed from terrain. A tap, *sun on it* or
*sun off it*, tells where the line runs to 0.2 degrees, whatever the compass said. Not for reading
the line (`skyline`). Trees in leaf and bare are two skylines: the caller says which one is not
the day's.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime
from typing import Literal

from attrs import evolve, field, frozen

from scout.engine.angles import apart_deg, wrap_deg
from scout.engine.instants import checked_seconds
from scout.engine.skyline import USUAL, Habits, Node, Skyline
from scout.engine.sun import SunPath

Source = Literal["aimed", "photo", "typed", "terrain"]

# A line that somebody looked at has the trees in it; bare terrain has not, however finely computed.
_RANK: dict[Source, int] = {"aimed": 0, "photo": 0, "typed": 1, "terrain": 2}
_SEAM_DEG = 0.1  # between the end of one line and the beginning of what fills its gap
_ALIKE = 1.5  # readings whose uncertainties differ by less than this count as equally good


@frozen
class Measuring:
    """One measuring of a skyline: its nodes, how it was made, how far its heading may be off.

    other_leaf: it was drawn in leaf and the day's trees are bare, or the other way about.
    """

    nodes: tuple[Node, ...] = field(converter=tuple[Node, ...])
    source: Source = "aimed"
    heading_plus_minus_deg: float = 0.0
    other_leaf: bool = False


@frozen
class Tap:
    """The moment at which the sun came on the perch (or went off it), noted on the spot."""

    at_utc: datetime
    sun_on: bool = True


def skyline_from(
    measurings: Sequence[Measuring],
    taps: Sequence[Tap] = (),
    lat_deg: float | None = None,
    lon_deg: float | None = None,
    habits: Habits = USUAL,
) -> Skyline | None:
    """Build one skyline from all that is known of it, or return None where nothing is.

    Where measurings overlap, what was seen from the spot counts before what was typed; what was
    drawn in the other leaf tells only of azimuths that neither tells of, and terrain, which may
    lack the trees, only of those that nobody measured. Among equals the smaller ± counts, and
    alike ones are averaged, their half spread kept as the ±. Taps need the perch's place, and each
    becomes a node at the sun's azimuth; the line within `tap_pull_deg` is drawn along, fading out.
    Raises ValueError for two nodes of one measuring at one azimuth and for a tap by night.
    """
    measured = [one for one in measurings if one.source != "terrain"]
    layers = (
        [one for one in measured if not one.other_leaf],
        [one for one in measured if one.other_leaf],
        [one for one in measurings if one.source == "terrain"],
    )
    lines = [line for layer in layers if (line := _merged(layer, habits)) is not None]
    line, further = lines[0] if lines else None, lines[1:]
    if taps:
        if lat_deg is None or lon_deg is None:
            raise ValueError("Taps of the sun need the latitude and longitude of the perch.")
        tapped = _tap_nodes(taps, SunPath(lat_deg, lon_deg), habits)
        line = Skyline([*_pulled(line, tapped, habits), *tapped], habits)
    for other in further:
        line = other if line is None else _filled(line, other)
    return line


def _filled(line: Skyline, other: Skyline) -> Skyline:
    """Fill the azimuths that a line does not tell of from another; the rest stays as it is."""
    ends, outside = [], []
    for end in line.ends():
        for off in (-_SEAM_DEG, _SEAM_DEG):
            azimuth = wrap_deg(end.azimuth_deg + off)
            there = other.at(azimuth)
            if there is not None and line.at(azimuth) is None:
                ends.append(end)
                outside.append(
                    Node(
                        azimuth,
                        there.altitude_deg,
                        there.plus_minus_deg,
                        there.what,
                        there.heading_plus_minus_deg,
                    )
                )
    # What lies just beyond both would be joined across what each tells of: both stay level there.
    met = _met(line, other)
    ends += met
    outside += [
        end
        for end in _met(other, line)
        if all(apart_deg(end.azimuth_deg, one.azimuth_deg) >= _SEAM_DEG for one in met)
    ]
    seams = [node.azimuth_deg for node in (*ends, *outside)]
    inside = [
        node
        for node in other.nodes
        if line.at(node.azimuth_deg) is None
        and not any(apart_deg(node.azimuth_deg, seam) < _SEAM_DEG for seam in seams)
    ]
    return Skyline([*line.nodes, *ends, *outside, *inside], line.habits)


def _met(line: Skyline, other: Skyline) -> list[Node]:
    """Return the ends of a line that are joined to another's node which lies beyond its reach."""
    habits = line.habits
    found = []
    for end in line.ends():
        outward = 1.0 if line.at(end.azimuth_deg + _SEAM_DEG) is None else -1.0
        if other.at(end.azimuth_deg + outward * _SEAM_DEG) is not None:
            continue  # a seam of its own
        further = min(
            (outward * (azimuth - end.azimuth_deg)) % 360.0 for azimuth in other.azimuths_deg
        )
        if further <= habits.widest_gap_deg - habits.reach_deg:
            found.append(end)
    return found


def _merged(measurings: Sequence[Measuring], habits: Habits) -> Skyline | None:
    lines: list[tuple[int, Skyline]] = []
    for measuring in measurings:
        if measuring.source not in _RANK:
            raise ValueError(
                f"The source of a skyline is {measuring.source!r}: it must be one of "
                f"{', '.join(_RANK)}."
            )
        if measuring.nodes:
            nodes = [
                evolve(
                    node,
                    heading_plus_minus_deg=max(
                        node.heading_plus_minus_deg, measuring.heading_plus_minus_deg
                    ),
                )
                for node in measuring.nodes
            ]
            lines.append((_RANK[measuring.source], Skyline(nodes, habits)))
    if len(lines) < 2:
        return lines[0][1] if lines else None
    azimuths = sorted(azimuth for _, line in lines for azimuth in line.azimuths_deg)
    merged: list[Node] = []
    for azimuth in azimuths:
        if merged and azimuth - merged[-1].azimuth_deg < 0.05:
            continue
        merged.append(_best(azimuth, lines))
    return Skyline(merged, habits)


def _best(azimuth: float, lines: Sequence[tuple[int, Skyline]]) -> Node:
    known = [(rank, line, line.at(azimuth)) for rank, line in lines]
    top = min(rank for rank, _, reading in known if reading is not None)
    rivals = [
        (line.plus_minus_at(azimuth) or 0.0, reading)
        for rank, line, reading in known
        if reading is not None and rank == top
    ]
    least = min(total for total, _ in rivals)
    alike = [reading for total, reading in rivals if total <= _ALIKE * least]
    heights = [reading.altitude_deg for reading in alike]
    best = min(rivals, key=lambda rival: rival[0])[1]
    return Node(
        azimuth,
        math.fsum(heights) / len(heights),
        max(best.plus_minus_deg, (max(heights) - min(heights)) / 2.0),
        best.what,
        best.heading_plus_minus_deg,
    )


def _tap_nodes(taps: Sequence[Tap], path: SunPath, habits: Habits) -> list[Node]:
    points: list[tuple[float, float]] = []
    for tap in taps:
        altitude, azimuth = path.apparent(checked_seconds(tap.at_utc, "at_utc of a tap"))
        if altitude < -1.0:
            raise ValueError(
                f"The sun was {-altitude:.1f} degrees below the horizon at the tap of "
                f"{tap.at_utc.isoformat()}: check the clock and the time zone."
            )
        points.append((azimuth, altitude))
    points.sort()
    groups: list[list[tuple[float, float]]] = []
    for point in points:
        if groups and point[0] - groups[-1][0][0] < 0.5:
            groups[-1].append(point)
        else:
            groups.append([point])
    nodes = []
    for group in groups:
        heights = [altitude for _, altitude in group]
        nodes.append(
            Node(
                math.fsum(azimuth for azimuth, _ in group) / len(group),
                math.fsum(heights) / len(heights),
                max(habits.tap_plus_minus_deg, (max(heights) - min(heights)) / 2.0),
                "tapped",
            )
        )
    return nodes


def _pulled(line: Skyline | None, tapped: Sequence[Node], habits: Habits) -> list[Node]:
    if line is None:
        return []
    off = []
    for tap in tapped:
        was = line.altitude_at(tap.azimuth_deg)
        off.append((tap, None if was is None else tap.altitude_deg - was))
    nodes = []
    for node in line.nodes:
        pulls = []
        for tap, residual in off:
            apart = abs((tap.azimuth_deg - node.azimuth_deg + 180.0) % 360.0 - 180.0)
            pulls.append((1.0 - apart / habits.tap_pull_deg, residual, tap, apart))
        if any(apart < 0.5 for *_, apart in pulls):
            continue  # the tap stands in its place
        near = [(w, r, tap) for w, r, tap, _ in pulls if w > 0.0 and r is not None]
        if not near:
            nodes.append(node)
            continue
        shift = math.fsum(w * r for w, r, _ in near) / max(1.0, math.fsum(w for w, *_ in near))
        weight, _, tap = max(near, key=lambda pull: pull[0])
        nodes.append(
            evolve(
                node,
                altitude_deg=min(90.0, max(-30.0, node.altitude_deg + shift)),
                plus_minus_deg=weight * tap.plus_minus_deg + (1.0 - weight) * node.plus_minus_deg,
                heading_plus_minus_deg=(1.0 - weight) * node.heading_plus_minus_deg,
            )
        )
    return nodes
