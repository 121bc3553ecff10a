"""The hide finder over lands in closed form: each condition bars what geometry says it must bar."""

from __future__ import annotations

import datetime as dt
import math
from pathlib import Path
from typing import Any

import attrs
import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from scout.engine.light import Face
from scout.engine.minutes import Needs, minutes_of
from scout.engine.skyline import Node, Skyline
from scout.records.kit import ApertureStep, Kit, Species
from scout.records.settings import Settings
from scout.records.trouble import Refused
from scout.terrain.finder import Found, Target, places_round
from scout.terrain.frame import frame_round
from scout.terrain.model import SURFACE
from scout.terrain.pictures import finder_picture, png
from scout.terrain.relief import relief_picture
from scout.terrain.spots import best_spots
from scout.terrain.wanted import Wanted, wanted_of
from scout.terrain.way_in import Outline, recorded

from .lands import LAT, LON, model_of

# Two hours after sunrise of a May morning at 52.87 N, the sun in the east.
MINUTES = minutes_of(
    LAT,
    LON,
    dt.datetime(2026, 5, 12, 5, 0, tzinfo=dt.UTC),
    dt.datetime(2026, 5, 12, 6, 0, tzinfo=dt.UTC),
)
NEEDS = Needs((50.0, 200.0, 800.0), 0)
WANTED = Wanted(
    animal="mammal",
    nearest_m=12.0,
    farthest_m=40.0,
    lens_height_m=0.9,
    level_perch_deg=5.0,
    level_ground_deg=2.0,
    least_gap_m=5.0,
)
TARGET = Target(
    id="p",
    name="post",
    lat_deg=LAT,
    lon_deg=LON,
    height_m=1.2,
    kind="post",
    plus_minus_m=0.0,
    line=None,
    face=Face(),
    sun_on=(True,) * len(MINUTES),
)


def _search(folder: Path, land: Any, **options: Any) -> Found:
    model = model_of(folder, land, half_m=120, cell_m=0.5)
    target = options.pop("target", TARGET)
    wanted = attrs.evolve(WANTED, **options.pop("wanted", {}))
    return places_round([model], target, wanted, NEEDS, MINUTES, **options)


def _rim(x: Any, y: Any) -> Any:
    """Level ground within a round bank: something stands behind everything, nothing between."""
    return np.maximum(0.0, 0.2 * (np.hypot(x, y) - 60.0))


def _good(found: Found) -> tuple[Any, Any, Any]:
    east, north = np.meshgrid(*found.patch.axes_m())
    return found.good_min > 0, np.hypot(east, north), np.degrees(np.arctan2(east, north)) % 360


def test_on_open_ground_it_is_the_ring_between_keep_distance_and_frame(tmp_path: Path) -> None:
    found = _search(tmp_path, _rim)
    good, away, _ = _good(found)
    assert (good == ((away >= 12.0) & (away <= 40.0))).mean() > 0.999
    assert good[away < 12.0].sum() == 0
    # The line rises by 0.3 m over the distance: level within 5° from 12 m on.
    tilt = found.tilt_deg[good]
    assert tilt.max() == pytest.approx(math.degrees(math.atan(0.3 / 12.0)), abs=0.03)
    # All the hour is good where any light will do, and the light is ample.
    assert set(np.unique(found.good_min)) == {0, 60}
    assert found.why_nothing is None
    assert found.not_searched is None
    # The pin may stand nearer by its ±: that much further off, or the pin is to be measured first.
    unsure = _search(tmp_path / "b", _rim, target=attrs.evolve(TARGET, plus_minus_m=9.0))
    good, away, _ = _good(unsure)
    assert (good == ((away >= 21.0) & (away <= 40.0))).mean() > 0.999
    assert good[away < 21.0].sum() == 0
    lost = _search(tmp_path / "c", _rim, target=attrs.evolve(TARGET, plus_minus_m=30.0))
    assert lost.good_min.sum() == 0
    assert (lost.why_nothing or "").endswith("known to ±30 m: measure the pin first.")


