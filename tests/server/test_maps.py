"""Base maps that a user supplies: listed, cut, and refused in words.

Where a tile lies is checked against the rule of the XYZ and TMS schemes as the OGC Two Dimensional
Tile Matrix Set standard has it (WebMercatorQuad), by hand and from points put into a picture.
"""

from __future__ import annotations

import io
import json
import math
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from flask import Flask
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from scout.notebook.notebook import Notebook
from scout.server import maps
from scout.server.app import create_app
from scout.server.map_sheet import Bounds

from .linked import Client

WEST, SOUTH, EAST, NORTH = -0.48, 52.86, -0.46, 52.88
EDGES = {"south_deg": SOUTH, "west_deg": WEST, "north_deg": NORTH, "east_deg": EAST}


@pytest.fixture
def folder(notebook: Notebook) -> Path:
    made = notebook.folder / "maps"
    made.mkdir(exist_ok=True)
    return made


@pytest.fixture
def link(notebook: Notebook) -> Client:
    app: Flask = create_app(notebook)
    if "maps" not in app.blueprints:
        app.register_blueprint(maps.routes)
    return Client(app.test_client())


def xyz(lon: float, lat: float, zoom: int) -> tuple[float, float]:
    """Tile coordinates with their fraction (OGC 17-083r2, WebMercatorQuad)."""
    count = 2**zoom
    x = (lon + 180) / 360 * count
    y = (1 - math.asinh(math.tan(math.radians(lat))) / math.pi) / 2 * count
    return x, y


def png(colour: tuple[int, int, int]) -> bytes:
    held = io.BytesIO()
    Image.new("RGB", (256, 256), colour).save(held, "PNG")
    return held.getvalue()


def mbtiles(path: Path, tiles: dict[tuple[int, int, int], bytes], **metadata: str) -> None:
    """Write a file after the MBTiles 1.3 specification: rows count from the south."""
    with closing(sqlite3.connect(path)) as db:
        db.executescript(
            "CREATE TABLE metadata (name text, value text);"
            "CREATE TABLE tiles (zoom_level integer, tile_column integer, tile_row integer,"
            " tile_data blob);"
        )
        db.executemany("INSERT INTO metadata VALUES (?, ?)", metadata.items())
        db.executemany(
            "INSERT INTO tiles VALUES (?, ?, ?, ?)",
            [(z, x, 2**z - 1 - y, data) for (z, x, y), data in tiles.items()],
        )
        db.commit()


def listed(link: Client) -> dict[str, dict[str, object]]:
    said = link.ask("GET", "/api/v1/maps")
    assert said.status == 200
    assert said.headers["cache-control"] == "no-store"
    return {sheet["name"]: sheet for sheet in said.json["maps"]}


def test_no_folder_is_no_map(link: Client) -> None:
    assert listed(link) == {}
    assert link.ask("GET", "/api/v1/maps/heath/3/1/1").status == 404


def test_a_tile_file_is_listed_and_its_tiles_lie_where_they_belong(
    link: Client, folder: Path
) -> None:
    x, y = (int(one) for one in xyz(-0.47, 52.87, 15))
    red, blue = png((200, 0, 0)), png((0, 0, 200))
    said = {"name": "The heath", "bounds": "-0.48,52.86,-0.46,52.88", "format": "png"}
    said |= {"minzoom": "15", "maxzoom": "16", "attribution": "own survey"}
    mbtiles(folder / "heath.mbtiles", {(15, x, y): red, (15, x, y + 1): blue}, **said)
    before = (folder / "heath.mbtiles").read_bytes()
    assert listed(link)["heath"] == {
        "name": "heath",
        "title": "The heath",
        "kind": "tiles",
        "bounds": EDGES,
        "least_zoom": 15,
        "most_zoom": 16,
        "attribution": "own survey",
        "trouble": None,
    }
    answer = link.ask("GET", f"/api/v1/maps/heath/15/{x}/{y}")
    assert (answer.status, answer.body) == (200, red)
    assert answer.headers["content-type"] == "image/png"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "sandbox" in answer.headers["content-security-policy"]
    assert link.ask("GET", f"/api/v1/maps/heath/15/{x}/{y + 1}").body == blue  # south of it
    none = link.ask("GET", f"/api/v1/maps/heath/15/{x}/{y - 1}")
    assert (none.status, none.body) == (204, b"")
    again = link.ask("GET", f"/api/v1/maps/heath/15/{x}/{y}", If_None_Match=answer.headers["etag"])
    assert again.status == 304
    # Only read: not a byte changed, and nothing was put beside it.
    assert (folder / "heath.mbtiles").read_bytes() == before
    assert [path.name for path in folder.iterdir()] == ["heath.mbtiles"]


