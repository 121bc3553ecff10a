"""A year of one sightline: when the sun crosses its skyline, against minute-by-minute SPA.

Run: python tests/bench/season.py. Brute force is pvlib's `nrel_numpy` at every minute of 365 days,
with its own refraction switched off and the engine's formula applied to it, held against the
same skyline. Every boundary must agree within a minute, and the engine be five times as fast.
"""

from __future__ import annotations

import math
import time
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
from pvlib import solarposition

from scout.engine.clearing import sun_on
from scout.engine.instants import seconds_of
from scout.engine.skyline import Node, Skyline

START = datetime(2025, 1, 1, tzinfo=UTC)
LAT, LON = 52.0, 0.0


def skyline() -> Skyline:
    """Return a wooded skyline: 120 nodes, hills of 4 to 14 degrees with treetops on them."""
    return Skyline(
        [
            Node(a, 9 + 4 * math.sin(math.radians(2 * a)) + 1.5 * math.sin(a * 0.9))
            for a in np.arange(0.0, 360.0, 3.0).tolist()
        ]
    )


def main() -> None:
    """Print agreement and ratio."""
    line = skyline()
    start = time.perf_counter()
    found = sun_on(line, LAT, LON, START, START + timedelta(days=365), with_plus_minus=False)
    engine_s = time.perf_counter() - start
    ours = sorted(
        [(seconds_of(t.start.at_utc), True) for t in found.times if not t.start.cut]
        + [(seconds_of(t.end.at_utc), False) for t in found.times if not t.end.cut]
    )

    start = time.perf_counter()
    minutes = pd.date_range(START, periods=365 * 1440 + 1, freq="min")
    sun = solarposition.get_solarposition(minutes, LAT, LON, method="nrel_numpy")
    true = sun["elevation"].to_numpy()
    lifted = np.clip(1.02 / np.tan(np.radians(true + 10.3 / (true + 5.11))) / 60, 0, None) * (
        true >= -1
    )
    azimuths = [*line.azimuths_deg, line.azimuths_deg[0] + 360]
    heights = [*(n.altitude_deg for n in line.nodes), line.nodes[0].altitude_deg]
    clear = true + lifted - np.interp(sun["azimuth"].to_numpy(), azimuths, heights)
    above = clear >= 0
    changes = np.flatnonzero(above[1:] != above[:-1])
    brute_s = time.perf_counter() - start

    first = seconds_of(START)
    theirs = [(first + 60.0 * (i + 0.5), bool(above[i + 1])) for i in changes.tolist()]
    # What lasts under two minutes may fall between the minutes: both lists without it.
    print(f"boundaries: engine {len(ours)}, minute by minute {len(theirs)}")
    lonely = 0
    worst = 0.0
    for mine, others in ((ours, theirs), (theirs, ours)):
        for at, rising in mine:
            off = min(abs(at - o) for o, r in others if r is rising)
            if off > 90:
                lonely += 1
                i = round((at - first) / 60)
                print(
                    f"  no partner: minute {i}, clearance {np.abs(clear[i - 2 : i + 3]).min():.4f}"
                )
            else:
                worst = max(worst, off)
    print(f"worst difference {worst:.0f} s (30 s of it is the minute's own); no partner: {lonely}")
    print(f"engine {engine_s:.3f} s, brute force {brute_s:.3f} s")
    print(f"time of brute force / time of the engine: {brute_s / engine_s:.1f} (wanted 5)")


if __name__ == "__main__":
    main()
