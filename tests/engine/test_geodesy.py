"""Distances, bearings and tilts, against published geodesics and vectors worked out here."""

from __future__ import annotations

import json
import math
import random
from pathlib import Path

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from scout.engine import geodesy
from scout.engine.angles import apart_deg
from scout.engine.geodesy import (
    Line,
    LocalPlane,
    Point,
    bearing_deg,
    curvature_drop_m,
    destination,
    distance_m,
    line_between,
    line_measured,
    measure_on_spot,
    place_from,
    tilt_deg,
)

REFERENCE = json.loads(
    (Path(__file__).parents[1] / "reference" / "geodesy.json").read_text(encoding="utf-8")
)
latitudes = st.floats(-89.9, 89.9)
longitudes = st.floats(-180.0, 180.0)
bearings = st.floats(0.0, 359.99)


def degrees(dms: list[float]) -> float:
    return dms[0] + dms[1] / 60 + dms[2] / 3600


def east_north_up(
    lat1: float, lon1: float, h1: float, lat2: float, lon2: float, h2: float
) -> tuple[float, float, float]:
    """Look from one place to another by Earth-centred vectors (WGS84, National Imagery and
    Mapping Agency TR 8350.2): a way of its own, without geodesics."""
    a, f = 6378137.0, 1 / 298.257223563
    e2 = f * (2 - f)

    def earth_centred(lat: float, lon: float, h: float) -> tuple[float, float, float]:
        p, q = math.radians(lat), math.radians(lon)
        n = a / math.sqrt(1 - e2 * math.sin(p) ** 2)
        return (
            (n + h) * math.cos(p) * math.cos(q),
            (n + h) * math.cos(p) * math.sin(q),
            (n * (1 - e2) + h) * math.sin(p),
        )

    x1, y1, z1 = earth_centred(lat1, lon1, h1)
    x2, y2, z2 = earth_centred(lat2, lon2, h2)
    x, y, z = x2 - x1, y2 - y1, z2 - z1
    p, q = math.radians(lat1), math.radians(lon1)
    along = math.cos(q) * x + math.sin(q) * y
    return (
        -math.sin(q) * x + math.cos(q) * y,
        -math.sin(p) * along + math.cos(p) * z,
        math.cos(p) * along + math.sin(p) * z,
    )


@pytest.mark.parametrize("row", REFERENCE["geodesics"]["rows"])
def test_published_geodesics(row: list[float]) -> None:
    lat1, lon1, azi1, lat2, lon2, azi2, s12 = row
    assert distance_m(lat1, lon1, lat2, lon2) == pytest.approx(s12, abs=1e-4)
    assert apart_deg(bearing_deg(lat1, lon1, lat2, lon2), azi1) < 1e-9
    assert apart_deg(bearing_deg(lat2, lon2, lat1, lon1), azi2 + 180) < 1e-9
    lat, lon = destination(lat1, lon1, azi1 % 360, s12)
    assert lat == pytest.approx(lat2, abs=1e-9)
    assert apart_deg(lon, lon2) < 1e-9


@pytest.mark.parametrize("row", REFERENCE["examples"]["rows"])
def test_documented_examples(row: list[float]) -> None:
    lat1, lon1, lat2, lon2, azi1, azi2, s12 = row
    assert distance_m(lat1, lon1, lat2, lon2) == pytest.approx(s12, abs=5e-4)
    assert bearing_deg(lat1, lon1, lat2, lon2) == pytest.approx(azi1, abs=5e-9)
    assert apart_deg(bearing_deg(lat2, lon2, lat1, lon1), azi2 + 180) < 5e-9


