"""The book with thousands of sightings and pins: 50 rows at a time, every word found."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from scout.notebook.notebook import Notebook, open_notebook
from scout.notebook.saving import Edit
from tests.conftest import FULL

from .app_page import AppPage, phone_context, served
from .conftest import wall_clock

SIGHTINGS, PINS = (20_000, 2_000) if FULL else (4_000, 400)
LAST_PIN = f"Pin {PINS - 1}"
CENTRE = {"lat": 52.87, "lon": -0.47}


def write_many(notebook: Notebook, sightings: int = SIGHTINGS, pins: int = PINS) -> str:
    """Write a season of everything; answers the id of the species seen in all but one sighting."""
    site = {"name": "Sallow Carr", "centre": CENTRE, "zone": "Europe/London"}
    (at,) = notebook.save([Edit(kind="site", set=site)]).records
    names = [{"name": name, "animal": "bird", "length_m": 0.2} for name in ("Dunnock", "Wryneck")]
    common, scarce = notebook.save([Edit(kind="species", set=one) for one in names]).records
    start = {"at": "2026-05-12T04:00:00+01:00", "source": "person"}
    (visit,) = notebook.save([Edit(kind="visit", set={"site": at, "start": start})]).records
    watch = {"visit": visit, "start": start}
    (watched,) = notebook.save([Edit(kind="watch", set=watch)]).records
    for first in range(0, sightings, 500):
        edits = []
        for number in range(first, min(first + 500, sightings)):
            time = f"2026-05-{1 + number % 28:02}T{number // 28 % 24:02}:{number % 60:02}:00+01:00"
            seen = {"watch": watched, "how": "seen", "time_in": {"at": time, "source": "person"}}
            kind = {"species": scarce if number == sightings // 2 else common}
            edits.append(Edit(kind="sighting", set=seen | kind | {"behaviour": f"stay {number}"}))
        notebook.save(edits)
    for first in range(0, pins, 500):
        some = range(first, min(first + 500, pins))
        pin = {"site": at, "position": CENTRE}
        notebook.save([Edit(kind="perch", set=pin | {"name": f"Pin {one}"}) for one in some])
    return common


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory, browser: Browser) -> Iterator[AppPage]:
    folder: Path = tmp_path_factory.mktemp("many")
    with open_notebook(folder / "n", wall_clock, create=True) as notebook, served(notebook) as url:
        common = write_many(notebook)
        context = phone_context(browser)
        one = AppPage(context, url).open("sync")
        one.page.set_default_timeout(120_000)
        one.synced().go(f"species/{common}")
        yield one
        assert one.faults == []
        context.close()


def test_a_species_seen_all_the_time_opens_with_fifty_rows(many: AppPage) -> None:
    many.go("book/species").link("Dunnock").click()
    rows = many.page.locator(".listed .row")
    expect(rows).to_have_count(50)
    many.button("Show more").click()
    expect(rows).to_have_count(100)
    links = [one.get_attribute("href") for one in rows.all()]
    assert len(set(links)) == 100


def test_lists_come_by_fifties_and_never_repeat(many: AppPage) -> None:
    many.go("book/perch")
    rows = many.page.locator(".listed .row")
    expect(rows).to_have_count(50)
    for shown in (100, 150):
        many.button("Show more").click()
        expect(rows).to_have_count(shown)
    assert len({one.get_attribute("href") for one in rows.all()}) == 150


def test_the_one_sighting_of_a_scarce_bird_is_found_by_the_bird_s_name(many: AppPage) -> None:
    many.go("book/sighting")
    many.page.get_by_label("Search").fill("wryneck")
    expect(many.page.locator(".listed .row")).to_have_count(1, timeout=60_000)
    expect(many.page.get_by_text("1 entry shown")).to_be_visible(timeout=60_000)
    many.page.get_by_label("Search").fill("wryneck nobody")
    expect(many.page.get_by_text("Nothing found.")).to_be_visible(timeout=60_000)


def test_a_search_over_everything_is_left_for_the_next_word(many: AppPage) -> None:
    many.go("search")
    box = many.page.get_by_role("searchbox", name="Search")
    for word in ("zzz", "stay 77", LAST_PIN):
        box.fill(word)
    row = many.page.locator(".listed .row")
    expect(row.first).to_contain_text(LAST_PIN, timeout=60_000)
    expect(row).to_have_count(1, timeout=60_000)
    row.first.click()
    expect(many.page.get_by_role("heading", name=LAST_PIN)).to_be_visible()
    many.button("Back").click()
    expect(many.page.locator(".listed .row").first).to_contain_text(LAST_PIN, timeout=60_000)
