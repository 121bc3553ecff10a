"""Cast shadows over lands in closed form, against the skyline at the same spot, and hill shading.

The sun's place is the engine's own, tested elsewhere against almanacs. Hill shading is held against
GDAL's `gdaldem` where Debian's gdal-bin is installed.
"""

from __future__ import annotations

import datetime as dt
import math
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from geographiclib.geodesic import Geodesic

from scout.engine.geodesy import LocalPlane
from scout.engine.sessions import dawn_of, dusk_of
from scout.engine.skyline import Node, Skyline
from scout.engine.sun import SunPath
from scout.terrain.first_light import first_light, levels_min
from scout.terrain.frame import frame_round
from scout.terrain.legend import light_legend
from scout.terrain.patch import patch_of
from scout.terrain.relief import contours, hillshade, relief_picture
from scout.terrain.skylines import skyline_of

from .lands import LAT, LON, hills, model_of, patch_with, rough, write_patch

DAY = dt.date(2026, 5, 12)


def _sunrise() -> dt.datetime:
    level = dawn_of(LAT, LON, "Europe/London", DAY).sun_level_utc
    assert level is not None
    return level


def _reached(altitude_at: Any, start: dt.datetime, way: int = 1) -> float:
    """Minutes until the sun stands over an altitude that depends on its azimuth, by stepping."""
    path = SunPath(LAT, LON)
    for tenth in range(2400):
        at = start + dt.timedelta(minutes=way * tenth / 10)
        altitude, azimuth = path.apparent(at.timestamp())
        if altitude >= max(0.0, altitude_at(azimuth)):
            return tenth / 10
    return math.nan


def test_on_a_plain_the_light_comes_with_the_level_sunrise() -> None:
    found = first_light(patch_with(np.zeros((81, 81)), 10.0), _sunrise())
    inner = found.minutes[5:-5, 5:-5]
    assert np.nanmax(inner) <= 4.0  # from −0.833° of the centre to its own rise, as it is seen


def test_behind_a_wall_it_comes_when_the_sun_stands_over_it() -> None:
    # A long wall running north to south, 20 m high; at d metres west of it the sun has to climb to
    # atan(20/(d/sin of the angle between the sun's azimuth and the wall)).
    cell, size = 2.0, 401
    heights = np.zeros((size, size))
    heights[:, 300] = 20.0
    found = first_light(patch_with(heights, cell), _sunrise(), step_min=1.0)
    for away in (60, 120):
        metres = away * cell

        def over(azimuth: float, metres: float = metres) -> float:
            slant = metres / max(1e-6, math.sin(math.radians(azimuth)))
            return math.degrees(math.atan2(20.0, slant))

        want = _reached(over, _sunrise())
        got = float(found.minutes[330, 300 - away])
        assert got == pytest.approx(want, abs=2.0), away


def test_it_agrees_with_the_skyline_at_the_same_spot(tmp_path: Path) -> None:
    model = model_of(tmp_path, hills(301, 3, 10.0), half_m=1500, cell_m=10)
    patch = patch_of([model], LAT, LON, 1400.0, 10.0)
    found = first_light(patch, _sunrise(), step_min=1.0)
    off = []
    plane = patch.axes_m()
    for row in range(100, 190, 18):
        for column in range(90, 190, 18):
            east, north = float(plane[0][column]), float(plane[1][row])
            lat, lon = LocalPlane(LAT, LON).to_globe(east, north)
            line = skyline_of([model], lat, lon, height_m=0.0, reach_m=1000.0).line()
            want = _reached(lambda azimuth, line=line: line.altitude_at(azimuth) or 0.0, _sunrise())
            got = float(found.minutes[row, column])
            if math.isfinite(want) and math.isfinite(got):
                off.append(got - want)
    # Both look at the same cells in different ways; nothing is systematically early or late.
    assert len(off) >= 25
    assert abs(float(np.median(off))) <= 1.5
    assert np.median(np.abs(off)) <= 3.0


def test_at_dusk_it_is_the_mirror() -> None:
    level = dusk_of(LAT, LON, "Europe/London", DAY).sun_level_utc
    assert level is not None
    heights = np.zeros((201, 201))
    heights[:, 40] = 20.0
    found = first_light(patch_with(heights, 2.0), level, dawn=False, step_min=1.0)

    def over(azimuth: float) -> float:
        slant = 100.0 / max(1e-6, abs(math.sin(math.radians(azimuth))))
        return math.degrees(math.atan2(20.0, slant))

    assert float(found.minutes[150, 90]) == pytest.approx(_reached(over, level, -1), abs=2.0)


def test_far_hills_hold_the_light_back() -> None:
    far = Skyline([Node(float(a), 3.0) for a in range(0, 360, 10)])
    found = first_light(patch_with(np.zeros((61, 61)), 10.0), _sunrise(), far=far, step_min=1.0)
    want = _reached(lambda _: 3.0, _sunrise())
    assert np.nanmedian(found.minutes) == pytest.approx(want, abs=1.5)


