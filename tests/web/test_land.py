"""The land on the phone: pictures kept offline, a found place made a vantage, the laptop asked.

The plain page of the land is driven here too, for its script needs a browser.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from scout.notebook.folder import read_folder
from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit
from scout.server import land_layers, land_search
from scout.terrain.shelf import Shelf
from tests.server.pages import SAMPLE
from tests.terrain.lands import write_tiff

from .app_page import AppPage, phone_context, served


@pytest.fixture
def words(notebook: Notebook) -> dict[str, str]:
    """Load the sample with its land; find places and draw the relief."""
    folder = read_folder(SAMPLE)
    notebook.load(folder, folder.photo_paths)
    Shelf(notebook.folder).bring_from(Shelf(SAMPLE))
    named = {word: id_ for id_, word in folder.words.items()}
    # Round the others of its site the egret's keep-distance at the pool leaves no place.
    notebook.save([Edit(kind="perch", record=named["gorse-bank"], set={"closed": []})])
    kits = notebook.contents().records["kit"].values()
    land_search.search(
        notebook,
        land_search.Search(
            perches=(named["gorse-bank"],),
            species=named["stonechat"],
            kit=next(one.id for one in kits if "300" in one.name),
            on=dt.date(2026, 5, 12),
            light_wanted="front",
        ),
    )
    land_layers.relief(notebook, named["pellwick"])
    return named


@pytest.fixture
def url(notebook: Notebook, words: dict[str, str]) -> Iterator[str]:
    with served(notebook) as address:
        yield address


def test_layers_are_on_the_phone_with_no_network_and_a_place_becomes_a_vantage(
    browser: Browser, url: str, notebook: Notebook, words: dict[str, str]
) -> None:
    context = phone_context(browser)
    app = AppPage(context, url).open()
    app.synced()
    app.go("land")
    pictures = app.page.locator(".land-picture img")
    expect(pictures).to_have_count(2, timeout=60_000)
    app.button("Make it a vantage").first.wait_for()
    app.go("map")  # its style sheets come from the server here, for no service worker runs
    app.button("Base map").wait_for()
    app.page.wait_for_load_state("networkidle")
    context.set_offline(True)
    app.go("book").go("land")
    expect(app.page.locator(".land-picture img")).to_have_count(2)
    assert "Places to sit" in app.text()
    expect(app.page.get_by_text("Good minutes").first).to_be_visible()
    expect(app.page.get_by_text("±10 m: measure before you sit").first).to_be_visible()
    app.button("Make it a vantage").first.click()
    expect(app.page.get_by_text("2 changes waiting")).to_be_visible(timeout=20_000)
    made = app.page.evaluate(
        """async () => {
            const { openNotebook } = await import('/notebook/notebook.js');
            const notebook = await openNotebook({ sync: false });
            try {
                const vantages = await notebook.all('vantage');
                const lines = await notebook.all('sightline');
                const mine = vantages.filter((one) => one.values.name.startsWith('Found place 1'));
                return lines.filter((one) => mine.some((v) => v.id === one.values.vantage));
            } finally { notebook.close(); }
        }"""
    )
    assert len(made) == 1
    assert made[0]["values"]["light_wanted"] == "front"
    # The relief is a base map as well, drawn from the phone's own copy.
    app.go("map")
    app.button("Base map").click()
    app.page.get_by_label("From the land: Relief, Pellwick Meadows").check()
    expect(app.page.locator(".map-base canvas").first).to_be_attached()
    drawn = """() => [...document.querySelectorAll('.map-base canvas')].some((canvas) => {
        const data = canvas.getContext('2d').getImageData(0, 0, 256, 256).data;
        return data.some((value, at) => at % 4 === 3 && value > 0);
    })"""
    app.page.wait_for_function(drawn)
    # To be kept off by more since: what was found stays a picture, its places are not offered.
    context.set_offline(False)
    more = {"keep_distance_open_m": 60}
    notebook.save([Edit(kind="species", record=words["stonechat"], set=more)])
    app.open().synced()
    app.go("land")
    expect(app.page.get_by_text("nearer than your keep-distance of 60 m")).to_be_visible()
    expect(app.button("Make it a vantage")).to_have_count(0)
    assert app.faults == []
    context.close()


def test_the_plain_page_follows_a_line_and_makes_a_skyline(
    browser: Browser, url: str, notebook: Notebook, words: dict[str, str]
) -> None:
    context = phone_context(browser)
    app = AppPage(context, url).open()
    app.go("land")
    app.link("On the laptop").click()
    page = app.page
    page.locator("#sight").get_by_label("Sightline").select_option(words["pump-post"])
    page.get_by_role("button", name="Follow it").click()
    expect(page.locator("#seen-sight")).to_contain_text("Free: the line", timeout=30_000)
    expect(page.locator("#seen-noted")).to_contain_text("Noted: 46 m")
    assert page.locator("#seen-view svg").count() == 1
    page.get_by_role("button", name="Hedge foot", exact=True).click()
    expect(page.locator("#said")).to_contain_text("not in it", timeout=60_000)
    kept = notebook.contents().records["skyline"].values()
    assert [one.pin for one in kept if one.source == "terrain"] == [words["hedge-foot"]]
    year = [{"from_day": "01-01", "to_day": "12-31"}]
    notebook.save([Edit(kind="perch", record=words["hedge-gap"], set={"closed": year})])
    form = page.locator("form.find").filter(has_text="Ditch post")
    form.get_by_label("Hedge gap").check()
    form.get_by_label("Gorse bank").check()
    form.get_by_label("Animal").select_option(words["stonechat"])
    form.get_by_label("Day").fill("2026-05-12")
    form.get_by_role("button", name="Find them").click()
    expect(page.locator("#said")).to_contain_text("1 of 2 perches left out", timeout=30_000)
    assert app.faults == []
    context.close()


def test_a_model_is_sent_in_on_the_plain_page_and_removed(
    browser: Browser, url: str, notebook: Notebook, tmp_path: Path
) -> None:
    def plain(x: Any, y: Any) -> Any:
        return 30.0 + 0.001 * x

    path = write_tiff(tmp_path / "level.tif", plain, half_m=2000, cell_m=20, crs="EPSG:27700")
    context = phone_context(browser)
    page = context.new_page()
    heard: list[str] = []
    page.on("pageerror", lambda error: heard.append(str(error)))
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(f"{url}plain/land")
    form = page.locator("#upload")
    form.locator("input[type=file]").set_input_files(str(path))
    form.get_by_label("It shows").select_option("bare earth")
    form.get_by_role("button", name="Take it in").click()
    expect(page.locator("#said")).to_contain_text("Taken in: level", timeout=60_000)
    expect(page.get_by_text("level (bare earth, 20 m)").first).to_be_visible()
    page.locator("button[data-name=level]").click()
    expect(page.locator("#said")).to_contain_text("Removed: level")
    assert "level" not in {one.name for one in Shelf(notebook.folder).models()}
    assert heard == []
    context.close()
