"""The sun's position against NREL's SPA, JPL's DE421 and published worked examples."""

from __future__ import annotations

import json
import os
import warnings
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from astral import Observer
from astral.sun import azimuth as astral_azimuth
from astral.sun import elevation as astral_elevation
from hypothesis import given
from hypothesis import strategies as st
from skyfield.api import load, load_file, wgs84

from scout.engine.instants import instant_of, seconds_of
from scout.engine.sun import SunPath, refraction_saemundsson86, sun_position

REFERENCE = Path(__file__).parents[1] / "reference"
FULL = os.environ.get("SCOUT_FULL") == "1"
COUNT = 20_000 if FULL else 400
ALTITUDE_WITHIN_DEG = 0.02
AZIMUTH_WITHIN_DEG = 0.03  # divided by the cosine of the altitude
ARCMINUTE = 1.0 / 60.0
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def _sample(last_year: int, seed: int) -> tuple[list[datetime], Any, Any]:
    """Return random times from 1950, and places all over the globe, a quarter near the poles."""
    random = np.random.default_rng(seed)
    span = (datetime(last_year, 1, 1, tzinfo=UTC) - datetime(1950, 1, 2, tzinfo=UTC)).days * 86400
    offsets = random.integers(0, span, COUNT)
    times = [datetime(1950, 1, 2, tzinfo=UTC) + timedelta(seconds=int(s)) for s in offsets]
    lat = np.degrees(np.arcsin(random.uniform(-1, 1, COUNT)))
    lat[::4] = random.choice([-1, 1], COUNT)[::4] * random.uniform(66, 90, COUNT)[::4]
    return times, lat, random.uniform(-180, 180, COUNT)


def _ours(times: list[datetime], lat: Any, lon: Any) -> tuple[Any, Any]:
    found = [sun_position(float(a), float(b), t) for a, b, t in zip(lat, lon, times, strict=True)]
    return (
        np.array([p.altitude_deg for p in found]),
        np.array([p.azimuth_deg for p in found]),
    )


def _hold(altitude: Any, azimuth: Any, true_altitude: Any, true_azimuth: Any) -> None:
    turn = (azimuth - true_azimuth + 180) % 360 - 180
    assert np.abs(altitude - true_altitude).max() < ALTITUDE_WITHIN_DEG
    assert np.abs(turn * np.cos(np.radians(true_altitude))).max() < AZIMUTH_WITHIN_DEG


def test_agrees_with_de421() -> None:
    # skyfield with the packaged JPL DE421, which ends in 2053; our times are taken as UT1.
    import skyfield_data

    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "The file finals2000A.all has expired", RuntimeWarning)
        folder = skyfield_data.get_skyfield_data_path()
    ephemeris = load_file(os.path.join(folder, "de421.bsp"))
    times, lat, lon = _sample(2053, 1)
    days = np.array([2440587.5 + (t - EPOCH) / timedelta(days=1) for t in times])
    observer = (ephemeris["earth"] + wgs84.latlon(lat, lon)).at(
        load.timescale(builtin=True).ut1_jd(days)
    )
    altitude, azimuth, _ = observer.observe(ephemeris["sun"]).apparent().altaz()
    ephemeris.close()
    _hold(*_ours(times, lat, lon), altitude.degrees, azimuth.degrees)


def test_agrees_with_spa_to_2100() -> None:
    # NREL SPA (Reda & Andreas 2004) as pvlib has it.
    from pvlib import spa

    times, lat, lon = _sample(2101, 2)
    unix = np.array([seconds_of(t) for t in times])
    delta_t = spa.calculate_deltat(
        np.array([t.year for t in times]), np.array([t.month for t in times])
    )
    found = spa.solar_position_numpy(unix, lat, lon, 0.0, 1010.0, 10.0, delta_t, 0.5667, 1)
    _hold(*_ours(times, lat, lon), found[3], found[4])


def test_nrel_worked_example() -> None:
    # Reda & Andreas, NREL/TP-560-34302, appendix: elevation before refraction 39.872046,
    # after it 39.888378 (at 820 hPa, 11 degrees C), azimuth 194.340241.
    at = datetime(2003, 10, 17, 12, 30, 30, tzinfo=timezone(timedelta(hours=-7)))
    sun = sun_position(39.742476, -105.1786, at)
    assert sun.altitude_deg == pytest.approx(39.872046, abs=0.02)
    assert sun.azimuth_deg == pytest.approx(194.340241, abs=0.03)
    assert sun.apparent_altitude_deg == pytest.approx(39.888378, abs=0.022)


@pytest.mark.parametrize(
    "row",
    json.loads((REFERENCE / "sun_positions.json").read_text())["rows"],
    ids=lambda r: r["utc"],
)
def test_sample_positions(row: dict[str, Any]) -> None:
    sun = sun_position(row["lat"], row["lon"], datetime.fromisoformat(row["utc"]))
    turn = (sun.azimuth_deg - row["azimuth_deg"] + 180) % 360 - 180
    assert sun.altitude_deg == pytest.approx(row["altitude_deg"], abs=ALTITUDE_WITHIN_DEG)
    assert abs(turn) * np.cos(np.radians(sun.altitude_deg)) < AZIMUTH_WITHIN_DEG
    if row["altitude_deg"] > -0.5:
        apparent = sun.apparent_altitude_deg
        assert apparent == pytest.approx(row["spa_apparent_deg"], abs=ALTITUDE_WITHIN_DEG + 0.005)


