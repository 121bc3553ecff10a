"""The land at the terminal: a model taken in, the ground filled in, a skyline kept."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from PIL import Image

from scout.notebook.notebook import open_notebook
from scout.notebook.saving import Edit
from tests.cli.test_notebooks import now
from tests.terrain.lands import write_tiff

Run = Callable[..., Any]


@pytest.fixture
def mine(run: Run, place: Path) -> Path:
    """Return a notebook with the sample site in it, and a land beside it."""
    assert run("load", "sample_site", "--notebook", "mine").exit_code == 0
    shutil.rmtree(place / "mine" / "land")  # the sample brings land of its own

    def hills(x: Any, y: Any) -> Any:
        wall = np.maximum(0.0, 60 - 0.3 * np.abs(np.hypot(x, y) - 2000))
        return 31.0 + wall

    write_tiff(place / "meadow.tif", hills, half_m=4000, cell_m=10, crs="EPSG:27700")
    return place / "mine"


def test_a_land_is_taken_in_listed_used_and_removed(run: Run, mine: Path) -> None:
    refused = run("land", "add", "meadow.tif", "--notebook", "mine")
    assert refused.exit_code == 2
    assert "--bare for the bare earth or --surface" in refused.output
    done = run("land", "add", "meadow.tif", "--bare", "--notebook", "mine")
    assert done.exit_code == 0, done.output
    assert "meadow (bare earth, 10 m)" in done.output
    told = run("backup", "spare", "--notebook", "mine").output
    assert re.search(r"meadow \(bare earth, 10 m\), \d+ kB, from meadow\.tif", told)
    listed = run("land", "list", "--notebook", "mine").output
    assert "covers Pellwick Meadows" in listed

    shown = run("land", "ground", "--site", "pellwick", "--only-show", "--notebook", "mine")
    assert "31.4 m (map) stands, the model is 0.4 m lower" in shown.output
    assert "Nothing was written." in shown.output

    asked = ("card", "--folder", "mine", "--site", "pellwick", "--species", "stonechat")
    bare = (*asked, "--kit", "long", "--on", "2026-11-30")  # the trees were aimed in leaf
    before = run(*bare).output
    assert "sun clears the trees 08:29 ± 9 min (aimed, once," in before
    kept = run("land", "skyline", "ditch", "--notebook", "mine")
    assert kept.exit_code == 0, kept.output
    # The land fills the north, and so darkens the sky by a little; the sun is the measured line's.
    told = re.compile("sun clears .*|there on .*dawns|Ditch post: The skyline.*")
    assert told.findall(run(*bare).output) == told.findall(before)
    assert "720 azimuths" in kept.output
    assert "what was measured counts" in kept.output
    run("land", "skyline", "ditch", "--notebook", "mine")
    with open_notebook(mine, now) as notebook:
        lines = notebook.contents().records["skyline"].values()
    made = [one for one in lines if one.source == "terrain"]
    assert len(made) == 1  # the second stands in the place of the first
    # The crest, 60 m above the ground and 2 km off, less 1.3 m of perch and the curve.
    tops = [node.altitude_deg for node in made[0].nodes]
    assert np.median(tops) == pytest.approx(np.degrees(np.arctan(58.4 / 2000)), abs=0.06)
    assert all(node.plus_minus_deg is not None for node in made[0].nodes)

    gone = run("land", "remove", "meadow", "--notebook", "mine")
    assert gone.output.startswith("Removed: meadow (bare earth, 10 m).")
    none = run("land", "skyline", "ditch", "--notebook", "mine")
    assert none.exit_code == 2
    assert "there is no elevation model here yet" in none.output.lower()


def test_ground_is_written_where_none_was_and_undone_as_one_save(run: Run, mine: Path) -> None:
    with open_notebook(mine, now) as notebook:
        perch = next(
            one
            for one in notebook.contents().records["perch"].values()
            if one.ground_elevation is not None and one.name.lower().startswith("ditch")
        )
        notebook.save([Edit(kind="perch", record=perch.id, set={"ground_elevation": None})])
    run("land", "add", "meadow.tif", "--bare", "--notebook", "mine")
    done = run("land", "ground", "--site", "pellwick", "--notebook", "mine")
    assert done.exit_code == 0, done.output
    assert "1 filled in." in done.output
    with open_notebook(mine, now) as notebook:
        kept = notebook.contents().records["perch"][perch.id].ground_elevation
    assert (kept.m, kept.how) == (31.0, "terrain")
    again = run("land", "ground", "--site", "pellwick", "--notebook", "mine")
    assert "0 filled in." in again.output


def test_the_sample_comes_with_its_land_and_is_asked_of_it(run: Run, place: Path) -> None:
    loaded = run("load", "sample_site", "--notebook", "mine")
    assert "Elevation model: Pellwick ground (bare earth, 1 m)." in loaded.output
    book = ("--notebook", "mine")
    # The owner's own screen: a code name is for paper and for what leaves.
    assert "covers Pellwick Meadows, Hobthorn Dean" in run("land", "list", *book).output
    seen = run("land", "sight", "pump house to ditch post", "--picture", "side.svg", *book)
    assert seen.exit_code == 0, seen.output
    assert "Free: the line passes" in seen.output
    assert "Noted: 46 m" in seen.output
    assert (place / "side.svg").read_text("utf-8").startswith("<svg")
    refused = run("land", "sight", "pump house to ditch post", "--picture", "sites.json", *book)
    assert (refused.exit_code, "ends in .svg" in refused.output) == (2, True)
    closed = run(
        *("land", "find", "gorse bank", "--species", "stonechat", "--kit", "300"),
        *("--on", "2026-05-12", *book),
    )
    assert closed.exit_code == 2
    assert "is closed from 03-15 to 07-31" in closed.output
    with open_notebook(place / "mine", now) as notebook:
        perches = notebook.contents().records["perch"].values()
        bank = next(one.id for one in perches if one.name == "Gorse bank")
        notebook.save([Edit(kind="perch", record=bank, set={"closed": []})])
    found = run(
        *("land", "find", "gorse bank", "--species", "stonechat", "--kit", "300"),
        *("--on", "2026-05-12", "--light", "front", "--sit", "1", *book),
    )
    assert found.exit_code == 0, found.output
    # What was searched for stands over the places: a list of them is nothing without its day.
    rows = found.output.splitlines()
    assert rows[0] == (
        "Places to sit at dawn, 12 May 2026, sitting, front light, for Stonechat: Gorse bank."
    )
    assert rows[1].startswith("1  Gorse bank: ")
    assert "bad winds none (bird)" in rows[1]  # as its card says
    assert "(±10 m: measure before you sit), bearing" in rows[1]
    assert "Place 1 is a vantage now" in found.output
    drawn = run("land", "relief", "--site", "pellwick", "--picture", "relief.png", *book)
    assert drawn.exit_code == 0, drawn.output
    with open_notebook(place / "mine", now) as notebook:
        records = notebook.contents().records
    (edges,) = (one.bounds for one in records["layer"].values() if one.kind == "relief")
    across = Geodesic.WGS84.Inverse(
        edges.south_deg, edges.west_deg, edges.south_deg, edges.east_deg
    )["s12"]
    with Image.open("relief.png") as whole:
        drawn_relief = np.asarray(whole.convert("L")).astype(int)
    wide = drawn_relief.shape[1]  # the land is square, and what else is told lies under it
    ink = drawn_relief[wide + 28] < 60
    bar = np.argmin(ink[np.argmax(ink) :])
    assert bar * across / wide == pytest.approx(100.0, abs=3.0)
    pins = {one.name: one for kind in ("perch", "vantage") for one in records[kind].values()}
    for name in ("Bank seat", "Hedge gap"):
        at = pins[name].position
        x = (at.lon - edges.west_deg) / (edges.east_deg - edges.west_deg) * wide
        y = (edges.north_deg - at.lat) / (edges.north_deg - edges.south_deg) * wide
        row = drawn_relief[round(y), round(x) - 9 : round(x) + 10]
        assert (row[9], row.min() < 60) == (255, True), name  # white in a ring of ink
    light = run(
        *("land", "light", "--site", "pellwick", "--on", "2026-05-12"),
        *("--picture", "light.png", *book),
    )
    with Image.open("light.png") as drawn_light:
        # A legend under it: what is drawn in ink there are words, beside shade and lines.
        assert drawn_light.width >= wide
        under = np.asarray(drawn_light.convert("L"))[wide:]
        assert len(under) > 100
        assert 0.005 < (under < 90).mean() < 0.2
    assert "First light, 12 May 2026: minutes after the level sunrise at 05:09" in light.output
    assert "No pins on it" not in light.output
    secret = run("land", "relief", "--site", "hobthorn", "--picture", "secret.png", *book)
    assert "No pins on it: the site is sensitive" in secret.output
