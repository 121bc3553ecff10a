"""The scene: the sun's way through a window of time, held against a skyline.

The sun is looked at once; every question (the line as recorded, higher, lower, turned) is then
asked of the same samples. Not for what the answers mean: that is `clearing`.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence

from attrs import frozen

from scout.engine.crossings import Crossings, crossings_between, scan
from scout.engine.skyline import Reading, Skyline
from scout.engine.sun import SunPath

_SCAN_S = 600.0
_PAD_S = 3600.0
# In one step of the scan the sun climbs at most 2.5 degrees; refraction sets in with 0.65.
_STRAY_DEG = 2.0
_FAR_DEG = 3.5
_HIDDEN_DEG = 1.3  # from a sample to the middle of the step
LEVEL = Reading(0.0, 0.0, 0.0, "level horizon assumed")


@frozen
class Scene:
    """The sun's way and the line along it, looked at once for every question about them."""

    path: SunPath
    skyline: Skyline | None
    moments: list[float]
    suns: list[tuple[float, float]]  # apparent altitude, azimuth; NaN where far from any line
    lowest: float
    highest: float

    def line(self, azimuth: float) -> Reading:
        """Return what the skyline says at an azimuth [deg], LEVEL where nothing is recorded."""
        reading = None if self.skyline is None else self.skyline.at(azimuth)
        return LEVEL if reading is None else reading

    def solve(self, level: Callable[[float], float]) -> Crossings:
        """Find when the sun passes a level given as a function of azimuth [deg]."""

        def height(t: float) -> float:
            altitude, azimuth = self.path.apparent(t)
            return altitude - level(azimuth)

        middle = (self.lowest + self.highest) / 2.0
        heights = [
            altitude - level(azimuth)
            if not math.isnan(azimuth)
            else altitude - (self.lowest if altitude < middle else self.highest)
            for altitude, azimuth in self.suns
        ]
        return crossings_between(height, self.moments, heights, _HIDDEN_DEG)

    def plain(self, azimuth: float) -> float:
        """Return the line as recorded at an azimuth [deg]."""
        altitude = None if self.skyline is None else self.skyline.altitude_at(azimuth)
        return 0.0 if altitude is None else altitude

    def raised(self, way: float) -> Callable[[float], float]:
        """Return the line higher by so many times the ± of its altitude."""

        def level(azimuth: float) -> float:
            reading = self.line(azimuth)
            return reading.altitude_deg + way * reading.plus_minus_deg

        return level

    def turned(self, way: float) -> Callable[[float], float]:
        """Return the line turned clockwise by so many times the ± of its heading."""

        def level(azimuth: float) -> float:
            reading = self.line(azimuth)
            if self.skyline is None or reading is LEVEL:
                return 0.0
            by = way * reading.heading_plus_minus_deg
            return self.skyline.shifted_altitude_at(azimuth, by, reading.altitude_deg)

        return level


def look(path: SunPath, skyline: Skyline | None, start: float, end: float) -> Scene:
    """Sample the sun over a window [s] and an hour beyond, and wherever the line turns."""
    nodes = () if skyline is None else skyline.nodes
    lowest = min(0.0, *(node.altitude_deg for node in nodes)) if nodes else 0.0
    highest = max(0.0, *(node.altitude_deg for node in nodes)) if nodes else 0.0
    unsure = max((node.plus_minus_deg for node in nodes), default=0.0)
    bottom, top = lowest - unsure - _FAR_DEG, highest + unsure + _FAR_DEG
    moments = scan(start - _PAD_S, end + _PAD_S, _SCAN_S)
    suns = [_sun(path, t, bottom, top) for t in moments]
    if skyline is None:
        return Scene(path, None, moments, suns, lowest, highest)
    kinks = _kinks(skyline)
    azimuths = [azimuth for azimuth, _ in kinks]
    slack = _STRAY_DEG + unsure
    all_moments, all_suns = [moments[0]], [suns[0]]
    for i in range(len(moments) - 1):
        for t in _kink_moments(kinks, azimuths, slack, skyline, moments, suns, i):
            all_moments.append(t)
            all_suns.append(path.apparent(t))
        all_moments.append(moments[i + 1])
        all_suns.append(suns[i + 1])
    return Scene(path, skyline, all_moments, all_suns, lowest, highest)


def _sun(path: SunPath, t: float, bottom: float, top: float) -> tuple[float, float]:
    """Return apparent altitude and azimuth [deg]; by night and high up the azimuth is spared."""
    altitude = path.altitude_deg(t)
    if bottom <= altitude <= top:
        return path.apparent(t)
    return altitude, math.nan


def _kinks(skyline: Skyline) -> list[tuple[float, float]]:
    """Return azimuth and altitude of every place where the line turns or ends, by azimuth [deg]."""
    kinks = list(
        zip(skyline.azimuths_deg, (node.altitude_deg for node in skyline.nodes), strict=True)
    )
    for end in skyline.ends():
        for side in (-0.02, 0.02):
            azimuth = end.azimuth_deg + side
            kinks.append((azimuth % 360.0, skyline.altitude_at(azimuth) or 0.0))
    return sorted(kinks)


def _kink_moments(
    kinks: Sequence[tuple[float, float]],
    azimuths: Sequence[float],
    slack: float,
    skyline: Skyline,
    moments: Sequence[float],
    suns: Sequence[tuple[float, float]],
    i: int,
) -> list[float]:
    """Return when, within step i of the scan, the sun passes the kinks it might cross the line at.

    Between them the height above the line is smooth, so that the search loses no crossing; in
    azimuth the way is taken as even over the step, which is close enough for samples.
    """
    (low, azimuth), (high, after) = suns[i], suns[i + 1]
    turn = (after - azimuth + 180.0) % 360.0 - 180.0
    if not abs(turn) <= 60.0:  # far from any line, or beside the zenith, where none stands
        return []
    start, width = (azimuth, turn) if turn >= 0.0 else (after, -turn)
    first, last = bisect_left(azimuths, start), bisect_right(azimuths, start + width)
    passed = list(kinks[first:last])
    if start + width >= 360.0:
        passed += kinks[: bisect_right(azimuths, start + width - 360.0)]
    if not passed:
        return []
    ends = [skyline.altitude_at(azimuth) or 0.0, skyline.altitude_at(after) or 0.0]
    line = [*ends, *(altitude for _, altitude in passed)]
    if min(low, high) - slack > max(line) or max(low, high) + slack < min(line):
        return []
    span = moments[i + 1] - moments[i]
    parts = [((kink - start) % 360.0) / width if width else 0.5 for kink, _ in passed]
    if turn < 0.0:
        parts = [1.0 - part for part in parts]
    return sorted(moments[i] + part * span for part in parts if 0.001 < part < 0.999)
