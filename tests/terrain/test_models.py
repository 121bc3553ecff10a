"""Elevation models taken in: three formats of one land agree, and what is wrong is said.

Where places lie is checked with PROJ (through rasterio) and geographiclib; the layout of HGT and
ASCII grid files follows their published descriptions (SRTM: big-endian 16 bit from the north-west,
void −32768; ESRI: header, then rows from the north).
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from geographiclib.geodesic import Geodesic
from rasterio.transform import Affine

from scout.records.measured import Elevation
from scout.records.trouble import Refused
from scout.terrain.ground import Pin, ground_under
from scout.terrain.incoming import look
from scout.terrain.model import BARE, SURFACE, order_for
from scout.terrain.patch import heights_at, patch_of
from scout.terrain.shelf import Shelf
from scout.terrain.taking_in import take_in

from .lands import LAT, LON, model_of, write_heights, write_tiff

SIDE = 1201


def _degrees_land(lat: Any, lon: Any) -> Any:
    return np.round(200 + 150 * np.sin(40 * np.radians(lat)) + 90 * np.cos(60 * np.radians(lon)))


def _whole_degree() -> tuple[Any, Any, Any]:
    """Heights at the points of a one-degree tile, south-west corner 52 N, 1 W."""
    lats = 53.0 - np.arange(SIDE) / (SIDE - 1)
    lons = -1.0 + np.arange(SIDE) / (SIDE - 1)
    return lats, lons, _degrees_land(lats[:, None], lons[None, :])


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Write the same land as HGT, ASCII grid and GeoTIFF, and take each in."""
    folder = tmp_path_factory.mktemp("three")
    lats, lons, heights = _whole_degree()
    hgt = folder / "N52W001.hgt"
    hgt.write_bytes(heights.astype(">i2").tobytes())
    step = 1.0 / (SIDE - 1)
    tif = folder / "same.tif"
    turn = Affine(step, 0.0, -1.0 - step / 2, 0.0, -step, 53.0 + step / 2)
    write_heights(tif, heights.astype("int16"), "EPSG:4326", turn)
    # Only the middle third as text: the format is large.
    rows = slice(400, 801)
    asc = folder / "same.asc"
    header = (
        f"ncols 401\nnrows 401\nxllcenter {lons[400]:.12f}\nyllcenter {lats[800]:.12f}\n"
        f"cellsize {step:.15f}\nNODATA_value -9999\n"
    )
    body = "\n".join(" ".join(f"{h:.0f}" for h in row) for row in heights[rows, rows])
    asc.write_text(header + body + "\n", "ascii")
    shelf = Shelf(folder)
    return {
        "hgt": take_in(shelf, hgt, kind=SURFACE)[0],
        "tif": take_in(shelf, tif, kind=BARE)[0],
        "asc": take_in(shelf, asc, kind=BARE, crs="EPSG:4326", name="text")[0],
        "shelf": shelf,
        "truth": (lats, lons, heights),
    }


def test_three_formats_of_one_land_tell_the_same_heights(three: dict[str, Any]) -> None:
    lats, lons, heights = three["truth"]
    picked = [(r, c) for r in range(405, 800, 41) for c in range(405, 800, 37)]
    places = [(float(lats[r]), float(lons[c])) for r, c in picked]
    want = np.array([heights[r, c] for r, c in picked])
    for name in ("hgt", "tif", "asc"):
        assert heights_at(three[name], places) == pytest.approx(want, abs=0.01), name


def test_between_points_it_is_the_mean_of_the_four(three: dict[str, Any]) -> None:
    lats, lons, heights = three["truth"]
    place = (float(lats[500] + lats[501]) / 2, float(lons[600] + lons[601]) / 2)
    want = heights[500:502, 600:602].mean()
    for name in ("hgt", "tif", "asc"):
        assert heights_at(three[name], [place])[0] == pytest.approx(want, abs=0.02), name


