"""Sun positions of 10,000 random places and times against pvlib's SPA and skyfield's DE421.

Run: python tests/bench/sun.py. Prints the largest errors and how the times compare in this run.
pvlib's `nrel_numpy` and skyfield work on whole arrays; the engine, which has no numpy, one by one.
"""

from __future__ import annotations

import math
import os
import random
import time
import warnings
from datetime import UTC, datetime, timedelta

import numpy as np
from pvlib import spa
from skyfield.api import load, load_file, wgs84

from scout.engine.instants import seconds_of
from scout.engine.sun import SunPath, sun_position

COUNT = 10_000
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def ephemeris_folder() -> str:
    """Return where the packaged DE421 lies."""
    import skyfield_data

    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "The file finals2000A.all has expired", RuntimeWarning)
        return str(skyfield_data.get_skyfield_data_path())


def worst(altitude, azimuth, true_altitude, true_azimuth) -> str:  # type: ignore[no-untyped-def]
    """Say the largest differences in altitude and in azimuth times cos(altitude) [deg]."""
    turn = (azimuth - true_azimuth + 180) % 360 - 180
    off = np.abs(turn * np.cos(np.radians(true_altitude))).max()
    return f"altitude {np.abs(altitude - true_altitude).max():.4f}, azimuth*cos {off:.4f} degrees"


def main() -> None:
    """Print errors and ratios."""
    random.seed(20250514)
    first, last = datetime(1950, 1, 2, tzinfo=UTC), datetime(2053, 9, 1, tzinfo=UTC)
    span = int((last - first).total_seconds())
    times = [first + timedelta(seconds=random.randrange(span)) for _ in range(COUNT)]
    lats = [math.degrees(math.asin(random.uniform(-1, 1))) for _ in times]
    lons = [random.uniform(-180, 180) for _ in times]

    start = time.perf_counter()
    found = [sun_position(a, b, t) for a, b, t in zip(lats, lons, times, strict=True)]
    engine_s = time.perf_counter() - start
    path, seconds = SunPath(52.0, 0.0), [1.7e9 + 60.0 * i for i in range(COUNT)]
    start = time.perf_counter()
    for moment in seconds:
        path.apparent(moment)
    path_s = time.perf_counter() - start

    altitude = np.array([p.altitude_deg for p in found])
    azimuth = np.array([p.azimuth_deg for p in found])
    unix = np.array([seconds_of(t) for t in times])
    lat, lon = np.array(lats), np.array(lons)
    delta_t = spa.calculate_deltat(
        np.array([t.year for t in times]), np.array([t.month for t in times])
    )
    start = time.perf_counter()
    nrel = spa.solar_position_numpy(unix, lat, lon, 0.0, 1010.0, 10.0, delta_t, 0.5667, 1)
    nrel_s = time.perf_counter() - start

    ephemeris = load_file(os.path.join(ephemeris_folder(), "de421.bsp"))
    scale = load.timescale(builtin=True)
    start = time.perf_counter()
    at = scale.ut1_jd(2440587.5 + unix / 86400)
    observer = (ephemeris["earth"] + wgs84.latlon(lat, lon)).at(at)
    alt, az, _ = observer.observe(ephemeris["sun"]).apparent().altaz()
    sky_s = time.perf_counter() - start

    print(f"{COUNT} random places and times, 1950 to 2053")
    print(f"against pvlib nrel_numpy: {worst(altitude, azimuth, nrel[3], nrel[4])}")
    print(f"against skyfield DE421:   {worst(altitude, azimuth, alt.degrees, az.degrees)}")
    print("wanted:                   altitude 0.0200, azimuth*cos 0.0300 degrees")
    for name, ours_s in (("sun_position", engine_s), ("SunPath", path_s)):
        print(
            f"{name}: {1e6 * ours_s / COUNT:.2f} us each; time / pvlib's {ours_s / nrel_s:.2f}, "
            f"time / skyfield's {ours_s / sky_s:.2f}"
        )


if __name__ == "__main__":
    main()
