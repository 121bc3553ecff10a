"""A visit written in the field: few taps, each undone, and what the notebook holds of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit

from .app_page import AppPage, phone_context, served

CENTRE = {"lat": 52.87, "lon": -0.47}
ZONE = "Europe/London"
Open = Callable[..., AppPage]


@pytest.fixture
def url(notebook: Notebook) -> Iterator[str]:
    with served(notebook) as address:
        yield address


@pytest.fixture
def opened(browser: Browser, url: str) -> Iterator[Open]:
    """Open the app on phones of their own; fails on an error, a dialog or a CSP report."""
    contexts: list[BrowserContext] = []
    pages: list[AppPage] = []

    def fresh() -> AppPage:
        contexts.append(phone_context(browser))
        pages.append(AppPage(contexts[-1], url))
        return pages[-1]

    yield fresh
    for context in contexts:
        context.close()
    assert [fault for one in pages for fault in one.faults] == []


def made(notebook: Notebook, kind: str, **values: Any) -> str:
    return notebook.save([Edit(kind=kind, set=values)]).records[0]


def carr(notebook: Notebook) -> dict[str, str]:
    """Put a site with two perches, two vantages and two animals into a notebook; ids by name."""
    site = made(notebook, "site", name="Sallow Carr", centre=CENTRE, zone=ZONE)
    spot = {"site": site, "position": CENTRE}
    ids = {"site": site}
    for name in ("Dead branch", "Low post"):
        ids[name] = made(notebook, "perch", name=name, **spot)
    for name in ("Reed hide", "Bank"):
        ids[name] = made(notebook, "vantage", name=name, cover="hide", **spot)
        for perch in ("Dead branch", "Low post"):
            made(notebook, "sightline", vantage=ids[name], perch=ids[perch])
    ids["Kingfisher"] = made(notebook, "species", name="Kingfisher", animal="bird", length_m=0.17)
    ids["Otter"] = made(notebook, "species", name="Otter", animal="mammal", length_m=1.1)
    return ids


def held(notebook: Notebook, kind: str) -> list[dict[str, Any]]:
    """Answer what the server's notebook shows of a kind, in the order of its making."""
    contents = notebook.contents()
    assert contents.incomplete == ()
    return [{**values, "id": id_} for id_, values in contents.raw.get(kind, {}).items()]


def test_an_empty_notebook_shows_its_first_act(opened: Open) -> None:
    one = opened().open("write")
    expect(one.page.get_by_text("Nothing is written yet.")).to_be_visible()
    for name in ("Perch here", "Vantage here", "Sightline", "Visit", "Note", "Photo"):
        expect(one.page.get_by_role("link", name=name, exact=True).last).to_be_visible()
    one.go("visiting")
    expect(one.page.get_by_text("A visit needs a site.")).to_be_visible()


def test_three_taps_from_the_shortcut_write_a_sighting_with_time_and_place(
    notebook: Notebook, opened: Open
) -> None:
    ids = carr(notebook)
    one = opened().open("sync").synced()
    one.go("visiting")  # as the shortcut on the home screen opens it
    one.button("Start the visit").click()
    one.button("Here now").click()
    one.button("Kingfisher").click()
    expect(one.page.get_by_text("Kingfisher here")).to_be_visible()
    one.synced()
    (visit,) = held(notebook, "visit")
    (watch,) = held(notebook, "watch")
    (sighting,) = held(notebook, "sighting")
    assert visit["site"] == ids["site"]
    assert watch["visit"] == visit["id"]
    assert sighting["watch"] == watch["id"]
    assert sighting["species"] == ids["Kingfisher"]
    assert sighting["how"] == "seen"
    assert sighting["time_in"]["source"] == "device"
    assert sighting["time_in"]["zone"] == ZONE
    assert "end" not in visit
    one.go("write")  # a running visit takes the place over, until it is left aside
    expect(one.button("Here now")).to_be_visible()
    one.link("Leave it aside").click()
    expect(one.page.get_by_role("heading", name="Write")).to_be_visible()
    one.link("To the visit since").click()
    expect(one.button("Here now")).to_be_visible()
