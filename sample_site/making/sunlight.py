"""When the sun is where over the invented ground, so that log and taps agree with the real sky.

astral gives the sun's geometric place (good to 0.02 degrees), Saemundsson's formula the refraction.
Not for: what the notebook computes; it has its own engine, and the sample must not lean on it.
"""

from __future__ import annotations

import datetime as dt
import itertools
import math
import zoneinfo
from collections.abc import Callable, Sequence

from astral import Observer
from astral.sun import azimuth, elevation
from making.ground import CENTRES, ZONE, place_of

Line = Sequence[tuple[float, float]]
zoneinfo.reset_tzpath(())  # zones from the tzdata package, not from the machine
_ZONE = zoneinfo.ZoneInfo(ZONE)

# The true skylines [azimuth, apparent altitude, degrees]: what stands there if nobody measures.
SKYLINES: dict[str, Line] = {
    "ditch-post": (
        *((40, 6.5), (55, 7.6), (70, 8.2), (85, 7.4), (100, 5.8), (115, 4.6), (130, 3.9)),
        *((150, 3.4), (170, 3.0), (190, 3.2), (215, 4.1), (230, 5.2), (250, 6.6), (270, 7.4)),
        *((290, 7.0), (305, 6.2), (325, 5.4)),
    ),
    "bramble-spray": (
        *((40, 5.8), (55, 7.0), (70, 7.7), (85, 6.6), (100, 5.2), (115, 4.3), (130, 3.7)),
        *((150, 3.2), (170, 3.0), (190, 3.1), (215, 4.0), (235, 5.5), (255, 7.1), (275, 7.9)),
        *((295, 7.2), (320, 6.0)),
    ),
    "gorse-bank": (
        *((40, 3.4), (60, 4.0), (80, 4.3), (100, 3.9), (120, 3.1), (145, 2.6), (170, 2.5)),
        *((200, 2.8), (225, 3.6), (250, 5.0), (275, 6.2), (300, 6.0), (325, 4.8)),
    ),
    "pool-margin": (
        *((40, 4.6), (60, 5.2), (80, 5.0), (100, 4.4), (120, 3.6), (145, 3.0), (170, 2.7)),
        *((200, 3.0), (225, 4.4), (250, 6.4), (275, 7.2), (300, 6.4), (325, 5.0)),
    ),
    "hedge-gap": (
        *((40, 3.0), (65, 3.4), (90, 3.8), (115, 3.4), (140, 2.9), (170, 2.6), (200, 2.8)),
        *((225, 3.3), (250, 4.0), (275, 4.6), (300, 4.2), (325, 3.5)),
    ),
    "brook-log": (
        *((40, 11.0), (60, 13.0), (80, 14.0), (100, 12.0), (120, 8.4), (140, 6.0), (165, 5.6)),
        *((195, 6.0), (220, 8.2), (245, 10.5), (270, 12.4), (295, 12.0), (325, 10.0)),
    ),
    "grey-boulder": (
        *((40, 4.8), (60, 5.0), (80, 4.6), (100, 4.0), (120, 3.4), (145, 3.1), (170, 3.3)),
        *((200, 4.4), (225, 6.6), (250, 9.0), (275, 10.2), (300, 9.4), (325, 7.6)),
    ),
    "ride-end": (
        *((40, 8.8), (65, 10.6), (90, 11.2), (115, 9.0), (140, 6.4), (170, 4.8), (200, 4.2)),
        *((225, 4.8), (250, 6.4), (275, 8.2), (300, 9.0), (325, 8.4)),
    ),
}


def along(line: Line, azimuth_deg: float) -> float:
    """Answer a skyline's altitude [degrees] at an azimuth, straight between its nodes."""
    points = [*line, (line[0][0] + 360.0, line[0][1])]
    turned = azimuth_deg if azimuth_deg >= points[0][0] else azimuth_deg + 360.0
    for (a, low), (b, high) in itertools.pairwise(points):
        if a <= turned <= b:
            return low + (high - low) * (turned - a) / (b - a)
    raise ValueError(f"no skyline at {azimuth_deg:g} degrees")


def geometric_deg(site: str, at: dt.datetime) -> float:
    """Answer the sun's altitude [degrees] without refraction."""
    observer = Observer(*CENTRES[site], 0.0)
    # astral drops what is below a second, which the search for a tap's second does not need.
    return elevation(observer, at.astimezone(dt.UTC), with_refraction=False)


def apparent(site: str, at: dt.datetime) -> tuple[float, float]:
    """Answer the sun's azimuth and apparent altitude [degrees]; Saemundsson (1986)."""
    observer = Observer(*CENTRES[site], 0.0)
    high = geometric_deg(site, at)
    if high > -1.0:
        high += 1.02 / math.tan(math.radians(high + 10.3 / (high + 5.11))) / 60.0
    return azimuth(observer, at.astimezone(dt.UTC)), high


def _first(
    start: dt.datetime, end: dt.datetime, over: Callable[[dt.datetime], bool]
) -> dt.datetime:
    """Answer the first second, from start towards end, at which something holds."""
    step = dt.timedelta(minutes=4) if end > start else dt.timedelta(minutes=-4)
    at = start
    while not over(at):
        at += step
        if (end - at) * (1 if end > start else -1) < dt.timedelta(0):
            raise ValueError(f"not so between {start} and {end}")
    before = at - step
    while abs(at - before) > dt.timedelta(seconds=1):
        middle = before + dt.timedelta(seconds=round((at - before).total_seconds() / 2))
        if over(middle):
            at = middle
        else:
            before = middle
    return at


def _clock(day: dt.date, hour: int) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(hour), _ZONE).astimezone(dt.UTC)


def reaches(site: str, day: dt.date, altitude_deg: float, *, rising: bool) -> dt.datetime:
    """Answer when the sun's geometric centre passes an altitude, in the morning or evening."""
    start, end = (_clock(day, 1), _clock(day, 13)) if rising else (_clock(day, 23), _clock(day, 12))
    return _first(start, end, lambda at: geometric_deg(site, at) >= altitude_deg)


def clears(perch: str, day: dt.date, *, rising: bool) -> dt.datetime:
    """Answer when the sun comes over a perch's true skyline, or goes behind it in the evening."""
    site = place_of(perch)[0]

    def lit(at: dt.datetime) -> bool:
        turn, high = apparent(site, at)
        return high >= along(SKYLINES[perch], turn)

    start, end = (_clock(day, 1), _clock(day, 13)) if rising else (_clock(day, 23), _clock(day, 12))
    return _first(start, end, lit)


def written(at: dt.datetime) -> str:
    """Write an instant as a person there would: local time with its offset."""
    return at.astimezone(_ZONE).isoformat(timespec="seconds")
