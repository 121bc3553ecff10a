"""The moon against JPL's DE421 and a published worked example."""

from __future__ import annotations

import os
import warnings
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from skyfield.almanac import fraction_illuminated
from skyfield.api import load, load_file, wgs84

from scout.engine.moon import moon_position

COUNT = 20_000 if os.environ.get("SCOUT_FULL") == "1" else 400
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def test_agrees_with_de421() -> None:
    # Wanted: 1 degree and 2 % of the disc, enough to walk by. Held: what was measured.
    import skyfield_data

    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "The file finals2000A.all has expired", RuntimeWarning)
        folder = skyfield_data.get_skyfield_data_path()
    ephemeris = load_file(os.path.join(folder, "de421.bsp"))
    random = np.random.default_rng(3)
    times = [
        datetime(1950, 1, 2, tzinfo=UTC) + timedelta(seconds=int(s))
        for s in random.integers(0, 37_000 * 86400, COUNT)
    ]
    lat, lon = random.uniform(-89, 89, COUNT), random.uniform(-180, 180, COUNT)
    found = [moon_position(float(a), float(b), t) for a, b, t in zip(lat, lon, times, strict=True)]
    at = load.timescale(builtin=True).ut1_jd(
        np.array([2440587.5 + (t - EPOCH) / timedelta(days=1) for t in times])
    )
    observer = (ephemeris["earth"] + wgs84.latlon(lat, lon)).at(at)
    altitude, azimuth, _ = observer.observe(ephemeris["moon"]).apparent().altaz()
    lit = fraction_illuminated(ephemeris, "moon", at)
    ephemeris.close()
    ours = np.array([p.altitude_deg for p in found])
    turn = (np.array([p.azimuth_deg for p in found]) - azimuth.degrees + 180) % 360 - 180
    assert np.abs(ours - altitude.degrees).max() < 0.05
    assert np.abs(turn * np.cos(np.radians(ours))).max() < 0.05
    assert np.abs(np.array([p.lit for p in found]) - lit).max() < 0.001


def test_meeus_lit_fraction() -> None:
    # Meeus, Astronomical Algorithms, ex. 48.a: 1992-04-12 0h TD, k = 0.6786 (from memory).
    moon = moon_position(0.0, 0.0, datetime(1992, 4, 12, tzinfo=UTC))
    assert moon.lit == pytest.approx(0.6786, abs=0.002)


def test_up_or_not_in_words() -> None:
    day = datetime(2025, 5, 14, tzinfo=UTC)
    seen = [moon_position(52.0, 0.0, day + timedelta(hours=h)) for h in range(24)]
    assert {moon.up for moon in seen} == {True, False}
    for moon in seen:
        assert moon.up is (moon.altitude_deg >= -0.825)
        expected = f"moon up, {100 * moon.lit:.0f} %" if moon.up else "moon down"
        assert moon.words == expected


def test_bad_input_is_a_sentence() -> None:
    with pytest.raises(ValueError, match="at_utc has no time zone"):
        moon_position(52.0, 0.0, datetime(2025, 5, 14))
    with pytest.raises(ValueError, match="lon_deg is 181"):
        moon_position(52.0, 181.0, datetime(2025, 5, 14, tzinfo=UTC))
