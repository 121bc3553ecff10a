"""Declination against the values published with the model and a second implementation of it."""

from __future__ import annotations

import json
import math
import sys
import threading
import warnings
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.engine.angles import apart_deg
from scout.engine.declination import (
    decimal_year,
    declination,
    magnetic_from_true,
    shadow_azimuth_deg,
    shadow_correction,
    true_from,
    true_from_magnetic,
)

ROWS = json.loads(
    (Path(__file__).parents[1] / "reference" / "wmm2025_test_values.json").read_text("utf-8")
)["rows"]


def moment(year: float) -> datetime:
    start = datetime(int(year), 1, 1, tzinfo=UTC)
    return start + (datetime(int(year) + 1, 1, 1, tzinfo=UTC) - start) * (year - int(year))


def test_the_hundred_published_values() -> None:
    assert len(ROWS) == 100
    for row in ROWS:
        found = declination(row["lat"], row["lon"], moment(row["year"]), row["alt_km"] * 1000)
        # Published to 0.01 degree, so half of that is rounding.
        assert apart_deg(found.declination_deg, row["D"]) <= 0.005, row
        assert found.horizontal_nt == pytest.approx(row["H"], abs=0.05), row
        assert found.warning is None
        # Limits of the blackout and caution zones: WMM2025 report.
        assert found.blackout is (row["H"] < 2000)
        assert found.caution is (2000 <= row["H"] < 6000)


@given(
    st.floats(-89.0, 89.0), st.floats(-180.0, 180.0), st.floats(2025.0, 2029.99), st.floats(0, 9000)
)
def test_a_second_implementation(lat: float, lon: float, year: float, height_m: float) -> None:
    from wmm import wmm_calc  # wmm-calculator, by the makers of the model

    at = moment(year)
    model = wmm_calc()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of weak fields
        model.setup_time(dyear=decimal_year(at))
        model.setup_env(lat, lon, height_m / 1000)
        expected = model.get_all()
    found = declination(lat, lon, at, height_m)
    horizontal = float(expected["h"].item())
    # A hundredth of a nanotesla of difference turns the needle more where the field is weak.
    assert found.horizontal_nt == pytest.approx(horizontal, abs=0.01)
    allowed = 1e-5 + math.degrees(0.01 / horizontal)
    assert apart_deg(found.declination_deg, float(expected["dec"].item())) < allowed
    # Error model of the WMM2025 report.
    spread = min(180.0, math.sqrt(0.26**2 + (5417 / horizontal) ** 2))
    assert found.plus_minus_deg == pytest.approx(spread, rel=1e-3)


# 2026.9: computed with wmm-calculator 1.4.4; one sigma by the report's error model.
@pytest.mark.parametrize(
    ("lat", "lon", "height_m", "expected_deg", "sigma_deg"),
    [
        (52.0, 0.0, 0.0, 1.239, 0.38),
        (65.0, 25.0, 0.0, 12.469, 0.50),
        (-45.0, 170.0, 0.0, 25.518, 0.38),
        (39.74, -105.18, 0.0, 7.583, 0.37),
        (39.74, -105.18, 1830.0, 7.579, 0.37),
    ],
)
def test_spots(
    lat: float, lon: float, height_m: float, expected_deg: float, sigma_deg: float
) -> None:
    found = declination(lat, lon, moment(2026.9), height_m)
    assert found.declination_deg == pytest.approx(expected_deg, abs=1e-3)
    assert found.plus_minus_deg == pytest.approx(sigma_deg, abs=0.005)
    assert not found.blackout
    assert not found.caution


@pytest.mark.parametrize(
    ("at", "nearest", "said"),
    [
        (datetime(2024, 12, 31, 23, tzinfo=UTC), 2025.0, "1 January 2025"),
        (datetime(1950, 1, 1, tzinfo=UTC), 2025.0, "1 January 2025"),
        (datetime(2030, 1, 1, 1, tzinfo=UTC), 2030.0, "1 January 2030"),
        (datetime(2100, 6, 1, tzinfo=UTC), 2030.0, "1 January 2030"),
        (datetime(9999, 12, 31, 23, tzinfo=UTC), 2030.0, "1 January 2030"),
    ],
)
def test_outside_the_model_the_nearest_value_comes_with_a_warning(
    at: datetime, nearest: float, said: str
) -> None:
    found = declination(52.0, 0.0, at)
    inside = declination(52.0, 0.0, moment(nearest))
    assert found.declination_deg == inside.declination_deg
    assert (found.year, inside.warning) == (nearest, None)
    assert f"This is the value of {said}" in (found.warning or "")
    assert found.plus_minus_deg > inside.plus_minus_deg
    assert found.plus_minus_deg <= 180.0


def test_the_yearly_change_in_the_warning() -> None:
    # The published rows carry dD for 2025.0: here 43 N 93 E, -0.02 degree a year at 65 km.
    found = declination(43.0, 93.0, datetime(2024, 1, 1, tzinfo=UTC), 65_000.0)
    assert "about 0.02° a year" in (found.warning or "")