def test_the_gap_is_where_the_line_meets_the_bank(tmp_path: Path) -> None:
    found = _search(tmp_path, _rim)
    good, away, toward = _good(found)
    pick = good & (np.abs(away - 20.0) < 0.3) & (np.abs(toward - 90.0) < 2.0)
    # Rising 0.3 in 20 m from 1.2 m up at the perch; the bank rises 1 in 5 from 60 m on.
    want = (60.0 * 0.2 + 1.2) / (0.2 - 0.015)
    assert np.median(found.gap_m[pick]) == pytest.approx(want, abs=1.0)
    near = _search(tmp_path / "b", _rim, wanted={"least_gap_m": 80.0})
    assert near.left[5] == 0
    assert near.why_nothing == (
        "post: the land behind the perch stands too near on every line that is free."
    )


def test_a_wall_bars_what_lies_behind_it(tmp_path: Path) -> None:
    def land(x: Any, y: Any) -> Any:
        return _rim(x, y) + np.where((x > 8) & (x < 9) & (np.abs(y) < 6), 3.0, 0.0)

    found = _search(tmp_path, land)
    good, away, toward = _good(found)
    ring = (away > 12.5) & (away < 39.0)
    behind = ring & (np.abs(toward - 90.0) < 30.0)
    assert good[behind].sum() == 0
    elsewhere = ring & (np.abs(toward - 90.0) > 45.0) & (np.abs(toward - 270.0) > 45.0)
    assert good[elsewhere].mean() > 0.99


def test_a_sitter_on_a_crest_stands_against_the_sky(tmp_path: Path) -> None:
    # To the west the ground falls away beyond the ring and nothing stands behind the sitter.
    def land(x: Any, y: Any) -> Any:
        return np.where(x < -45.0, -0.5 * (-x - 45.0), _rim(x, y) * (x > -45.0))

    found = _search(tmp_path, land, wanted={"least_gap_m": 1.0})
    good, away, toward = _good(found)
    west = (np.abs(toward - 270.0) < 20.0) & (away > 15.0) & (away < 39.0)
    east = (np.abs(toward - 90.0) < 20.0) & (away > 15.0) & (away < 39.0)
    assert good[west].sum() == 0
    assert good[east].mean() > 0.95


def test_steep_ground_water_and_other_perches_are_left_out(tmp_path: Path) -> None:
    def land(x: Any, y: Any) -> Any:
        return _rim(x, y) + np.where(y > 15.0, np.minimum(0.4 * (y - 15.0), 1.0), 0.0)

    def there(azimuth: float, metres: float) -> tuple[float, float]:
        found = Geodesic.WGS84.Direct(LAT, LON, azimuth, metres)
        return found["lat2"], found["lon2"]

    pond = [
        there(180.0 + turn, metres) for turn, metres in ((-20, 10), (-20, 45), (20, 45), (20, 10))
    ]
    found = _search(
        tmp_path,
        land,
        outlines=[pond],
        kept_off=[(*there(90.0, 25.0), 10.0)],
        spared=[(*there(270.0, 60.0), 30.0)],
    )
    good, away, toward = _good(found)
    east, north = np.meshgrid(*found.patch.axes_m())
    steep = (north > 15.5) & (north < 17.0) & (away < 40.0)
    assert good[steep].sum() == 0
    assert good[(np.abs(toward - 180.0) < 15.0) & (away > 13.0) & (away < 38.0)].sum() == 0
    assert good[np.hypot(east - 25.0, north) < 9.5].sum() == 0
    assert good[(np.abs(toward - 270.0) < 20.0) & (away > 13.0) & (away < 29.0)].mean() > 0.99
    # Near a spared perch they are counted apart.
    spared = np.hypot(east + 60.0, north) < 29.5
    assert good[spared].sum() == 0
    assert (found.spared_min > 0)[spared & (away < 39.5)].mean() > 0.99
    assert found.left[-2] - found.left[-1] == (found.spared_min > 0).sum()