def test_edges_and_cells_are_known_on_the_ground(three: dict[str, Any]) -> None:
    model = three["tif"]
    step = 1.0 / (SIDE - 1)
    # A cell on the ellipsoid, after Karney: the root of its two sides.
    wide = Geodesic.WGS84.Inverse(52.5, 0.0, 52.5, step)["s12"]
    high = Geodesic.WGS84.Inverse(52.5, 0.0, 52.5 + step, 0.0)["s12"]
    assert model.cell_m == pytest.approx(math.sqrt(wide * high), rel=0.005)
    assert model.north_deg == pytest.approx(53.0 + step / 2, abs=1e-6)
    assert model.west_deg == pytest.approx(-1.0 - step / 2, abs=1e-6)
    assert model.covers(52.5, -0.5)
    assert not model.covers(53.1, -0.5)
    away = Geodesic.WGS84.Inverse(53.0 + step / 2, -0.5, 53.1, -0.5)["s12"]
    assert model.away_m(53.1, -0.5) == pytest.approx(away, rel=1e-3)


def test_the_shelf_lists_names_and_removes(three: dict[str, Any], tmp_path: Path) -> None:
    copy = Shelf(tmp_path)
    assert len(copy.bring_from(three["shelf"])) == 3
    assert copy.bring_from(three["shelf"]) == []
    assert {one.name for one in copy.models()} == {"N52W001", "same", "text"}
    with pytest.raises(Refused, match=r'no elevation model "heath"; here are: .*same'):
        copy.named("heath")
    copy.remove(copy.named("same"))
    assert {one.name for one in copy.models()} == {"N52W001", "text"}
    (tmp_path / "land" / f"{copy.named('text').id}.json").write_text("{", "utf-8")
    assert {one.name for one in copy.models()} == {"N52W001"}


@pytest.mark.parametrize("crs", ["EPSG:32630", "EPSG:27700", "EPSG:3035", "EPSG:4258"])
def test_any_coordinate_system_lies_where_it_should(tmp_path: Path, crs: str) -> None:
    # A cone whose top is the site: metres from it and its height must agree on every plane.
    def cone(x: Any, y: Any) -> Any:
        return 300.0 - 0.2 * np.hypot(x, y)

    model = model_of(tmp_path, cone, half_m=1000, cell_m=5, crs=crs)
    patch = patch_of([model], LAT, LON, 600.0, 5.0)
    east, north = np.meshgrid(*patch.axes_m())
    off = np.hypot(east, north)
    ring = (off > 50) & (off < 590)
    assert np.abs(patch.heights_m - cone(east, north))[ring].max() < 0.12
    for turn in range(0, 360, 45):
        there = Geodesic.WGS84.Direct(LAT, LON, turn, 400.0)
        height = heights_at(model, [(there["lat2"], there["lon2"])])[0]
        assert height == pytest.approx(220.0, abs=0.1)


def test_without_a_coordinate_system_it_asks_for_one(tmp_path: Path) -> None:
    path = write_tiff(tmp_path / "bare.tif", lambda x, y: 0 * x + 5.0, half_m=100, crs="EPSG:32630")
    with rasterio.open(path) as file:
        data, turn = file.read(1), file.transform
    naked = tmp_path / "naked.tif"
    options = {"driver": "GTiff", "width": 41, "height": 41, "count": 1, "dtype": "float32"}
    with rasterio.open(naked, "w", transform=turn, **options) as file:
        file.write(data, 1)
    with pytest.raises(Refused, match=r"does not say in which coordinate system it lies; look it"):
        look(naked)
    assert look(naked, "EPSG:32630").cell_m == pytest.approx(5.0)
    with pytest.raises(Refused, match=r"is no coordinate system known here; give its number"):
        look(naked, "EPSG:99999999")
    with pytest.raises(Refused, match="its edges are no degrees"):
        look(naked, "EPSG:4326")


def test_feet_are_turned_into_metres_and_mistaken_ones_are_noticed(tmp_path: Path) -> None:
    def feet(x: Any, y: Any) -> Any:
        return (400.0 + 0.05 * x) / 0.3048

    metres = model_of(tmp_path, lambda x, y: 400.0 + 0.05 * x, "metres", half_m=500)
    path = write_tiff(tmp_path / "feet.tif", feet, half_m=500)
    shelf = Shelf(tmp_path)
    wrong, said = take_in(shelf, path, kind=BARE)
    assert any("3.28 times those of metres" in one and "feet" in one for one in said)
    shelf.remove(wrong)
    right, said = take_in(shelf, path, kind=BARE, feet=True)
    assert "Its heights were feet and stand here in metres." in said
    spot = [(LAT, LON)]
    assert heights_at(right, spot) == pytest.approx(heights_at(metres, spot), abs=0.01)
    high = write_tiff(tmp_path / "alps.tif", lambda x, y: 0 * x + 15_000.0, half_m=100)
    with pytest.raises(Refused, match="goes up to 15000, which no land does in metres"):
        look(high)