def test_lines_are_chosen_so_that_they_can_be_told_apart() -> None:
    minutes = np.linspace(2, 61, 100, dtype=np.float32).reshape(10, 10)
    assert levels_min(minutes) == [10, 20, 30, 40, 50, 60]
    assert levels_min(np.full((3, 3), np.nan, dtype=np.float32)) == []


def test_a_legend_names_what_the_picture_shows_and_nothing_else() -> None:
    frame = frame_round(LAT, LON, 150.0, 2.0)
    flat = first_light(patch_with(np.full((201, 201), 31.3), 2.0), _sunrise())
    # On a plain there is one minute, no line of height and none of minutes.
    (alike,) = (row.words for row in light_legend(frame, flat))
    minute = round(float(np.median(flat.minutes[50:-50, 50:-50])))
    assert f"all over at about {minute} min" in alike
    heights = np.full((201, 201), 31.3)
    heights[:, 150] = 51.3  # a wall of 20 m, east of the middle
    walled = first_light(patch_with(heights, 2.0), _sunrise())
    said = [row.words for row in light_legend(frame, walled)]
    kinds = ["brown line", "plain", "dark", "red line", "hatched"]  # the last: close under it
    assert [one.split(":")[0] for one in said] == kinds
    early, last = (int(re.findall(r"(\d+) min", one)[0]) for one in said[1:3])
    assert early < last


def test_shading_is_the_cosine_to_the_light_on_planes() -> None:
    # A plane rising to the north-west at 45° faces away from light from there; the south-east face
    # is turned to it.
    x, y = np.meshgrid(np.arange(20.0), -np.arange(20.0))
    for east, north in ((0.3, -0.2), (-0.5, 0.5), (0.0, 0.0)):
        shade = hillshade((east * x + north * y).astype(np.float32), 1.0, 315.0, 45.0)
        normal = np.array([-east, -north, 1.0]) / math.sqrt(1 + east**2 + north**2)
        light = np.array([-math.sqrt(0.5), math.sqrt(0.5), 1.0]) / math.sqrt(2.0)
        assert np.nanmean(shade) == pytest.approx(max(0.0, float(normal @ light)), abs=1e-5)


@pytest.mark.skipif(shutil.which("gdaldem") is None, reason="gdal-bin is not installed")
def test_gdaldem_shades_alike(tmp_path: Path) -> None:
    heights = rough(201, 2).astype(np.float32)
    source, out = tmp_path / "land.tif", tmp_path / "shade.tif"
    patch = patch_with(heights, 5.0)
    write_patch(source, patch)
    command = ["gdaldem", "hillshade", "-q", "-az", "315", "-alt", "45", str(source), str(out)]
    subprocess.run(command, check=True, capture_output=True)
    with rasterio.open(out) as file:
        theirs = file.read(1).astype(float)
    mine = hillshade(heights, 5.0)
    inner = (slice(1, -1), slice(1, -1))
    # GDAL answers 1 + 254 × the cosine, rounded.
    assert np.abs(1 + 254 * mine[inner] - theirs[inner]).max() <= 1.0


def test_contours_of_a_cone_are_circles() -> None:
    x, y = np.meshgrid(np.arange(-50.0, 51.0), np.arange(-50.0, 51.0))
    cone = (100 - np.hypot(x, y)).astype(np.float32)
    ((level, lines),) = contours(cone, [70.0])
    assert level == 70.0
    assert len(lines) == 1
    radius = np.hypot(lines[0][:, 0] - 50, lines[0][:, 1] - 50)
    assert radius == pytest.approx(30.0, abs=0.1)


def test_a_picture_lies_where_its_edges_say(tmp_path: Path) -> None:
    model = model_of(tmp_path, lambda x, y: 50 + 0.05 * x, half_m=400, cell_m=2)
    patch = patch_of([model], LAT, LON, 350.0, 2.0)
    frame = frame_round(LAT, LON, 250.0, 2.0)
    edges = frame.bounds
    side = Geodesic.WGS84.Inverse(LAT, edges["west_deg"], LAT, edges["east_deg"])["s12"]
    assert side == pytest.approx(500.0, rel=0.004)  # Mercator lies on a sphere: 0.3 % at most
    columns, rows = frame.spots([LAT], [LON])
    assert (columns[0], rows[0]) == pytest.approx((frame.wide / 2, frame.high / 2), abs=0.01)
    there = Geodesic.WGS84.Direct(LAT, LON, 60.0, 150.0)
    by_degrees = frame.spots([there["lat2"]], [there["lon2"]])
    turn = math.radians(60.0)
    by_metres = frame.of_patch(patch, [150 * math.sin(turn)], [150 * math.cos(turn)])
    assert float(by_degrees[0][0]) == pytest.approx(float(by_metres[0][0]), abs=0.05)
    assert float(by_degrees[1][0]) == pytest.approx(float(by_metres[1][0]), abs=0.05)
    picture = relief_picture(frame, patch)
    assert picture.size == (frame.wide, frame.high)
    assert len(picture.getcolors(1 << 20) or []) > 3  # shading and lines
