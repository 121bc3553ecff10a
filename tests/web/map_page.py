"""The map's screen alone in a page, with a notebook, and base maps from the server's own code."""

from __future__ import annotations

import io
import math
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from flask import Flask
from PIL import Image
from playwright.sync_api import Locator, Page

from scout.notebook.notebook import Notebook
from scout.server import maps
from scout.server.app import create_app

from .phone_page import PhonePage
from .small_server import Answered, Asked, SmallServer

LAT, LON = 52.87, -0.47
_OPEN = """async ({ look, hand, query, states }) => {
    document.documentElement.dataset.look = look;
    document.documentElement.dataset.hand = hand;
    const link = document.createElement('link');
    link.rel = 'stylesheet';
    link.href = '/look.css';
    document.head.append(link);
    const parts = link.cloneNode();
    parts.href = '/parts.css';
    document.head.append(parts);
    await Promise.all([link, parts].map((one) => new Promise((done) => { one.onload = done; })));
    const { Screen } = await import('/screens/map.js');
    const { h, render } = await import('/doors/preact.js');
    const { Snackbar } = await import('/parts/snackbar.js');
    const box = document.createElement('div');
    box.id = 'app';
    document.body.replaceChildren(box);
    const asked = (globalThis.asked = []);
    const answerFor = async (wanted) => {
        asked.push(wanted);
        return { at_ms: wanted.at_ms, states, barred: {}, about: '' };
    };
    const props = { notebook: globalThis.notebook, params: {}, query };
    const map = h(Screen, states === null ? props : { ...props, answerFor });
    render([map, h(Snackbar, {})], box);
}"""


class MapPage:
    """The map as a person has it before them."""

    def __init__(self, phone: PhonePage) -> None:
        self.phone = phone
        self.page: Page = phone.page

    def show(
        self,
        look: str = "day",
        hand: str = "right",
        query: dict[str, str] | None = None,
        states: dict[str, str] | None = None,
    ) -> MapPage:
        given = {"look": look, "hand": hand, "query": query or {}, "states": states}
        self.page.evaluate(_OPEN, given)
        self.page.locator(".map-ground.leaflet-container").wait_for()
        self.page.locator(".map-foot button").first.wait_for()
        return self

    def button(self, name: str) -> Locator:
        return self.page.get_by_role("button", name=name, exact=True)

    def sheet(self) -> Locator:
        return self.page.locator(".map-sheet")

    def middle(self) -> tuple[float, float]:
        box = self.page.locator(".map-ground").bounding_box()
        assert box is not None
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def shot(self, where: str = ".map-screen") -> Image.Image:
        return Image.open(io.BytesIO(self.page.locator(where).screenshot())).convert("RGB")


def position(east_m: float, north_m: float, accuracy_m: float = 2.0) -> dict[str, Any]:
    """A position so far from the tests' middle, good to a millimetre in a few hundred metres."""
    lat = LAT + north_m / 111_277.0  # of the meridian at 52.87°, WGS 84
    lon = LON + east_m / (111_320.0 * math.cos(math.radians(LAT)) * 1.0021)
    return {
        "lat": round(lat, 7),
        "lon": round(lon, 7),
        "accuracy_m": accuracy_m,
        "source": "satellite fix",
    }


def small_site(phone: PhonePage) -> dict[str, str]:
    """Save a site with a hide, a perch 40 m east of it, the line between them, and a hazard."""
    made: dict[str, Any] = phone.run(
        """const { newId } = await import('/notebook/ids.js');
        const [site, hide, perch, line, bog] = [1, 2, 3, 4, 5].map(() => newId(Date.now()));
        const edits = [
            { kind: 'site', record: site,
              set: { name: 'The carr', centre: given.centre, zone: 'Europe/Lisbon' } },
            { kind: 'vantage', record: hide, set: { site, name: 'Reed hide', cover: 'hide',
              position: given.hide, usable: { from_deg: 40, to_deg: 140 } } },
            { kind: 'perch', record: perch,
              set: { site, name: 'Dead branch', kind: 'branch', position: given.perch } },
            { kind: 'sightline', record: line,
              set: { vantage: hide, perch, gap: { m: 60 } } },
            { kind: 'landmark', record: bog,
              set: { site, name: 'Soft edge', kind: 'hazard', position: given.bog } },
        ];
        await notebook.save(edits);
        return { site, hide, perch, line, bog };""",
        {
            "centre": {"lat": LAT, "lon": LON, "source": "typed"},
            "hide": position(-20, 0),
            "perch": position(20, 0),
            "bog": position(0, -25),
        },
    )
    return made


def supply_base_map(notebook: Notebook, server: SmallServer, name: str = "heath") -> None:
    """Put a green map into the notebook's folder, and let the tests' server give it."""
    folder = notebook.folder / "maps"
    folder.mkdir()
    green = io.BytesIO()
    Image.new("RGB", (256, 256), (40, 160, 60)).save(green, "PNG")
    write_tiles(folder / f"{name}.mbtiles", green.getvalue())
    app: Flask = create_app(notebook)
    if "maps" not in app.blueprints:
        app.register_blueprint(maps.routes)
    client = app.test_client()

    def fault(asked: Asked, work: Any) -> Answered | None:
        if not asked.path.startswith("/api/v1/maps"):
            return None
        with client.get(asked.path, headers={"X-Scout": "1", "Host": "localhost"}) as said:
            kind = said.headers.get("Content-Type", "text/plain")
            return Answered(said.status_code, said.data, {"Content-Type": kind})

    server.fault = fault


def write_tiles(path: Path, tile: bytes) -> None:
    """Write tiles of zoom 16 to 18 about the tests' middle (MBTiles 1.3)."""
    rows = []
    for zoom in (16, 17, 18):
        count = 2**zoom
        x = (LON + 180) / 360 * count
        y = (1 - math.asinh(math.tan(math.radians(LAT))) / math.pi) / 2 * count
        for dx in range(-4, 5):
            for dy in range(-6, 7):
                rows.append((zoom, int(x) + dx, count - 1 - int(y) - dy, tile))
    said = {"name": "The heath", "format": "png", "minzoom": "16", "maxzoom": "18"}
    said["bounds"] = f"{LON - 0.01},{LAT - 0.01},{LON + 0.01},{LAT + 0.01}"
    with closing(sqlite3.connect(path)) as db:
        db.executescript(
            "CREATE TABLE metadata (name text, value text);"
            "CREATE TABLE tiles (zoom_level integer, tile_column integer, tile_row integer,"
            " tile_data blob);"
        )
        db.executemany("INSERT INTO metadata VALUES (?, ?)", said.items())
        db.executemany("INSERT INTO tiles VALUES (?, ?, ?, ?)", rows)
        db.commit()