def test_a_tile_file_that_says_little_is_measured_by_its_tiles(link: Client, folder: Path) -> None:
    x, y = (int(one) for one in xyz(-0.47, 52.87, 12))
    mbtiles(folder / "bare.mbtiles", {(12, x, y): png((1, 2, 3))})
    sheet = listed(link)["bare"]
    assert (sheet["least_zoom"], sheet["most_zoom"], sheet["trouble"]) == (12, 12, None)
    bounds = sheet["bounds"]
    assert isinstance(bounds, dict)
    assert xyz(bounds["west_deg"], bounds["north_deg"], 12) == pytest.approx((x, y), abs=1e-6)
    assert xyz(bounds["east_deg"], bounds["south_deg"], 12) == pytest.approx(
        (x + 1, y + 1), abs=1e-6
    )


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"no database at all" * 100, "cut short"),
        (b"", "cut short"),
        (b"SQLite format 3\x00" + b"\x00" * 200, "cut short"),
    ],
)
def test_a_broken_tile_file_is_a_sentence(
    link: Client, folder: Path, content: bytes, words: str
) -> None:
    (folder / "torn.mbtiles").write_bytes(content)
    assert words in str(listed(link)["torn"]["trouble"])
    answer = link.ask("GET", "/api/v1/maps/torn/1/0/0")
    assert answer.status == 422
    assert words in answer.json["error"]["message"]


def test_vector_tiles_and_pages_in_the_place_of_pictures_are_not_given(
    link: Client, folder: Path
) -> None:
    page = b"<!doctype html><script>alert(1)</script>"
    mbtiles(folder / "vector.mbtiles", {(0, 0, 0): b"\x1f\x8b"}, format="pbf")
    mbtiles(folder / "page.mbtiles", {(0, 0, 0): page}, format="png")
    assert "vector" in str(listed(link)["vector"]["trouble"])
    assert link.ask("GET", "/api/v1/maps/page/0/0/0").status == 204


@pytest.fixture
def picture(folder: Path) -> Path:
    """A picture of 400 × 800: grey, its south-east quarter blue, its corner pixels red."""
    image = Image.new("RGB", (400, 800), (90, 90, 90))
    image.paste((0, 0, 200), (200, 400, 400, 800))
    image.paste((200, 0, 0), (0, 0, 20, 20))
    path = folder / "hill.png"
    image.save(path)
    return path


def at(link: Client, name: str, lon: float, lat: float, zoom: int) -> tuple[int, ...] | None:
    """The colour that a map shows at a place."""
    x, y = xyz(lon, lat, zoom)
    answer = link.ask("GET", f"/api/v1/maps/{name}/{zoom}/{int(x)}/{int(y)}")
    if answer.status == 204:
        return None
    assert answer.status == 200
    assert answer.headers["content-type"] == "image/png"
    with Image.open(io.BytesIO(answer.body)) as tile:
        return tile.convert("RGBA").getpixel((int(x % 1 * 256), int(y % 1 * 256)))  # type: ignore[return-value]


def by_edges(picture: Path) -> None:
    picture.with_suffix(".json").write_text(json.dumps(EDGES))


def by_world_file(picture: Path) -> None:
    a, e = (EAST - WEST) / 400, (SOUTH - NORTH) / 800
    lines = (a, 0, 0, e, WEST + a / 2, NORTH + e / 2)  # of the middle of the first pixel
    picture.with_suffix(".pgw").write_text("\r\n".join(f"{line:.12f}" for line in lines))


@pytest.mark.parametrize("laid", [by_edges, by_world_file])
def test_a_picture_is_cut_where_it_lies(link: Client, picture: Path, laid: object) -> None:
    assert callable(laid)
    laid(picture)
    sheet = listed(link)["hill"]
    assert (sheet["kind"], sheet["trouble"]) == ("picture", None)
    assert sheet["bounds"] == pytest.approx(EDGES, abs=1e-9)
    # A pixel is 0.00005° across and 0.000025° up; of zoom 15 it is 0.000043° and 0.000026°.
    assert sheet["most_zoom"] == 15
    blue, red, grey = (0, 0, 200, 255), (200, 0, 0, 255), (90, 90, 90, 255)
    for zoom in (14, 16, 18):
        assert at(link, "hill", -0.4652, 52.8652, zoom) == blue
        assert at(link, "hill", WEST + 0.0004, NORTH - 0.0002, zoom) == red
        assert at(link, "hill", WEST + 0.0004, SOUTH + 0.0004, zoom) == grey
        beyond = at(link, "hill", WEST - 0.0004, 52.87, zoom)
        assert beyond is None or beyond[3] == 0
    # The edge of the blue quarter is where it was drawn, to a pixel of the tile.
    fine = 360 / 256 / 2**18
    middle_lon, middle_lat = (WEST + EAST) / 2, SOUTH + 0.25 * (NORTH - SOUTH)
    assert at(link, "hill", middle_lon + 16 * fine, middle_lat, 18) == blue
    assert at(link, "hill", middle_lon - 16 * fine, middle_lat, 18) == grey