def test_a_file_whose_own_unit_is_feet_needs_no_word(tmp_path: Path) -> None:
    path = write_tiff(tmp_path / "ft.tif", lambda x, y: 0 * x + 1000.0, half_m=100)
    with rasterio.open(path, "r+") as file:
        file.units = ["US survey foot"]
    assert look(path).feet
    assert not look(path, feet=False).feet


def test_holes_are_counted_and_answered_from_another_model(tmp_path: Path) -> None:
    def hole(x: Any, y: Any) -> Any:
        return (np.abs(x) < 100) & (np.abs(y) < 100)

    path = write_tiff(
        tmp_path / "holed.tif", lambda x, y: 0 * x + 50.0, half_m=500, nodata=-9999, hole=hole
    )
    shelf = Shelf(tmp_path)
    model, said = take_in(shelf, path, kind=BARE)
    assert model.unknown_share == pytest.approx((39 / 201) ** 2, abs=0.001)
    assert any("3.8 % of it are holes" in one for one in said)
    assert math.isnan(heights_at(model, [(LAT, LON)])[0])
    other = model_of(tmp_path, lambda x, y: 0 * x + 48.0, "coarse", half_m=900, cell_m=30)
    patch = patch_of(shelf.models(), LAT, LON, 300.0, 5.0)
    assert patch.known_share == 1.0
    assert patch.at(0.0, 0.0) == pytest.approx(48.0)
    assert patch.at(250.0, 0.0) == pytest.approx(50.0)
    assert [one.id for one in patch.used] == [model.id, other.id]


def test_nonsense_heights_are_holes_even_if_the_file_does_not_say_so(tmp_path: Path) -> None:
    path = write_tiff(tmp_path / "odd.tif", lambda x, y: 0 * x - 32767.0, half_m=100)
    with pytest.raises(Refused, match="its holes may be marked with a number that it does not nam"):
        look(path)


def test_a_model_that_misses_every_site_is_refused_with_the_distance(tmp_path: Path) -> None:
    path = write_tiff(tmp_path / "far.tif", lambda x, y: 0 * x + 5.0, half_m=500, cell_m=30)
    with pytest.raises(Refused, match=r"misses every site: it ends 5\d km from the heath"):
        take_in(Shelf(tmp_path), path, kind=BARE, places=[("the heath", LAT + 0.5, LON)])
    assert not list(tmp_path.glob("land/*"))


def test_what_is_no_model_is_told_apart(tmp_path: Path) -> None:
    picture = tmp_path / "air.tif"
    shape = {"driver": "GTiff", "width": 9, "height": 9, "count": 3, "dtype": "uint8"}
    with rasterio.open(
        picture, "w", crs="EPSG:4326", transform=Affine(0.1, 0, 0, 0, -0.1, 50), **shape
    ) as file:
        file.write(np.zeros((3, 9, 9), dtype="uint8"))
    with pytest.raises(Refused, match="is a picture with 3 colours"):
        look(picture)
    text = tmp_path / "notes.txt"
    text.write_text("heights", "utf-8")
    with pytest.raises(Refused, match="is no elevation model that is read here"):
        look(text)
    with pytest.raises(Refused, match="there is no such file"):
        look(tmp_path / "gone.tif")
    cut = tmp_path / "cut.tif"
    cut.write_bytes(picture.read_bytes()[:60])
    with pytest.raises(Refused, match="cannot be read"):
        look(cut)
    named = tmp_path / "tile.hgt"
    named.write_bytes(b"\0" * (2 * SIDE * SIDE))
    with pytest.raises(Refused, match="by its name alone"):
        look(named)
    short = tmp_path / "N10E010.hgt"
    short.write_bytes(b"\0" * 100)
    with pytest.raises(Refused, match="has 100 bytes; a whole HGT tile has 2884802"):
        look(short)


