"""The skyline: how high the visible horizon stands, all round a perch.

A line through nodes (azimuth, apparent altitude), each with its own uncertainty. Where nobody
looked, the answer is None and not a guess. Not for how it is measured (`survey`) nor for when
the sun clears it (`clearing`).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence

from attrs import evolve, frozen

from scout.engine.angles import bearing, finite, wrap_deg

_SAME_AZIMUTH_DEG = 1e-6


@frozen
class Node:
    """One point of a skyline.

    azimuth_deg: true, 0..360 [deg]. altitude_deg: apparent, as seen, -30..90 [deg].
    plus_minus_deg: of the altitude [deg]. what: hill, conifer, broadleaf and so on.
    heading_plus_minus_deg: how far the azimuth may be off together with its neighbours [deg].
    """

    azimuth_deg: float
    altitude_deg: float
    plus_minus_deg: float = 1.0
    what: str = ""
    heading_plus_minus_deg: float = 0.0

    def __attrs_post_init__(self) -> None:
        bearing(self.azimuth_deg, "azimuth of a skyline node")
        if not -30.0 <= finite(self.altitude_deg, "altitude of a skyline node") <= 90.0:
            raise ValueError(
                f"The altitude of a skyline node is {self.altitude_deg:g}: it must lie between "
                "-30 and 90 degrees."
            )
        for name, value in (
            ("altitude", self.plus_minus_deg),
            ("heading", self.heading_plus_minus_deg),
        ):
            if finite(value, f"plus-minus of a skyline node's {name}") < 0.0:
                raise ValueError(
                    f"The plus-minus of a skyline node's {name} is {value:g}: give 0 or more."
                )


@frozen
class Habits:
    """Settings of a skyline [deg], all ours.

    reach_deg: how far the outermost nodes speak beyond themselves. widest_gap_deg: neighbours
    further apart are not joined. tap_plus_minus_deg: what a tap is good to. tap_pull_deg: how
    far from a tap the measured line is drawn along.
    """

    reach_deg: float = 3.0
    widest_gap_deg: float = 45.0
    tap_plus_minus_deg: float = 0.2
    tap_pull_deg: float = 5.0


USUAL = Habits()


@frozen
class Reading:
    """What a skyline says at one azimuth: altitude, its ±, the heading's ± [deg], and what."""

    altitude_deg: float
    plus_minus_deg: float
    heading_plus_minus_deg: float
    what: str


