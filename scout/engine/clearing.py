"""Clearing: when the sun stands above a perch's skyline, and how surely that is known.

The *apparent* centre of the sun is held against the *apparent* skyline. Each edge carries its ±
in minutes, from the altitude's ± and from the heading's, which shifts the whole line. With no
skyline, or outside the recorded part, a level horizon is assumed and said to be. Not for how much
light that is (`light`), nor for twilight (`sessions`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime

from attrs import frozen

from scout.engine.crossings import Crossing
from scout.engine.instants import checked_place, checked_seconds, instant_of
from scout.engine.scene import LEVEL, Scene, look
from scout.engine.skyline import Skyline
from scout.engine.sun import SEMIDIAMETER_DEG, SunPath

_SAME_EVENT_S = 3.0 * 3600.0


@frozen
class Edge:
    """One end of a time in the sun.

    azimuth_deg, altitude_deg: of the sun's centre then, apparent [deg]. plus_minus_min: from
    the line's ± in altitude and heading, in quadrature [min]; None where nothing is known of it.
    sure: False where the sun might not cross the line at all, were it off by its ±. limb_utc:
    when the first (at the end: the last) of the disc is over the line; None where unknown.
    assumed_level: no skyline is recorded in that direction, so trees and hills make a start later
    and an end earlier. cut: the asked-for window ends here, not the sun; then plus_minus_min and
    limb_utc are None.
    """

    at_utc: datetime
    azimuth_deg: float
    altitude_deg: float
    plus_minus_min: float | None
    limb_utc: datetime | None
    assumed_level: bool
    what: str
    sure: bool = True
    cut: bool = False


@frozen
class InSun:
    """One time during which the sun stands above the skyline."""

    start: Edge
    end: Edge


@frozen
class SunOn:
    """All times within a window during which the sun stands above the skyline, in order.

    assumed_level: some edge, or the lack of any, rests on an assumed level horizon.
    perhaps: the sun does not clear the line as recorded, but would with it lower by its ±.
    """

    times: tuple[InSun, ...]
    always_on: bool
    never_on: bool
    assumed_level: bool
    perhaps: bool = False

    @property
    def first_on(self) -> Edge | None:
        """The first moment at which the sun comes over the line within the window, or None."""
        return next((time.start for time in self.times if not time.start.cut), None)

    @property
    def last_off(self) -> Edge | None:
        """The last moment at which the sun goes behind the line within the window, or None."""
        return next((time.end for time in reversed(self.times) if not time.end.cut), None)


def sun_on(
    skyline: Skyline | None,
    lat_deg: float,
    lon_deg: float,
    start_utc: datetime,
    end_utc: datetime,
    *,
    path: SunPath | None = None,
    with_plus_minus: bool = True,
) -> SunOn:
    """Return all times in a window during which the sun's centre stands above a skyline.

    skyline: None for a level horizon. start_utc, end_utc: aware, 1950 to 2100. path: the sun's
    way over this very place, where the caller has it already (the sightlines of one site may
    share one). with_plus_minus: leave False for long windows in which only edges count.
    Raises ValueError for naive or reversed times and for a place off the globe.
    """
    checked_place(lat_deg, lon_deg)
    start = checked_seconds(start_utc, "start_utc")
    end = checked_seconds(end_utc, "end_utc")
    if not start < end:
        raise ValueError(
            f"start_utc ({start_utc.isoformat()}) must lie before end_utc ({end_utc.isoformat()})."
        )
    scene = look(path or SunPath(lat_deg, lon_deg), skyline, start, end)
    found = scene.solve(scene.plain)
    inside = [crossing for crossing in found.found if start < crossing.at_s < end]
    before = [crossing for crossing in found.found if crossing.at_s <= start]
    on = before[-1].rising if before else found.starts_above
    edges = _Edges(scene, found.found, with_plus_minus)
    times: list[InSun] = []
    opened = edges.cut(start) if on else None
    for crossing in inside:
        edge = edges.of(crossing)
        if crossing.rising:
            opened = edge
        elif opened is not None:
            times.append(InSun(opened, edge))
            opened = None
    if opened is not None:
        times.append(InSun(opened, edges.cut(end)))
    never = not times
    assumed = any(t.start.assumed_level or t.end.assumed_level for t in times)
    return SunOn(
        times=tuple(times),
        always_on=on and not inside,
        never_on=never,
        assumed_level=skyline is None or assumed,
        perhaps=never and with_plus_minus and edges.perhaps(start, end),
    )


class _Edges:
    """The edges of a scene, with what a line a little off would make of them."""

    def __init__(self, scene: Scene, found: Sequence[Crossing], with_plus_minus: bool) -> None:
        self.scene = scene
        nodes = scene.skyline.nodes if scene.skyline is not None else ()
        self._full = with_plus_minus
        self._limb: tuple[Crossing, ...] = ()
        self._offsets: list[tuple[tuple[Crossing, ...], tuple[Crossing, ...]]] = []
        if not (with_plus_minus and found):
            return
        plain = scene.plain
        self._limb = scene.solve(lambda azimuth: plain(azimuth) - SEMIDIAMETER_DEG).found
        if any(node.plus_minus_deg > 0.0 for node in nodes):
            self._offsets.append((self._raised(-1.0), self._raised(1.0)))
        if any(node.heading_plus_minus_deg > 0.0 for node in nodes):
            self._offsets.append(
                (scene.solve(scene.turned(-1.0)).found, scene.solve(scene.turned(1.0)).found)
            )

    def _raised(self, way: float) -> tuple[Crossing, ...]:
        return self.scene.solve(self.scene.raised(way)).found

    def perhaps(self, start: float, end: float) -> bool:
        """Return whether the sun would come over the line if it stood lower by its ±."""
        if self.scene.skyline is None:
            return False
        lowered = self.scene.solve(self.scene.raised(-1.0))
        return any(start < crossing.at_s < end for crossing in lowered.found)

    def cut(self, seconds: float) -> Edge:
        altitude, azimuth = self.scene.path.apparent(seconds)
        line = self.scene.line(azimuth)
        return Edge(
            instant_of(seconds), azimuth, altitude, None, None, line is LEVEL, line.what, cut=True
        )

    def of(self, crossing: Crossing) -> Edge:
        altitude, azimuth = self.scene.path.apparent(crossing.at_s)
        line = self.scene.line(azimuth)
        limb = self._first_limb(crossing)
        known = self._full and line is not LEVEL
        plus_minus_min, sure = self._plus_minus_min(crossing) if known else (None, True)
        return Edge(
            crossing.at_utc,
            azimuth,
            altitude,
            plus_minus_min,
            None if limb is None else limb.at_utc,
            line is LEVEL,
            line.what,
            sure,
        )

    def _first_limb(self, crossing: Crossing) -> Crossing | None:
        outside = [
            limb
            for limb in self._limb
            if limb.rising is crossing.rising
            and (limb.at_s <= crossing.at_s if crossing.rising else limb.at_s >= crossing.at_s)
        ]
        return _nearest(crossing, outside)

    def _plus_minus_min(self, crossing: Crossing) -> tuple[float | None, bool]:
        """Return the ± of a crossing [min], and whether it happens whichever way the line is off.

        Half the span between the line off one way and the other; where one way there is no
        crossing at all, the distance to the other.
        """
        parts: list[float] = []
        sure = True
        for pair in self._offsets:
            same = [
                _nearest(crossing, [c for c in found if c.rising is crossing.rising])
                for found in pair
            ]
            ats = [other.at_s for other in same if other is not None]
            sure = sure and len(ats) == 2
            if not ats:
                return None, False
            there, back = ats[0], ats[1] if len(ats) == 2 else crossing.at_s
            parts.append(abs(back - there) / (2.0 if len(ats) == 2 else 1.0))
        return math.hypot(*parts) / 60.0, sure


def _nearest(crossing: Crossing, others: Sequence[Crossing]) -> Crossing | None:
    near = min(others, key=lambda other: abs(other.at_s - crossing.at_s), default=None)
    return near if near and abs(near.at_s - crossing.at_s) <= _SAME_EVENT_S else None
