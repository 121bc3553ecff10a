"""Every screen in every look: what is cut, too small, too pale, lit at night, or asks elsewhere."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from .every_screen import NOWHERE, Stocked, addresses, faults_of, patterns, stocked
from .looks import LOOKS, against_rules, looked_at
from .shell_page import put_size, too_wide

TALL_PX = 2400  # so that what lies below the edge is seen too
BUSY_MS = 20_000

_SETTLED = """() => document.querySelector('main:not([aria-busy]) h1') !== null
  && document.querySelector('[aria-busy=true]') === null"""


@pytest.fixture(scope="module")
def one(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stocked]:
    with stocked(browser, tmp_path_factory.mktemp("every")) as phone:
        yield phone


def test_every_route_is_known_here(one: Stocked) -> None:
    listed = "async () => (await import('/screens/index.js')).ROUTES.map(({ pattern }) => pattern)"
    assert sorted(one.page.evaluate(listed)) == sorted(patterns())


@pytest.mark.parametrize("pattern", [*patterns(), NOWHERE])
def test_every_look_and_size(one: Stocked, pattern: str) -> None:
    wrong = []
    for place, path in enumerate(addresses(pattern, one.ids)):
        shown(one, path)
        # Records and forms of one make: the first in every look, the others at night alone.
        found = looked_at(one.page, LOOKS if place == 0 else LOOKS[-1:], TALL_PX)
        wrong += [f"{path}: {fault}" for fault in found + faults_of(one)]
    assert not wrong, "\n".join(wrong)


def shown(one: Stocked, path: str) -> None:
    put_size(one.page, 390)
    one.go(path)
    one.page.wait_for_function(_SETTLED, timeout=BUSY_MS)
    if path.startswith("photo/") and one.button("Fetch it").is_visible():
        one.button("Fetch it").click()
        one.page.locator("img.photo").wait_for()
    if path == "map" and one.page.locator(".leaflet-tile").count() == 0:
        one.button("Base map").click()
        one.page.get_by_label("The heath").click()
        one.page.locator(".leaflet-tile-loaded").first.wait_for()
        one.button("Close").click()
    expect(one.page.get_by_role("heading", level=1)).not_to_have_text("This page failed")
    if path != NOWHERE:
        expect(one.page.get_by_role("heading", level=1)).not_to_have_text("There is no such page")


def test_colours_forced_by_the_person_and_no_motion(one: Stocked) -> None:
    page = one.page
    page.emulate_media(forced_colors="active", reduced_motion="reduce")
    wrong = []
    for path in ("outing", "map", "write", "book"):
        shown(one, path)
        wrong += against_rules(page) + too_wide(page) + faults_of(one)
        place = page.locator(".bar a[aria-current]")
        other = page.locator(".bar a:not([aria-current])").first
        edges = [
            each.evaluate("one => getComputedStyle(one).borderTopColor") for each in (place, other)
        ]
        assert edges[0] != edges[1], "where one is must stand out where colours are forced"
        assert page.evaluate("() => document.getAnimations().length") == 0
    page.emulate_media(forced_colors="none", reduced_motion="no-preference")
    assert not wrong, "\n".join(wrong)