def test_only_places_with_the_wanted_light_are_left(tmp_path: Path) -> None:
    found = _search(tmp_path, _rim, wanted={"light_wanted": "front", "sky": "clear"})
    good, _, toward = _good(found)
    suns = [minute.azimuth_deg for minute in MINUTES]
    # Front light: the lens stands within 45° of the sun's azimuth as seen from the perch.
    off = np.abs((toward - np.mean(suns) + 180.0) % 360.0 - 180.0)
    assert good[off > 60.0].sum() == 0
    ring = found.patch.heights_m.size and (found.good_min == 60)
    assert off[ring].max() < 50.0
    shaded = attrs.evolve(TARGET, sun_on=(False,) * len(MINUTES))
    none = _search(tmp_path / "b", _rim, target=shaded, wanted={"light_wanted": "front"})
    assert none.left[-1] == 0
    assert "the light as wanted" in (none.why_nothing or "")


def test_a_skyline_takes_light_away_from_the_side_it_stands_on(tmp_path: Path) -> None:
    high = Skyline([Node(float(a), 50.0 if 90 < a < 270 else 0.0) for a in range(0, 360, 10)])
    dim = Needs((6000.0, 9000.0, 9000.0), 0)
    target = attrs.evolve(TARGET, line=high, sun_on=(False,) * len(MINUTES))
    model = model_of(tmp_path, _rim, half_m=120, cell_m=0.5)
    wanted = attrs.evolve(WANTED, sky="clear")
    found = places_round([model], target, wanted, dim, MINUTES)
    north = found.counts[0]
    south = found.counts[36]
    assert north[0] >= south[0]


def test_no_keep_distance_no_finder_and_never_nearer(tmp_path: Path) -> None:
    kit = Kit(
        id="k",
        name="long",
        sensor_width_mm=23.5,
        sensor_height_mm=15.6,
        pixels_wide=6000,
        pixels_high=4000,
        iso_ceiling=6400,
        focal_mm=400,
        apertures=(ApertureStep(focal_mm=400, f_number=6.3),),
    )
    bird = {"id": "s", "name": "stonechat", "animal": "bird", "length_m": 0.125}
    with pytest.raises(Refused, match=r"stonechat has no keep-distance in the open yet"):
        wanted_of(kit, Species(**bird), Settings())
    with pytest.raises(Refused, match=r"from a settled hide yet"):
        wanted_of(kit, Species(keep_distance_open_m=12, **bird), Settings(), in_hide=True)
    with pytest.raises(Refused, match=r"not with this kit|Not with this kit"):
        wanted_of(kit, Species(keep_distance_open_m=90, **bird), Settings())
    wanted = wanted_of(kit, Species(keep_distance_open_m=9, **bird), Settings(), posture="lying")
    assert (wanted.nearest_m, wanted.lens_height_m) == (9, 0.3)
    # The picture 2048 px wide with the bird a third of it: 0.125 m on 676 px of 3.9 µm at 400 mm.
    pixels = 2048 * 0.33
    want = 400 * (1 + 125 / (pixels * 23.5 / 6000)) / 1000
    assert wanted.farthest_m == pytest.approx(want, rel=1e-6)


def test_coarse_cells_are_refused_and_thin_out_the_near(tmp_path: Path) -> None:
    rough = model_of(tmp_path, _rim, "rough", half_m=900, cell_m=30)
    with pytest.raises(Refused, match=r"cells of 30 m are too coarse for a line of 40 m"):
        places_round([rough], TARGET, WANTED, NEEDS, MINUTES)
    mid = model_of(tmp_path, _rim, "mid", half_m=200, cell_m=2)
    found = places_round([mid], TARGET, WANTED, NEEDS, MINUTES)
    good, away, _ = _good(found)
    assert away[good].min() >= 20.0  # ten cells of 2 m
    assert found.not_searched == (
        "post: nearer than 20 m was not searched (cells of 2 m); from 12 m on a model of 1.2 m is "
        "needed."
    )


def test_trees_in_a_surface_model_hide_and_the_sitter_stays_on_the_ground(tmp_path: Path) -> None:
    def trees(x: Any, y: Any) -> Any:
        return _rim(x, y) + np.where((x < -6) & (x > -9) & (np.abs(y) < 40), 6.0, 0.0)

    bare = model_of(tmp_path, _rim, "bare", half_m=120, cell_m=0.5)
    tall = model_of(tmp_path, trees, "tall", kind=SURFACE, half_m=120, cell_m=0.5)
    found = places_round([bare, tall], TARGET, WANTED, NEEDS, MINUTES, kind=SURFACE)
    good, away, toward = _good(found)
    west = (np.abs(toward - 270.0) < 30.0) & (away > 13.0)
    assert good[west].sum() == 0
    assert found.eye_m == pytest.approx(1.2, abs=0.02)