@pytest.mark.parametrize("row", REFERENCE["vincenty"]["rows"])
def test_vincentys_table(monkeypatch: pytest.MonkeyPatch, row: list) -> None:  # type: ignore[type-arg]
    _, a, inverse_f, lat1, lat2, dlon, azi1, azi2, s = row
    # His lines lie on the ellipsoids of his day.
    monkeypatch.setattr(geodesy, "_EARTH", Geodesic(a, 1 / inverse_f))
    ends = degrees(lat1), 0.0, degrees(lat2), degrees(dlon)
    # Printed to a millimetre and 1e-5 seconds of arc. (d) and (e) nearly reach the antipode.
    assert distance_m(*ends) == pytest.approx(s, abs=2e-3)
    assert apart_deg(bearing_deg(*ends), degrees(azi1)) < 1e-6
    assert apart_deg(bearing_deg(*ends[2:], *ends[:2]), degrees(azi2) + 180) < 1e-6


def test_a_line_of_a_national_survey() -> None:
    line = REFERENCE["flinders_buninyong"]
    ends = [degrees(line[key]) for key in ("lat1_dms", "lon1_dms", "lat2_dms", "lon2_dms")]
    # GRS80 there, WGS84 here: the same to a tenth of a millimetre.
    assert distance_m(*ends) == pytest.approx(line["s_m"], abs=1e-3)
    assert bearing_deg(*ends) == pytest.approx(degrees(line["azi_dms"]), abs=0.005 / 3600)
    back = bearing_deg(*ends[2:], *ends[:2])
    assert back == pytest.approx(degrees(line["back_azi_dms"]), abs=0.005 / 3600)


@pytest.mark.parametrize("row", REFERENCE["curvature"]["rows"])
def test_curvature_drops(row: list[float]) -> None:
    distance, bare, refracted = row
    assert curvature_drop_m(distance, k=0.0) == pytest.approx(bare, rel=1e-3)
    assert curvature_drop_m(distance) == pytest.approx(refracted, rel=1e-3)


@given(latitudes, longitudes, bearings, st.floats(1.0, 9e6))
def test_there_and_back(lat: float, lon: float, azimuth: float, along: float) -> None:
    there = destination(lat, lon, azimuth, along)
    assert distance_m(lat, lon, *there) == pytest.approx(along, abs=1e-6)
    assert apart_deg(bearing_deg(lat, lon, *there), azimuth) < 1e-5
    back = destination(*there, bearing_deg(*there, lat, lon), along)
    assert distance_m(lat, lon, *back) < 1e-5


@given(latitudes, longitudes, latitudes, longitudes)
def test_both_ends_agree(lat1: float, lon1: float, lat2: float, lon2: float) -> None:
    there, back = distance_m(lat1, lon1, lat2, lon2), distance_m(lat2, lon2, lat1, lon1)
    assert there == pytest.approx(back, abs=1e-6)


@given(latitudes, longitudes, bearings, st.floats(5.0, 5e3))
def test_bearings_by_vectors(lat: float, lon: float, azimuth: float, along: float) -> None:
    there = destination(lat, lon, azimuth, along)
    east, north, _ = east_north_up(lat, lon, 0.0, *there, 0.0)
    by_vectors = math.degrees(math.atan2(east, north)) % 360
    assert apart_deg(bearing_deg(lat, lon, *there), by_vectors) < 1e-4
    assert distance_m(lat, lon, *there) == pytest.approx(math.hypot(east, north), rel=1e-6)


@given(
    latitudes,
    longitudes,
    bearings,
    st.floats(5.0, 5e3),
    st.floats(0.0, 300.0),
    st.floats(0.0, 300.0),
)
def test_tilts_by_vectors(
    lat: float, lon: float, azimuth: float, along: float, h1: float, h2: float
) -> None:
    there = destination(lat, lon, azimuth, along)
    east, north, up = east_north_up(lat, lon, h1, *there, h2)
    by_vectors = math.degrees(math.atan2(up, math.hypot(east, north)))
    assert tilt_deg(along, h1, h2, k=0.0) == pytest.approx(by_vectors, abs=0.003)


@given(latitudes, longitudes, st.floats(-2e3, 2e3), st.floats(-2e3, 2e3))
def test_the_flat_map_and_back(lat: float, lon: float, east: float, north: float) -> None:
    plane = LocalPlane(lat, lon)
    there = plane.to_globe(east, north)
    back = plane.to_plane(*there)
    assert back == pytest.approx((east, north), abs=1e-5)
    e, n, _ = east_north_up(lat, lon, 0.0, *there, 0.0)
    # Ground bends away by less than a millimetre in 2.8 km; the bearing is the geodesic's.
    assert (e, n) == pytest.approx((east, north), abs=2e-3)