def test_a_picture_that_changes_is_cut_anew(link: Client, picture: Path) -> None:
    by_edges(picture)
    assert at(link, "hill", -0.4652, 52.8652, 16) == (0, 0, 200, 255)
    Image.new("RGB", (400, 800), (7, 8, 9)).save(picture)
    assert at(link, "hill", -0.4652, 52.8652, 16) == (7, 8, 9, 255)


@pytest.mark.parametrize(
    ("ending", "text", "words"),
    [
        (None, "", "Nothing says where this picture lies"),
        (".json", "{", "needs south_deg"),
        (".json", json.dumps(EDGES | {"north_deg": 52.0}), "south below north"),
        (".json", json.dumps(EDGES | {"east_deg": "east"}), "needs south_deg"),
        (".json", "[" * 5000, "needs south_deg"),
        (".pgw", "0.5\n0\n0\n-0.5\n512000\n301000\n", "not in degrees"),
        (".pgw", "1\n2\n3", "six lines"),
        (".pgw", "0\n0\n0\n0\n0\n0", "nowhere"),
        (".pgw", "nan\n0\n0\n-1\n0\n0", "nowhere"),
        (".pgw", "1\n0\n0\n-1\n0\n0", "not in degrees"),  # 400° wide
    ],
)
def test_a_picture_that_lies_nowhere_is_a_sentence(
    link: Client, picture: Path, ending: str | None, text: str, words: str
) -> None:
    if ending is not None:
        picture.with_suffix(ending).write_text(text)
    assert words in str(listed(link)["hill"]["trouble"])


def test_no_picture_or_a_vast_one_is_a_sentence(link: Client, folder: Path) -> None:
    Image.new("1", (20_000, 20_000)).save(folder / "vast.png")
    (folder / "text.jpg").write_text("a text")
    (folder / "cut.png").write_bytes(png((1, 2, 3))[:60])
    for name in ("vast", "text", "cut"):
        (folder / f"{name}.json").write_text(json.dumps(EDGES))
    found = listed(link)
    assert "60 million pixels" in str(found["vast"]["trouble"])
    assert "cannot be read" in str(found["text"]["trouble"])
    x, y = (int(one) for one in xyz(-0.47, 52.87, 14))
    cut = link.ask("GET", f"/api/v1/maps/cut/14/{x}/{y}")
    assert cut.status == 422


@pytest.mark.parametrize(
    "path",
    [
        "heath/25/0/0",
        "heath/2/4/0",
        "heath/2/0/4",
        "heath/-1/0/0",
        "heath/a/0/0",
        "..%2Fheath/0/0/0",
        "../notebook.db/0/0/0",
        "heath%00/0/0/0",
    ],
)
def test_no_other_tile_and_no_other_file_can_be_asked_for(
    link: Client, folder: Path, path: str
) -> None:
    mbtiles(folder / "heath.mbtiles", {(0, 0, 0): png((1, 2, 3))}, format="png")
    mbtiles(folder.parent / "heath.mbtiles", {(0, 0, 0): png((9, 9, 9))}, format="png")
    assert link.ask("GET", "/api/v1/maps/heath/0/0/0").status == 200
    assert link.ask("GET", f"/api/v1/maps/{path}").status == 404


def test_a_name_that_no_address_carries_is_a_sentence(link: Client, folder: Path) -> None:
    mbtiles(folder / "a#b?.mbtiles", {(0, 0, 0): png((1, 2, 3))}, format="png")
    assert "name of this file" in str(listed(link)["a#b?"]["trouble"])


@given(st.lists(st.floats(), min_size=4, max_size=4))
def test_bounds_enclose_something_or_are_refused(edges: list[float]) -> None:
    south, west, north, east = edges
    try:
        made = Bounds(south_deg=south, west_deg=west, north_deg=north, east_deg=east)
    except ValueError:
        return
    assert -90 <= made.south_deg < made.north_deg <= 90
    assert -180 <= made.west_deg < made.east_deg <= 180