@pytest.mark.parametrize(
    ("altitude_deg", "arcminutes"),
    # Saemundsson's formula by hand, Meeus, Astronomical Algorithms, ch. 16.
    [
        *((-0.5667, 34.360), (0, 28.982), (0.5, 25.004), (1, 21.744), (2, 16.926)),
        *((5, 9.674), (10, 5.408), (20, 2.741), (45, 1.013)),
    ],
)
def test_refraction_of_a_true_altitude(altitude_deg: float, arcminutes: float) -> None:
    assert refraction_saemundsson86(altitude_deg) == pytest.approx(
        arcminutes * ARCMINUTE, abs=0.001 * ARCMINUTE
    )


@pytest.mark.parametrize(
    ("apparent_deg", "arcminutes"),
    # Bennett's formula, from the apparent altitude: the two agree to 0.1' (Meeus, ch. 16).
    [(0, 34.478), (0.5, 28.754), (1, 24.329), (2, 18.216), (5, 9.883), (10, 5.392), (20, 2.703)],
)
def test_refraction_undoes_bennett(apparent_deg: float, arcminutes: float) -> None:
    true_deg = apparent_deg - arcminutes * ARCMINUTE
    assert true_deg + refraction_saemundsson86(true_deg) == pytest.approx(
        apparent_deg, abs=0.12 * ARCMINUTE
    )


def test_refraction_ends_at_one_degree_below_and_is_never_negative() -> None:
    assert refraction_saemundsson86(-1.0001) == 0.0
    assert refraction_saemundsson86(-5.11) == 0.0
    assert refraction_saemundsson86(-1.0) > 0.6
    assert refraction_saemundsson86(90.0) >= 0.0


places = {
    "lat": st.floats(-89.7, 89.7),
    "lon": st.floats(-180, 180),
    "second": st.integers(-631_000_000, 4_130_000_000),
}


@given(**places)
def test_is_astral_on_whole_seconds(lat: float, lon: float, second: int) -> None:
    at, observer = instant_of(second), Observer(lat, lon, 0.0)
    sun = sun_position(lat, lon, at)
    assert sun.altitude_deg == pytest.approx(
        astral_elevation(observer, at, with_refraction=False), abs=2e-6
    )
    if abs(sun.altitude_deg) < 80 and abs(lat) < 89:
        turn = (sun.azimuth_deg - astral_azimuth(observer, at) + 180) % 360 - 180
        assert abs(turn) < 1e-3  # astral takes an arc cosine, which is blunt near the meridian


@given(**places)
def test_path_and_position_are_one(lat: float, lon: float, second: int) -> None:
    sun = sun_position(lat, lon, instant_of(second))
    altitude, azimuth = SunPath(lat, lon).position(second)
    turn = (sun.azimuth_deg - azimuth + 180) % 360 - 180
    assert altitude == pytest.approx(sun.altitude_deg, abs=3e-4)
    assert abs(turn) * np.cos(np.radians(altitude)) < 3e-4
    assert altitude == pytest.approx(SunPath(lat, lon).altitude_deg(second), abs=1e-9)


@given(**places)
def test_no_step_in_time_across_midnight_or_half_days(lat: float, lon: float, second: int) -> None:
    path = SunPath(lat, lon)
    seam = second // 43200 * 43200
    before, after = path.position(seam - 0.5), path.position(seam + 0.5)
    assert abs(after[0] - before[0]) < 0.0043  # the sky turns 0.00418 degrees in a second


@given(lat=st.floats(-89, 89), second=places["second"])
def test_the_date_line_is_no_line(lat: float, second: int) -> None:
    at = instant_of(second)
    east, west = sun_position(lat, 180.0, at), sun_position(lat, -180.0, at)
    assert east.altitude_deg == pytest.approx(west.altitude_deg, abs=1e-9)
    turn = (east.azimuth_deg - west.azimuth_deg + 180) % 360 - 180
    assert abs(turn) * np.cos(np.radians(east.altitude_deg)) < 1e-9


@given(lon=st.floats(-180, 180), second=places["second"], sign=st.sampled_from([-1, 1]))
def test_at_the_pole_the_altitude_is_the_declination(lon: float, second: int, sign: int) -> None:
    path = SunPath(sign * 90.0, lon)
    assert path.altitude_deg(second) == pytest.approx(sign * path.declination_deg(second), abs=1e-9)


def test_any_zone_gives_the_same_sun() -> None:
    at = datetime(2025, 1, 1, 0, 10, tzinfo=timezone(timedelta(hours=14)))
    assert sun_position(1.87, -157.4, at) == sun_position(1.87, -157.4, at.astimezone(UTC))


@pytest.mark.parametrize(
    ("lat", "lon", "at", "words"),
    [
        (91.0, 0.0, datetime(2025, 1, 1, tzinfo=UTC), "lat_deg is 91"),
        (0.0, -180.5, datetime(2025, 1, 1, tzinfo=UTC), "lon_deg is -180.5"),
        (float("nan"), 0.0, datetime(2025, 1, 1, tzinfo=UTC), "lat_deg is nan"),
        ("52", 0.0, datetime(2025, 1, 1, tzinfo=UTC), "lat_deg must be a number"),
        (True, 0.0, datetime(2025, 1, 1, tzinfo=UTC), "lat_deg must be a number"),
        (52.0, 0.0, datetime(2025, 1, 1), "at_utc has no time zone"),
        (52.0, 0.0, "2025-01-01", "at_utc must be a date and time"),
        (52.0, 0.0, datetime(1949, 12, 29, 23, 59, tzinfo=UTC), "years 1950 to 2100"),
        (52.0, 0.0, datetime(2101, 1, 3, tzinfo=UTC), "years 1950 to 2100"),
    ],
)
def test_bad_input_is_a_sentence(lat: Any, lon: Any, at: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words) as error:
        sun_position(lat, lon, at)
    assert str(error.value).endswith(".")