def test_a_flat_map_across_the_date_line() -> None:
    east, north = LocalPlane(10.0, 179.9999).to_plane(10.0, -179.9999)
    assert east == pytest.approx(21.93, abs=0.01)  # 0.0002 degree x 111319.5 m x cos(10), about
    assert abs(north) < 1e-3


def test_two_phone_pins_a_stone_s_throw_apart() -> None:
    end = destination(57.2, -3.8, 60.0, 20.0)
    line = line_between(Point(57.2, -3.8, 8.0), Point(*end, 8.0))
    # atan(8 x sqrt(2) / 20) = 29.5 degrees.
    assert line.bearing_plus_minus_deg == pytest.approx(29.5, abs=0.05)
    assert line.distance_plus_minus_m == pytest.approx(11.31, abs=0.01)
    assert (line.tilt_deg, line.tilt_plus_minus_deg) == (None, None)
    assert "±29°" in (measure_on_spot(line) or "") or "±30°" in (measure_on_spot(line) or "")


def test_pins_within_their_error_have_no_direction() -> None:
    end = destination(57.2, -3.8, 60.0, 10.0)
    line = line_between(Point(57.2, -3.8, 8.0), Point(*end, 8.0))
    assert line.bearing_plus_minus_deg == 180.0
    assert "says nothing" in (measure_on_spot(line) or "")


def test_a_long_line_needs_no_measuring() -> None:
    end = destination(57.2, -3.8, 60.0, 200.0)
    assert measure_on_spot(line_between(Point(57.2, -3.8, 5.0), Point(*end, 5.0))) is None


def test_the_tilt_and_its_plus_minus() -> None:
    end = destination(57.2, -3.8, 60.0, 20.0)
    line = line_between(
        Point(57.2, -3.8, 0.0, elevation_m=101.0, elevation_plus_minus_m=0.3),
        Point(*end, 0.0, elevation_m=103.0, elevation_plus_minus_m=0.4),
    )
    # Two metres up in twenty; half a metre in twenty, foreshortened by 1 + tan squared.
    assert line.tilt_deg == pytest.approx(math.degrees(math.atan(0.1)), abs=1e-3)
    assert line.tilt_plus_minus_deg == pytest.approx(math.degrees(0.025 / 1.01), abs=1e-3)
    assert line.slant_m == pytest.approx(math.hypot(20.0, 2.0), abs=1e-3)


@given(latitudes, longitudes, st.floats(1.0, 500.0), st.floats(0.0, 359.9), st.floats(-60.0, 60.0))
def test_a_perch_placed_by_vectors(
    lat: float, lon: float, slant: float, azimuth: float, tilt: float
) -> None:
    line = line_measured(slant, azimuth, tilt, 1.0, 2.0, 1.5)
    found = place_from(Point(lat, lon), line, k=0.0)
    east, north, up = east_north_up(lat, lon, 0.0, found.lat_deg, found.lon_deg, found.rise_m)
    assert math.sqrt(east**2 + north**2 + up**2) == pytest.approx(slant, rel=1e-4)
    assert math.degrees(math.atan2(up, math.hypot(east, north))) == pytest.approx(tilt, abs=0.01)
    assert apart_deg(math.degrees(math.atan2(east, north)), azimuth) < 0.01


