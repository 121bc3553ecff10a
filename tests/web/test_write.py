"""Pins written in the field: perches in three taps, vantages, sightlines, skylines, the walk-in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, expect

from scout.notebook.notebook import Notebook

from .app_page import AppPage, phone_context, served
from .map_page import LAT, LON, position

Open = Callable[..., "FieldPage"]
FEELS = ["accelerometer", "gyroscope", "magnetometer"]
FIX = {"latitude": LAT, "longitude": LON, "accuracy": 7}

# The phone turned: one steady reading, told again and again as phones do (W3C DeviceOrientation).
_TURN = """({ alpha, beta, gamma }) => {
  clearInterval(globalThis.turning);
  const said = { alpha, beta, gamma, absolute: true };
  const tell = () => {
    for (const name of ['deviceorientationabsolute', 'deviceorientation']) {
      dispatchEvent(new DeviceOrientationEvent(name, said));
    }
  };
  globalThis.turning = setInterval(tell, 40);
}"""
_SHOWN = """async (given) => {
  const { openNotebook } = await import('/notebook/notebook.js');
  const notebook = await openNotebook({ sync: false });
  try { return await notebook.all(given); } finally { notebook.close(); }
}"""


class FieldPage(AppPage):
    """The app in the hand of somebody standing outside; taps are counted."""

    taps = 0

    def tap(self, one: Locator) -> FieldPage:
        one.tap()
        self.taps += 1
        return self

    def turn(self, heading_deg: float, tilt_deg: float = 0.0) -> None:
        """Hold the phone flat, its top to that magnetic bearing, raised by that angle."""
        angles = {"alpha": (360.0 - heading_deg) % 360.0, "beta": tilt_deg, "gamma": 0.0}
        self.page.evaluate(_TURN, angles)

    def all(self, kind: str) -> list[dict[str, Any]]:
        """Answer the phone's own records of a kind, as another page of the app would."""
        found: list[dict[str, Any]] = self.page.evaluate(_SHOWN, kind)
        return found

    def only(self, kind: str) -> dict[str, Any]:
        (one,) = self.all(kind)
        values: dict[str, Any] = one["values"]
        return values

    def saved(self) -> FieldPage:
        expect(self.page.locator(".snack")).to_contain_text("Saved on this phone")
        return self


@pytest.fixture
def url(notebook: Notebook) -> Iterator[str]:
    with served(notebook) as address:
        yield address


@pytest.fixture
def opened(browser: Browser, url: str) -> Iterator[Open]:
    """Open the app on phones of their own; fails on an error, a dialog or a CSP report."""
    contexts: list[BrowserContext] = []
    pages: list[FieldPage] = []

    def fresh(context: BrowserContext | None = None, fix: bool = True) -> FieldPage:
        if context is None:
            more: dict[str, Any] = {"permissions": FEELS}
            if fix:
                more = {"permissions": [*FEELS, "geolocation"], "geolocation": FIX}
            context = phone_context(browser, **more)
            contexts.append(context)
        pages.append(FieldPage(context, url))
        return pages[-1]

    yield fresh
    for context in contexts:
        context.close()
    assert [fault for one in pages for fault in one.faults] == []


def write(one: FieldPage, edits: list[dict[str, Any]]) -> list[str]:
    """Save with the phone's own notebook, as the app's other screens would; answers the ids."""
    made: list[str] = one.page.evaluate(
        """async (given) => {
            const { openNotebook } = await import('/notebook/notebook.js');
            const notebook = await openNotebook({ sync: false });
            try { return (await notebook.save(given)).ids; } finally { notebook.close(); }
        }""",
        edits,
    )
    return made


def a_hide(one: FieldPage) -> tuple[str, str]:
    """Save a site with a hide 20 m west of where the phone stands."""
    centre = {"lat": LAT, "lon": LON, "source": "typed"}
    site_set = {"name": "The carr", "centre": centre, "zone": "Europe/Lisbon"}
    (site,) = write(one, [{"kind": "site", "set": site_set}])
    hide_set = {"site": site, "name": "Reed hide", "cover": "hide", "position": position(-20, 0)}
    (hide,) = write(one, [{"kind": "vantage", "set": hide_set}])
    return site, hide


def test_a_perch_where_one_stands_in_three_taps(opened: Open) -> None:
    one = opened().open("perch-here")
    expect(one.page.locator(".standing-figure")).to_contain_text("± 7 m")
    one.tap(one.button("Save perch")).saved()
    assert one.taps <= 3
    perch, site = one.only("perch"), one.all("site")[0]
    assert (perch["name"], perch["site"]) == ("Perch 1", site["id"])
    assert perch["position"] == {
        "lat": LAT,
        "lon": LON,
        "accuracy_m": 7,
        "source": "satellite fix",
    }