def test_at_the_poles_there_is_an_answer_and_a_flag() -> None:
    for lon in (-180.0, 0.0, 180.0):
        north = declination(90.0, lon, moment(2026.0))
        assert north.blackout
        assert math.isfinite(north.declination_deg)
        assert math.isfinite(declination(-90.0, lon, moment(2026.0)).declination_deg)


def test_threads_do_not_mix_their_places() -> None:
    places = [(-60.0 + 7 * n, -170.0 + 20 * n) for n in range(16)]
    alone = [declination(*place, moment(2026.9)).declination_deg for place in places]
    wrong: list[tuple[float, float]] = []

    def ask(number: int) -> None:
        for _ in range(15):
            found = declination(*places[number], moment(2026.9)).declination_deg
            if found != alone[number]:
                wrong.append(places[number])

    pace = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        threads = [threading.Thread(target=ask, args=(number,)) for number in range(16)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    finally:
        sys.setswitchinterval(pace)
    assert wrong == []


def test_decimal_years() -> None:
    assert decimal_year(datetime(2026, 1, 1, tzinfo=UTC)) == 2026.0
    assert decimal_year(datetime(2025, 7, 2, 12, tzinfo=UTC)) == 2025.5  # 182.5 of 365 days
    assert decimal_year(datetime(2028, 7, 2, tzinfo=UTC)) == 2028.5  # 183 of 366 days
    east = timezone(timedelta(hours=14))
    assert decimal_year(datetime(2026, 1, 1, 14, tzinfo=east)) == 2026.0
    with pytest.raises(ValueError, match="must carry its zone"):
        decimal_year(datetime(2026, 1, 1))


def test_east_is_added_to_a_magnetic_reading() -> None:
    # "Variation east, magnetic least": common practice.
    assert true_from_magnetic(100.0, 12.5) == 112.5
    assert true_from_magnetic(355.0, 12.0) == 7.0
    assert true_from_magnetic(5.0, -12.0) == 353.0
    assert true_from(100.0, "magnetic", 12.5) == 112.5
    assert true_from(360.0, "true", 12.5) == 0.0


@given(st.floats(0.0, 360.0), st.floats(-180.0, 180.0))
def test_there_and_back(bearing_deg: float, declination_deg: float) -> None:
    true = true_from_magnetic(bearing_deg, declination_deg)
    assert apart_deg(magnetic_from_true(true, declination_deg), bearing_deg) < 1e-9


def test_other_references_are_refused() -> None:
    with pytest.raises(ValueError, match="Grid north is not supported"):
        true_from(100.0, "grid", 1.0)
    with pytest.raises(ValueError, match="must be true or magnetic, not 'map'"):
        true_from(100.0, "map", 1.0)
    with pytest.raises(ValueError, match="bearing must lie between"):
        true_from(400.0, "magnetic", 1.0)


@given(st.floats(0.0, 359.9), st.floats(0.0, 359.9), st.floats(1.0, 75.0))
def test_a_shadow_sets_a_compass(sun_deg: float, reading_deg: float, altitude: float) -> None:
    found = shadow_correction(sun_deg, reading_deg, altitude)
    # The shadow's tip lies where the horizontal part of the sun's direction points away.
    sun = math.radians(sun_deg)
    tip = math.degrees(math.atan2(-math.sin(sun), -math.cos(sun)))
    assert apart_deg(reading_deg + found.correction_deg, tip) < 1e-9
    assert apart_deg(shadow_azimuth_deg(sun_deg), tip) < 1e-9
    assert found.plus_minus_deg >= 2.0


def test_a_shadow_at_noon_in_the_north() -> None:
    # Sun due south, shadow due north; a compass that shows 352 there is 8 degrees short.
    assert shadow_correction(180.0, 352.0).correction_deg == 8.0
    assert shadow_correction(180.0, 352.0, 45.0).plus_minus_deg == pytest.approx(math.sqrt(8))
    with pytest.raises(ValueError, match="sun is down"):
        shadow_correction(90.0, 10.0, -0.5)
    with pytest.raises(ValueError, match="wait until the shadow is longer"):
        shadow_correction(90.0, 10.0, 80.0)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((91.0, 0.0, moment(2026.0)), "latitude must lie"),
        ((0.0, 999.0, moment(2026.0)), "longitude must lie"),
        ((math.nan, 0.0, moment(2026.0)), "latitude must be a finite number"),
        ((0.0, 0.0, datetime(2026, 1, 1)), "must carry its zone"),
        ((0.0, 0.0, moment(2026.0), 1e7), "height must lie"),
    ],
)
def test_what_cannot_be_is_refused(arguments: tuple, message: str) -> None:  # type: ignore[type-arg]
    with pytest.raises(ValueError, match=message):
        declination(*arguments)
