"""The app in the hand of somebody standing outside: a phone that is turned and knows its place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from playwright.sync_api import Locator, expect

from .app_page import AppPage
from .map_page import LAT, LON, position

Outdoors = Callable[..., "FieldPage"]
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
# A phone whose satellites take their time: the test says when there is a fix.
LATE = """() => {
  const asked = [];
  const watch = (ok) => asked.push(ok);
  Object.defineProperty(navigator, 'geolocation', { value: {
    watchPosition: watch, getCurrentPosition: watch, clearWatch() {} } });
  globalThis.fixed = async (latitude, longitude, accuracy) => {
    while (asked.length === 0) await new Promise((done) => setTimeout(done, 10));
    for (const ok of asked) {
      ok({ coords: { latitude, longitude, accuracy, altitude: null }, timestamp: Date.now() });
    }
  };
}"""


class FieldPage(AppPage):
    """The app in the hand of somebody standing outside; taps are counted."""

    taps = 0

    def tap(self, one: Locator) -> FieldPage:
        one.tap()
        self.taps += 1
        return self

    def heading(self, name: str) -> FieldPage:
        self.page.locator("main:not([aria-busy]) h1", has_text=name).wait_for()
        return self

    def turn(self, heading_deg: float, tilt_deg: float = 0.0, roll_deg: float = 0.0) -> None:
        """Hold the phone flat or rolled, its top to that magnetic bearing, raised by that angle."""
        angles = {"alpha": (360.0 - heading_deg) % 360.0, "beta": tilt_deg, "gamma": roll_deg}
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


def two_perches(one: FieldPage, site: str) -> list[str]:
    return write(
        one,
        [
            {"kind": "perch", "set": {"site": site, "name": name, "position": position(east, 0)}}
            for name, east in (("Far post", 90), ("Dead branch", 20))
        ],
    )
