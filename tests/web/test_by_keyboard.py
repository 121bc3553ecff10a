"""The four places by the keyboard alone: all is reached, nothing that is reached is covered."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from .every_screen import Stocked, faults_of, stocked
from .shell_page import put_size

PLACES = ("Outing", "Map", "Write", "Book")
MOST_STEPS = 150

# What holds the focus: its name, and whether it is covered where a person looks for it. A mark of
# the map lies within the map, and what is larger than its page is seen in part (WCAG 2.2, 2.4.11).
_FOCUS = """() => {
  const one = document.activeElement;
  if (one === null || one === document.body) return null;
  const { left, top, right, bottom } = one.getBoundingClientRect();
  const name = one.getAttribute('aria-label') ?? one.labels?.[0]?.textContent ?? one.textContent;
  const spots = [];
  for (const x of [0.1, 0.5, 0.9])
    for (const y of [0.1, 0.5, 0.9])
      spots.push([left + x * (right - left), top + y * (bottom - top)]);
  const seen = spots.some(([x, y]) => {
    const at = document.elementFromPoint(x, y);
    return at !== null && (one === at || one.contains(at) || at.contains(one));
  });
  const shape = getComputedStyle(one);
  const marked = shape.outlineStyle !== 'none' && parseFloat(shape.outlineWidth) >= 2;
  return { name: name.trim().slice(0, 40), seen, marked, place: one.closest('.bar') !== null,
    heading: one.matches('h1, h2') };
}"""


@pytest.fixture(scope="module")
def one(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stocked]:
    with stocked(browser, tmp_path_factory.mktemp("keys")) as phone:
        yield phone


def focus(page: Page) -> dict[str, Any] | None:
    found: dict[str, Any] | None = page.evaluate(_FOCUS)
    return found


def walk(page: Page) -> tuple[list[str], list[str]]:
    """Tab from the title to the last place in the bar; answers what was met, and what is wrong."""
    met: list[str] = []
    wrong: list[str] = []
    for _ in range(MOST_STEPS):
        page.keyboard.press("Tab")
        held = focus(page)
        if held is None:
            break
        met.append(held["name"])
        if not held["seen"]:
            wrong.append(f"covered: {held['name']}")
        if not held["marked"]:
            wrong.append(f"not marked: {held['name']}")
        if held["place"] and held["name"] == PLACES[-1]:
            return met, wrong
    raise AssertionError(f"the last place was not reached: {met[-5:]}")


@pytest.mark.parametrize(("wide", "letters"), [(390, 1.0), (320, 1.0), (390, 2.0)])
def test_every_place_is_reached_and_left_by_the_keyboard(
    one: Stocked, wide: int, letters: float
) -> None:
    page = one.page
    put_size(page, wide, letters)
    one.go("phone")
    for place in PLACES:
        page.locator("main h1").focus()
        for _ in range(MOST_STEPS):
            held = focus(page)
            if held is not None and held["place"] and held["name"] == place:
                break
            page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        expect(page.locator(".bar a[aria-current]")).to_have_text(place)
        page.wait_for_function(
            "() => document.querySelector('[aria-busy=true]') === null"
            " && document.querySelector('main a, main button') !== null"
            " && document.activeElement?.matches('h1')"
        )
        met, wrong = walk(page)
        assert wrong == [], place
        assert met[-4:] == list(PLACES)
        assert len(met) > len(PLACES), f"{place}: nothing on it is reached"
    put_size(page, 390)
    assert faults_of(one) == []


def test_a_pin_is_put_down_by_the_keyboard_alone(one: Stocked) -> None:
    page = one.page
    put_size(page, 390)
    one.go("map")
    page.locator(".map-ground.leaflet-container").wait_for()
    page.locator(".map-ground").focus()
    for key in ("ArrowLeft", "ArrowUp", "+"):
        page.keyboard.press(key)
    reach(page, "Perch here")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Put the cross on the perch")).to_be_focused()
    reach(page, "Perch here")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Saved on this phone")).to_be_visible()
    reach(page, "Undo")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").get_by_text("Undone")).to_be_visible()
    assert faults_of(one) == []


def reach(page: Page, name: str) -> None:
    """Tab until something is reached, round the page once at most."""
    for _ in range(MOST_STEPS):
        page.keyboard.press("Tab")
        held = focus(page)
        if held is not None and held["name"] == name:
            return
    raise AssertionError(f"{name} is not reached")
