"""Rises, sets and twilights of 2,000 random place-days against skyfield's DE421.

Half of the places lie between 55 and 80 degrees of latitude, where events graze their level.

Run: python tests/bench/events.py [place-days]. An event must lie within max(10 s, 0.02 degrees /
rate); where one side has an event that the other has not, the day's turn must lie within 0.02
degrees of the level or the event within its tolerance of the day's edge.
"""

from __future__ import annotations

import math
import os
import random
import sys
import time
import warnings
from datetime import UTC, datetime, timedelta

import numpy as np
from skyfield import almanac
from skyfield.api import load, load_file, wgs84

from scout.engine.crossings import crossings
from scout.engine.sun import SunPath

LEVELS = (-50 / 60, -6.0, -12.0, -18.0)
DAY = timedelta(days=1)
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def main() -> None:
    """Print how many events agree, the worst of them, and the ratio of times."""
    import skyfield_data

    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "The file finals2000A.all has expired", RuntimeWarning)
        folder = skyfield_data.get_skyfield_data_path()
    ephemeris = load_file(os.path.join(folder, "de421.bsp"))
    earth, sun, scale = ephemeris["earth"], ephemeris["sun"], load.timescale(builtin=True)
    random.seed(20250514)
    engine_s = sky_s = 0.0
    events = missing = excused = wrong = 0
    worst_s = worst_share = 0.0
    for _ in range(count):
        lat, lon = math.degrees(math.asin(random.uniform(-1, 1))), random.uniform(-180, 180)
        if random.random() < 0.5:  # where events graze their level
            lat = random.choice((-1, 1)) * random.uniform(55, 80)
        start = datetime(1950, 1, 2, tzinfo=UTC) + timedelta(days=random.randrange(37_600))
        level = random.choice(LEVELS)
        clock = time.perf_counter()
        path = SunPath(lat, lon)
        found = crossings(
            lambda t, p=path, h=level: p.altitude_deg(t) - h, start, start + DAY
        ).found
        engine_s += time.perf_counter() - clock
        observer = earth + wgs84.latlon(lat, lon)
        from_jd = 2440587.5 + (start - EPOCH) / DAY
        edges = scale.ut1_jd(from_jd), scale.ut1_jd(from_jd + 1)
        clock = time.perf_counter()
        both = [
            f(observer, sun, *edges, level) for f in (almanac.find_risings, almanac.find_settings)
        ]
        sky_s += time.perf_counter() - clock
        for rising, (at, real) in zip((True, False), both, strict=True):
            ours = [(c.at_s / 86400 + 2440587.5) for c in found if c.rising is rising]
            theirs = [float(t.ut1) for t, ok in zip(at, real, strict=True) if ok]
            for mine, others in ((ours, theirs), (theirs, ours)):
                for event in mine:
                    minutes = event + np.arange(-120, 121) / 1440
                    altitude = observer.at(scale.ut1_jd(minutes)).observe(sun).apparent()
                    near = altitude.altaz()[0].degrees
                    rate = abs(near[121] - near[119]) / 120
                    tolerance = max(10.0, 0.02 / max(rate, 1e-6))
                    off = min((abs(event - o) * 86400 for o in others), default=math.inf)
                    events += 1
                    if off <= tolerance:
                        worst_share = max(worst_share, off / tolerance)
                        if rate > 3 / 3600:
                            worst_s = max(worst_s, off)
                        continue
                    missing += 1
                    edge = min(event - from_jd, from_jd + 1 - event) * 86400
                    turns = near[1:-1][np.diff(near)[:-1] * np.diff(near)[1:] <= 0]
                    if edge <= tolerance or np.any(np.abs(turns - level) < 0.0205):
                        excused += 1
                    else:
                        wrong += 1
                        print("wrong:", lat, lon, start, level, rising, off)
    print(f"{count} place-days, 1950 to 2052; {events} events seen from either side")
    print(f"worst where the sun climbs faster than 3 degrees/h: {worst_s:.1f} s")
    print(f"worst as a share of its tolerance: {worst_share:.2f}")
    print(f"on one side only: {missing}, of these grazing or at the day's edge: {excused}")
    print(f"wrong: {wrong}")
    print(f"time of skyfield / time of the engine: {sky_s / engine_s:.0f}")


if __name__ == "__main__":
    main()