class Skyline:
    """A skyline round a perch, linear between nodes, across north too.

    Raises ValueError for no node at all and for two nodes at one azimuth.
    """

    def __init__(self, nodes: Sequence[Node], habits: Habits = USUAL) -> None:
        if not nodes:
            raise ValueError("A skyline needs at least one node: an azimuth and an altitude.")
        self.nodes = tuple(sorted(nodes, key=lambda node: wrap_deg(node.azimuth_deg)))
        self.habits = habits
        self.azimuths_deg = [wrap_deg(node.azimuth_deg) for node in self.nodes]
        count = len(self.nodes)
        self._gaps = [
            (self.azimuths_deg[(i + 1) % count] - self.azimuths_deg[i]) % 360.0 or 360.0
            for i in range(count)
        ]
        for azimuth, gap in zip(self.azimuths_deg, self._gaps, strict=True):
            if gap < _SAME_AZIMUTH_DEG or (count > 1 and gap == 360.0):
                raise ValueError(
                    f"Two skyline nodes lie at azimuth {azimuth:g}: keep one altitude for it."
                )

    def at(self, azimuth_deg: float) -> Reading | None:
        """Return all that is known at an azimuth [deg], or None where nothing was recorded."""
        place = self._place(azimuth_deg)
        if place is None:
            return None
        before, after, part = place
        return Reading(
            before.altitude_deg + part * (after.altitude_deg - before.altitude_deg),
            before.plus_minus_deg + part * (after.plus_minus_deg - before.plus_minus_deg),
            before.heading_plus_minus_deg
            + part * (after.heading_plus_minus_deg - before.heading_plus_minus_deg),
            before.what if part < 0.5 else after.what,
        )

    def altitude_at(self, azimuth_deg: float) -> float | None:
        """Return the apparent altitude of the line at an azimuth [deg], None where not recorded."""
        place = self._place(azimuth_deg)
        if place is None:
            return None
        before, after, part = place
        return before.altitude_deg + part * (after.altitude_deg - before.altitude_deg)

    def plus_minus_at(self, azimuth_deg: float) -> float | None:
        """Return the ± of the altitude at an azimuth [deg], the heading's part included.

        The heading's part is the slope of the line times the heading's ±, in quadrature.
        """
        reading = self.at(azimuth_deg)
        if reading is None:
            return None
        heading = reading.heading_plus_minus_deg
        if heading == 0.0:
            return reading.plus_minus_deg
        left, right = (
            self.shifted_altitude_at(azimuth_deg, way * heading, reading.altitude_deg)
            for way in (-1.0, 1.0)
        )
        return math.hypot(reading.plus_minus_deg, (right - left) / 2.0)

    def shifted_altitude_at(self, azimuth_deg: float, by_deg: float, otherwise: float) -> float:
        """Return the altitude [deg] if the whole line stood further clockwise by so much [deg].

        otherwise: the answer where that would read beyond what was recorded.
        """
        altitude = self.altitude_at(azimuth_deg - by_deg)
        return otherwise if altitude is None else altitude

    def ends(self) -> list[Node]:
        """Return where what was recorded ends and begins, as nodes a reach beyond the outermost."""
        reach = self.habits.reach_deg
        ends = []
        for i, gap in enumerate(self._gaps):
            if gap > max(self.habits.widest_gap_deg, 2.0 * reach):
                last, first = self.nodes[i], self.nodes[(i + 1) % len(self.nodes)]
                ends.append(evolve(last, azimuth_deg=wrap_deg(last.azimuth_deg + reach)))
                ends.append(evolve(first, azimuth_deg=wrap_deg(first.azimuth_deg - reach)))
        return ends

    def _place(self, azimuth_deg: float) -> tuple[Node, Node, float] | None:
        azimuth = azimuth_deg % 360.0
        i = bisect_right(self.azimuths_deg, azimuth) - 1
        gap = self._gaps[i]
        past = (azimuth - self.azimuths_deg[i]) % 360.0
        node, following = self.nodes[i], self.nodes[(i + 1) % len(self.nodes)]
        if gap <= self.habits.widest_gap_deg:
            return node, following, min(1.0, past / gap)
        if min(past, gap - past) > self.habits.reach_deg:
            return None
        nearest = node if past <= gap - past else following
        return nearest, nearest, 0.0


def sky_factor(skyline: Skyline | None, facing_deg: float) -> float:
    """Return the share of its sky that an upright face still sees over a skyline, 0..1 [unitless].

    facing_deg: the true bearing the face looks to, from the perch towards the lens [deg]. For
    an even sky, weighted by the cosine at the face; a line of one altitude g all round gives
    1 - (2/pi)(g + sin g cos g). Azimuths not recorded, and a line below level, count as open.
    """
    facing = bearing(facing_deg, "facing")
    if skyline is None:
        return 1.0
    seen, weights = [], []
    for step in range(180):
        off = step - 89.5
        weight = math.cos(math.radians(off))
        altitude = skyline.altitude_at(facing + off)
        g = math.radians(max(0.0, altitude or 0.0))
        weights.append(weight)
        seen.append(weight * (1.0 - (2.0 / math.pi) * (g + math.sin(g) * math.cos(g))))
    return max(0.0, min(1.0, math.fsum(seen) / math.fsum(weights)))


def recorded_share(skyline: Skyline | None, facing_deg: float) -> float:
    """Return the share of the half circle before a face in which the skyline is recorded, 0..1."""
    facing = bearing(facing_deg, "facing")
    if skyline is None:
        return 0.0
    return sum(skyline.altitude_at(facing + step - 89.5) is not None for step in range(180)) / 180