def test_the_radius_is_what_a_thousand_measurings_scatter() -> None:
    rng = random.Random(11)
    line = line_measured(30.0, 75.0, 10.0, 1.0, 5.0, 1.5)
    found = place_from(Point(52.0, 0.0, plus_minus_m=4.0), line)
    flat, height = [], []
    for _ in range(20_000):
        slant, tilt = rng.gauss(30.0, 1.0), math.radians(rng.gauss(10.0, 1.5))
        azimuth = math.radians(rng.gauss(75.0, 5.0))
        # A radius of four metres is the root mean square of two axes.
        east = rng.gauss(0.0, 4.0 / math.sqrt(2)) + slant * math.cos(tilt) * math.sin(azimuth)
        north = rng.gauss(0.0, 4.0 / math.sqrt(2)) + slant * math.cos(tilt) * math.cos(azimuth)
        flat.append((east, north))
        height.append(slant * math.sin(tilt))
    true_east, true_north = LocalPlane(52.0, 0.0).to_plane(found.lat_deg, found.lon_deg)
    scatter = math.sqrt(
        math.fsum((e - true_east) ** 2 + (n - true_north) ** 2 for e, n in flat) / len(flat)
    )
    assert found.plus_minus_m == pytest.approx(scatter, rel=0.03)
    mean = math.fsum(height) / len(height)
    rise = math.sqrt(math.fsum((one - mean) ** 2 for one in height) / len(height))
    assert found.rise_plus_minus_m == pytest.approx(rise, rel=0.05)


def test_without_a_tilt_the_height_is_not_known() -> None:
    found = place_from(Point(52.0, 0.0), Line(12.0, 90.0, None, 1.0, 11.0, None))
    assert (found.rise_m, found.rise_plus_minus_m) == (0.0, 12.0)


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (lambda: distance_m(91.0, 0.0, 0.0, 0.0), "latitude must lie between -90 and 90"),
        (lambda: distance_m(0.0, 181.0, 0.0, 0.0), "longitude must lie between -180 and 180"),
        (lambda: distance_m(math.nan, 0.0, 0.0, 0.0), "latitude must be a finite number"),
        (lambda: bearing_deg(1.0, 2.0, 1.0, 2.0), "same place"),
        (lambda: line_between(Point(1.0, 2.0), Point(1.0, 2.0)), "same place"),
        (lambda: destination(1.0, 2.0, 400.0, 5.0), "bearing must lie between 0 and 360"),
        (lambda: destination(1.0, 2.0, 40.0, -5.0), "distance must be 0 m or more"),
        (lambda: line_measured(0.0, 1.0, 1.0, 1.0, 1.0, 1.0), "distance must be above 0 m"),
        (lambda: line_measured(9.0, 1.0, 90.0, 1.0, 1.0, 1.0), "tilt must lie between"),
        (lambda: line_measured(9.0, 1.0, 1.0, -1.0, 1.0, 1.0), "plus-minus of the distance"),
        (lambda: tilt_deg(0.0, 1.0, 2.0), "distance must be above 0 m"),
    ],
)
def test_what_cannot_be_is_refused(act, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=message):
        act()


@given(latitudes, longitudes, bearings, st.floats(20.0, 2e4), st.floats(-5.0, 5.0))
def test_a_line_measured_and_derived_again(
    lat: float, lon: float, azimuth: float, slant: float, tilt: float
) -> None:
    line = line_measured(slant, azimuth, tilt, 0.0, 0.0, 0.0)
    found = place_from(Point(lat, lon), line)
    again = line_between(
        Point(lat, lon, elevation_m=100.0),
        Point(found.lat_deg, found.lon_deg, elevation_m=100.0 + found.rise_m),
    )
    assert again.tilt_deg == pytest.approx(tilt, abs=1e-6)
    assert again.slant_m == pytest.approx(slant, abs=1e-4)
    assert apart_deg(again.bearing_deg, azimuth) < 1e-4


def test_what_refraction_leaves_unsure() -> None:
    # k of 0.13 give or take 0.5, over ten kilometres: half of D / 2R, 0.0225 degree.
    end = destination(57.2, -3.8, 60.0, 10_000.0)
    line = line_between(Point(57.2, -3.8, elevation_m=100.0), Point(*end, elevation_m=100.0))
    half = math.degrees(0.5 * 10_000.0 / (2 * 6_371_008.8))
    assert line.tilt_plus_minus_deg == pytest.approx(half, rel=1e-3)
    # The surveyor's figure for 10 km is 2.35 minutes of arc with k = 0.13.
    assert line.tilt_deg == pytest.approx(-2.347 / 60, abs=1e-4)
