"""Every screen in every look: what is cut, too small, too pale, lit at night, or asks elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pytest
from playwright.sync_api import Browser, expect

from .every_screen import NOWHERE, Stocked, addresses, faults_of, patterns, stocked
from .node_packages import packages
from .shell_page import lowest_contrast, pixels, put_look, put_size, too_small, too_wide

LOOKS = ("day", "dark", "night")
# Width [px] and the person's own size of letters: WCAG 2.2, 1.4.10 (320 px) and 1.4.4 (200 %).
SIZES = ((390, 1.0), (320, 1.0), (390, 2.0))
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# WCAG 2.2: 7:1 is 1.4.6; red of full strength on black is 5.25:1, and 4.5:1 is 1.4.3.
LEAST_CONTRAST = {"day": 7.0, "dark": 7.0, "night": 4.5}
MOST_LIGHT = 0.06  # share of the screen's full light, in the night look
TALL_PX = 2400  # so that what lies below the edge is seen too
BUSY_MS = 20_000

_AXE = """async (tags) => {
  const rules = { 'target-size': { enabled: true } };
  const { violations } = await axe.run(document, { runOnly: { type: 'tag', values: tags }, rules });
  const said = (id) => (one) => `${id}: ${one.html.slice(0, 160)}`;
  return violations.flatMap(({ id, nodes }) => nodes.map(said(id)));
}"""
_SETTLED = """() => document.querySelector('main:not([aria-busy]) h1') !== null
  && document.querySelector('[aria-busy=true]') === null"""


@pytest.fixture(scope="module")
def one(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stocked]:
    with stocked(browser, tmp_path_factory.mktemp("every")) as phone:
        phone.page.evaluate((packages() / "node_modules/axe-core/axe.min.js").read_text("utf-8"))
        yield phone


def test_every_route_is_known_here(one: Stocked) -> None:
    listed = "async () => (await import('/screens/index.js')).ROUTES.map(({ pattern }) => pattern)"
    assert sorted(one.page.evaluate(listed)) == sorted(patterns())


@pytest.mark.parametrize("pattern", [*patterns(), NOWHERE])
def test_every_look_and_size(one: Stocked, pattern: str) -> None:
    wrong = []
    for place, path in enumerate(addresses(pattern, one.ids)):
        shown(one, path)
        # Records and forms of one make: the first in every way, the others in fewer.
        found = looked_at(one, *(((LOOKS, SIZES)) if place == 0 else (LOOKS[::2], SIZES[:1])))
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


def looked_at(one: Stocked, looks: Sequence[str], sizes: Sequence[tuple[int, float]]) -> list[str]:
    page = one.page
    wrong = []
    for look in looks:
        put_look(page, look)
        for wide, letters in sizes:
            put_size(page, wide, letters)
            found = [f"wider than the screen: {what}" for what in too_wide(page)]
            found += [f"small: {what}" for what in too_small(page)]
            contrast, text = lowest_contrast(page)
            if contrast < LEAST_CONTRAST[look]:
                found.append(f"contrast {contrast:.2f} of {text!r}")
            # The rules look at names, roles and colours: a look changes colours, a size targets.
            is_first = (wide, letters) == SIZES[0]
            if is_first or (look == "day" and len(looks) == len(LOOKS)):
                found += page.evaluate(_AXE, TAGS)
            if is_first and look == "night":
                found += lit(one, wide)
            wrong += [f"{look}, {wide} px, letters × {letters:g}: {what}" for what in found]
    put_look(page, "day")
    put_size(page, 390)
    return wrong


def lit(one: Stocked, wide: int) -> list[str]:
    one.page.set_viewport_size({"width": wide, "height": TALL_PX})
    shot = pixels(one.page)
    light = shot[:, :, 0].mean() / 255 * 0.2126
    found = [] if shot[:, :, 1:].max() == 0 else ["not red alone"]
    return found if light < MOST_LIGHT else [*found, f"lit: {light:.3f}"]


def test_colours_forced_by_the_person_and_no_motion(one: Stocked) -> None:
    page = one.page
    page.emulate_media(forced_colors="active", reduced_motion="reduce")
    wrong = []
    for path in ("outing", "map", "write", "book"):
        shown(one, path)
        wrong += page.evaluate(_AXE, TAGS) + too_wide(page) + faults_of(one)
        place = page.locator(".bar a[aria-current]")
        other = page.locator(".bar a:not([aria-current])").first
        edges = [
            each.evaluate("one => getComputedStyle(one).borderTopColor") for each in (place, other)
        ]
        assert edges[0] != edges[1], "where one is must stand out where colours are forced"
        assert page.evaluate("() => document.getAnimations().length") == 0
    page.emulate_media(forced_colors="none", reduced_motion="no-preference")
    assert not wrong, "\n".join(wrong)
