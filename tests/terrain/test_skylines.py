"""Skylines over lands in closed form: each line is known from a formula."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest

from scout.engine.skyline import Node, Skyline
from scout.records.trouble import Refused
from scout.terrain.model import BARE, SURFACE
from scout.terrain.skyline_compared import compared
from scout.terrain.skylines import skyline_of

from .lands import LAT, LON, model_of

R_M = 6_371_008.8


def test_a_plain_has_the_dip_of_the_sea_horizon(tmp_path: Path) -> None:
    # Geometric dip √(2h(1 − k)/R): 17.97′ from 100 m at k = 0.13 (spherical earth).
    model = model_of(tmp_path, lambda x, y: 0.0 * x, half_m=45_000, cell_m=150)
    found = skyline_of([model], LAT, LON, height_m=100.0, reach_m=44_000.0)
    assert len(found.azimuths_deg) == 720
    assert np.degrees(math.sqrt(2 * 100 * 0.87 / R_M)) * 60 == pytest.approx(17.97, abs=0.05)
    assert found.altitudes_deg * 60 == pytest.approx(-17.97, abs=0.1)
    # The horizon lies √(2hR/(1 − k)) off.
    assert np.median(found.distances_m) == pytest.approx(math.sqrt(200 * R_M / 0.87), rel=0.05)


def test_without_refraction_the_dip_is_the_geometric_one(tmp_path: Path) -> None:
    # acos(R/(R + h)) from 100 m is 19.26′.
    model = model_of(tmp_path, lambda x, y: 0.0 * x, half_m=45_000, cell_m=150)
    found = skyline_of([model], LAT, LON, height_m=100.0, reach_m=44_000.0, k=0.0)
    assert math.degrees(math.acos(R_M / (R_M + 100))) * 60 == pytest.approx(19.26, abs=0.005)
    assert found.altitudes_deg * 60 == pytest.approx(-19.26, abs=0.1)


def test_a_tilted_plane_rises_by_its_slope_times_the_cosine(tmp_path: Path) -> None:
    # z = 0.1·east seen from the ground: at azimuth a the land rises by atan(0.1 sin a).
    model = model_of(tmp_path, lambda x, y: 500 + 0.1 * x, half_m=2000, cell_m=10)
    found = skyline_of([model], LAT, LON, height_m=0.0, reach_m=1900.0, k=0.13)
    up = (found.azimuths_deg > 20) & (found.azimuths_deg < 160)
    want = np.degrees(np.arctan(0.1 * np.sin(np.radians(found.azimuths_deg))))
    assert found.altitudes_deg[up] == pytest.approx(want[up], abs=0.01)


def test_a_ridge_all_round_stands_at_its_angle(tmp_path: Path) -> None:
    # A round wall 60 m high, its crest 800 m off, seen from 1.5 m.
    def land(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        off = np.abs(np.hypot(x, y) - 800.0)
        return 100 + np.maximum(0.0, 60 - 0.5 * off)

    model = model_of(tmp_path, land, half_m=1500, cell_m=4)
    found = skyline_of([model], LAT, LON, height_m=1.5, reach_m=1400.0)
    want = math.degrees(math.atan2(60 - 1.5 - 800**2 * 0.87 / (2 * R_M), 800))
    # The crest falls between cells: 2 m of 0.5 slope is the most that can be lost.
    assert found.altitudes_deg == pytest.approx(want, abs=math.degrees(1.0 / 800) + 0.01)
    assert found.distances_m == pytest.approx(800, abs=4)
    assert (np.abs(found.altitudes_deg - want) <= found.plus_minus_deg).all()


def test_a_lone_hill_stands_where_it_stands(tmp_path: Path) -> None:
    # A cone 120 m high at 3 km in azimuth 060: its top at that azimuth, its sides by the tangent.
    away, top, wide = 3000.0, 120.0, 400.0
    east, north = away * math.sin(math.radians(60)), away * math.cos(math.radians(60))

    def land(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return np.maximum(0.0, top * (1 - np.hypot(x - east, y - north) / wide))

    model = model_of(tmp_path, land, half_m=4000, cell_m=10)
    found = skyline_of([model], LAT, LON, height_m=2.0, reach_m=3900.0)
    line = found.line()
    drop = away**2 * 0.87 / (2 * R_M)
    peak = math.degrees(math.atan2(top - 2 - drop, away))
    assert line.altitude_at(60.0) == pytest.approx(peak, abs=0.05)
    assert found.azimuths_deg[found.altitudes_deg.argmax()] == 60.0
    edge = math.degrees(math.asin(wide / away))
    for side in (-1, 1):
        beyond = line.altitude_at(60 + side * (edge + 1.0))
        assert beyond is not None
        assert beyond < 0.0


def test_near_land_is_read_from_the_finest_and_far_from_the_coarsest(tmp_path: Path) -> None:
    def hills(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        wall = np.maximum(0.0, 40 - 0.2 * np.abs(np.hypot(x, y) - 6000))
        return 50 + wall

    def bank(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return hills(x, y) + np.where((x > 40) & (x < 46) & (np.abs(y) < 60), 3.0, 0.0)

    coarse = model_of(tmp_path, hills, "hills", half_m=9000, cell_m=30)
    fine = model_of(tmp_path, bank, "meadow", half_m=150, cell_m=0.5)
    found = skyline_of([coarse, fine], LAT, LON, height_m=1.0, reach_m=8500.0)
    line = found.line()
    # The bank, 3 m high 40 m off to the east, is in the fine model only.
    assert line.altitude_at(90.0) == pytest.approx(math.degrees(math.atan2(2, 40.25)), abs=0.06)
    assert line.altitude_at(270.0) == pytest.approx(
        math.degrees(math.atan2(39 - 6000**2 * 0.87 / (2 * R_M), 6000)), abs=0.03
    )
    assert "meadow (bare earth, 0.5 m)" in found.made_from
    assert "hills (bare earth, 30 m)" in found.made_from
    assert found.remarks[0] == "Bare earth: trees are not in it."
    assert not any("models end" in said for said in found.remarks)


def test_a_surface_counts_only_where_it_is_asked_for(tmp_path: Path) -> None:
    def trees(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return 100 + np.where((np.abs(x) < 50) & (y > 60) & (y < 70), 15.0, 0.0)

    bare = model_of(tmp_path, lambda x, y: 100 + 0 * x, "bare", half_m=300, cell_m=1)
    tall = model_of(tmp_path, trees, "trees", kind=SURFACE, half_m=300, cell_m=1)
    without = skyline_of([bare, tall], LAT, LON, height_m=1.0, kind=BARE, reach_m=290)
    with_them = skyline_of([bare, tall], LAT, LON, height_m=1.0, kind=SURFACE, reach_m=290)
    assert without.line().altitude_at(0.0) == pytest.approx(0.0, abs=0.2)
    want = math.degrees(math.atan2(14, 61.0))
    assert with_them.line().altitude_at(0.0) == pytest.approx(want, abs=0.15)
    assert with_them.remarks[0].startswith("Trees are in it")
    assert "surface" in with_them.made_from


def test_the_plus_minus_grows_with_the_slope_of_the_line_and_the_pin(tmp_path: Path) -> None:
    # The flank of a near cone is steep in azimuth: a pin unsure by 10 m moves it more.
    def land(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return np.maximum(0.0, 60 - 0.8 * np.hypot(x - 150, y))

    model = model_of(tmp_path, land, half_m=900, cell_m=2)
    sure, unsure = (
        skyline_of([model], LAT, LON, height_m=1.0, accuracy_m=off, reach_m=880)
        for off in (1.0, 10.0)
    )
    at = np.isin(sure.azimuths_deg, np.arange(75, 106))
    assert (unsure.plus_minus_deg[at] > 3 * sure.plus_minus_deg[at]).all()
    # Moving the pin by those 10 m indeed moves the line by no more than twice that.
    moved = skyline_of([model], LAT + 10 / 111_320, LON, height_m=1.0, reach_m=880)
    shift = np.abs(moved.altitudes_deg - unsure.altitudes_deg)
    assert (shift[at] <= 2 * unsure.plus_minus_deg[at]).all()
    # Where that is too much to go by, it is said in words.
    assert sure.unsure is None
    near = skyline_of([model], LAT, LON + 100 / 67_200, height_m=1.0, accuracy_m=10.0)
    worst = int(near.plus_minus_deg.argmax())
    assert near.plus_minus_deg[worst] > 5.0
    assert f"unsure by up to ±{near.plus_minus_deg[worst]:.0f}°" in (near.unsure or "")


def test_where_no_model_reaches_it_says_how_far_the_nearest_is(tmp_path: Path) -> None:
    model = model_of(tmp_path, lambda x, y: 0 * x, half_m=500, cell_m=5)
    with pytest.raises(Refused, match=r"no elevation model yet|There is no elevation model"):
        skyline_of([], LAT, LON, height_m=1.0)
    with pytest.raises(Refused, match=r"ends 1\d km away"):
        skyline_of([model], LAT + 0.1, LON, height_m=1.0)


def test_where_the_models_end_it_says_so(tmp_path: Path) -> None:
    model = model_of(tmp_path, lambda x, y: 0 * x, half_m=500, cell_m=5)
    found = skyline_of([model], LAT, LON, height_m=1.0)
    assert any(re.search(r"end (49|50)\d m away at the nearest", one) for one in found.remarks)


def test_what_was_measured_is_compared_degree_by_degree() -> None:
    land = Skyline([Node(a, 4.0) for a in range(0, 360, 10)])
    seen = Skyline([Node(80.0, 3.0), Node(100.0, 3.0)])
    found = compared(land, seen)
    assert found.span_deg == 27.0  # 80 to 100 and the 3° by which an end speaks beyond itself
    assert found.middle_deg == pytest.approx(1.0)
    assert "1.0° above what was measured" in found.words