def test_the_best_places_are_distinct_and_carry_their_figures(tmp_path: Path) -> None:
    found = _search(tmp_path, _rim)
    gate = Geodesic.WGS84.Direct(LAT, LON, 180.0, 200.0)
    start = (gate["lat2"], gate["lon2"])
    spots = best_spots([found], start=start)
    assert len(spots) == 6
    for place, one in enumerate(spots):
        back = Geodesic.WGS84.Inverse(one.lat_deg, one.lon_deg, LAT, LON)
        assert one.distance_m == pytest.approx(back["s12"], abs=0.01)
        assert one.bearing_deg == pytest.approx(back["azi1"] % 360, abs=0.01)
        assert 12.0 <= one.distance_m <= 40.0
        for other in spots[:place]:
            apart = Geodesic.WGS84.Inverse(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg)
            assert apart["s12"] >= 8.0 - 0.3
        assert set(one.good_min) == {"clear", "in and out", "overcast"}
        # Two hundred metres over open ground within the bank: all of it is seen but what lies
        # behind the rim.
        assert one.way is not None
        assert one.way.seen is not None
        assert one.way.seen > 0.2
        assert one.way.by == "in a straight line"
        assert one.way.length_m == pytest.approx(
            Geodesic.WGS84.Inverse(gate["lat2"], gate["lon2"], one.lat_deg, one.lon_deg)["s12"],
            abs=0.1,
        )
        assert " to " in one.bad_winds
    # A walk-in that somebody walked and that ends near by is the way, and not the straight line.
    stump = Geodesic.WGS84.Direct(spots[0].lat_deg, spots[0].lon_deg, 70.0, 30.0)
    way = recorded("Stump", (stump["lat2"], stump["lon2"]), [(10.0, 120.0), (300.0, 80.0)])
    corner = Geodesic.WGS84.Direct(stump["lat2"], stump["lon2"], 120.0, 80.0)
    begin = Geodesic.WGS84.Direct(corner["lat2"], corner["lon2"], 190.0, 120.0)
    off = Geodesic.WGS84.Inverse(*way.corners[0], begin["lat2"], begin["lon2"])["s12"]
    assert off < 0.1
    # A dyke right across the way from the gate, 100 m south, and one that no way comes to.
    dykes = [
        Outline(
            f"{name} dyke (water)",
            tuple(
                (at["lat2"], at["lon2"])
                for turn, metres in ((-60.0, 200.0), (60.0, 200.0), (59.0, 206.0), (-59.0, 206.0))
                for at in [Geodesic.WGS84.Direct(LAT, LON, middle + turn, metres)]
            ),
        )
        for name, middle in (("Deep", 180.0), ("Far", 0.0))
    ]
    bird = attrs.evolve(found, wanted=attrs.evolve(WANTED, animal="bird"))
    for one in best_spots([bird], start=start, outlines=dykes):
        assert one.way is not None
        assert one.way.by == "in a straight line; crosses Deep dyke (water): find a way round"
        assert one.bad_winds == "none (bird)"
    (walked, *_) = best_spots([found], ways=[way], outlines=dykes)
    assert walked.way is not None
    assert walked.way.by == (
        "by the walk-in to Stump, then 30 m straight; crosses Deep dyke (water): find a way round"
    )
    (walked, *_) = best_spots([found], ways=[way], outlines=dykes[1:])
    assert walked.way is not None
    assert walked.way.by == "by the walk-in to Stump, then 30 m straight"
    assert walked.way.length_m == pytest.approx(120.0 + 80.0 + 30.0, abs=0.2)
    frame = frame_round(LAT, LON, 60.0, 0.5)
    picture = finder_picture(relief_picture(frame, found.patch), frame, [found], spots)
    assert picture.size == (frame.wide, frame.high)
    assert png(picture).startswith(b"\x89PNG")