def test_a_file_that_only_points_to_others_is_not_followed(tmp_path: Path) -> None:
    # GDAL's virtual format may name any file or address; under another name it is not opened.
    trick = tmp_path / "trick.tif"
    trick.write_text('<VRTDataset rasterXSize="1" rasterYSize="1"></VRTDataset>', "utf-8")
    with pytest.raises(Refused, match="cannot be read"):
        look(trick)


def test_the_same_file_twice_is_said_and_nothing_is_left_of_a_stopped_one(tmp_path: Path) -> None:
    path = write_tiff(tmp_path / "one.tif", lambda x, y: 0 * x + 5.0, half_m=100)
    shelf = Shelf(tmp_path)
    take_in(shelf, path, kind=BARE)
    with pytest.raises(Refused, match="stands here already"):
        take_in(shelf, path, kind=BARE)

    class Stopped(Exception):
        pass

    def stop(share: float, _words: str) -> None:
        if share > 0.5:
            raise Stopped

    with pytest.raises(Stopped):
        take_in(shelf, path, kind=SURFACE, progress=stop)
    assert len(list(tmp_path.glob("land/*"))) == 2


def test_progress_never_goes_back_and_ends_at_one(tmp_path: Path) -> None:
    path = write_tiff(tmp_path / "big.tif", lambda x, y: 0 * x + 5.0, half_m=700, cell_m=1)
    told: list[float] = []
    take_in(Shelf(tmp_path), path, kind=BARE, progress=lambda share, _: told.append(share))
    assert told == sorted(told)
    assert told[-1] == 1.0
    written = next(tmp_path.glob("land/*.tif"))
    with rasterio.open(written) as file:
        assert file.overviews(1) == [2, 4]
        assert file.profile["tiled"]
    said = json.loads(next(tmp_path.glob("land/*.json")).read_text("utf-8"))
    assert said["kind"] == BARE


def test_which_model_is_asked_first(tmp_path: Path) -> None:
    sizes = {"half": 0.5, "two": 2.0, "thirty": 30.0}
    models = [
        model_of(tmp_path, lambda x, y: 0 * x, name, half_m=60 * cell, cell_m=cell)
        for name, cell in sizes.items()
    ]
    trees = model_of(tmp_path, lambda x, y: 0 * x, "trees", kind=SURFACE, half_m=60, cell_m=1)
    every = [*models, trees]
    assert [one.name for one in order_for(every, 5.0)] == ["two", "half", "thirty", "trees"]
    assert next(one.name for one in order_for(every, 0.1, SURFACE)) == "trees"
    assert [one.name for one in order_for(every, 50.0, only=True)] == ["thirty", "two", "half"]


def test_ground_is_filled_in_and_never_over_a_measured_one(tmp_path: Path) -> None:
    model = model_of(tmp_path, lambda x, y: 100 + 0.1 * x, half_m=500, cell_m=1)
    there = Geodesic.WGS84.Direct(LAT, LON, 90.0, 50.0)
    place = {"lat_deg": there["lat2"], "lon_deg": there["lon2"], "accuracy_m": 8.0}
    pins = [
        Pin(id="a", name="a", **place),
        Pin(id="b", name="b", known=Elevation(m=103.5, how="tape"), **place),
        Pin(id="c", name="c", known=Elevation(m=99.0, how="terrain"), **place),
        Pin(id="d", name="d", lat_deg=LAT + 1, lon_deg=LON),
    ]
    new, measured, older, nowhere = ground_under(pins, [model])
    assert new.fills
    assert new.elevation_m == pytest.approx(105.0, abs=0.05)
    # 8 m of the pin on a slope of a tenth, and the model's own ±.
    assert new.plus_minus_m == pytest.approx(math.hypot(0.8, model.plus_minus_m), abs=0.06)
    assert not measured.fills
    assert measured.difference_m == pytest.approx(1.5, abs=0.05)
    assert "103.5 m (tape) stands, the model is 1.5 m higher" in measured.words
    assert older.fills
    assert (nowhere.elevation_m, nowhere.fills) == (None, False)
