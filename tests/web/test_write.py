"""Pins written in the field: perches in three taps, vantages, sightlines, skylines, the walk-in."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pvlib
import pytest
from geographiclib.geodesic import Geodesic
from playwright.sync_api import Browser, BrowserContext, Locator, Playwright, expect

from scout.notebook.notebook import Notebook
from scout.records.kinds import read_record
from tests.server import served as server_process

from .app_page import PHONE, AppPage, phone_context, served
from .looks import looked_at
from .map_page import LAT, LON, position
from .test_shell_offline import _KEPT

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

    def heading(self, name: str) -> FieldPage:
        self.page.locator("main:not([aria-busy]) h1", has_text=name).wait_for()
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
    one = opened().open("write")
    one.tap(one.link("Perch here").last).heading("Perch here")
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
    expect(one.link("Light here today")).to_be_visible()
    # One undo takes back all of it, the new site too.
    one.button("Undo").tap()
    expect(one.page.locator(".snack")).to_contain_text("Undone")
    assert (one.all("perch"), one.all("site")) == ([], [])
    expect(one.page.get_by_text("Taken back")).to_be_visible()


def test_a_perch_by_a_tap_on_the_map_in_three_taps(opened: Open) -> None:
    one = opened().open("write")
    one.tap(one.link("Perch here").last).heading("Perch here")
    one.tap(one.link("On the map")).page.locator(".map-ground.leaflet-container").wait_for()
    expect(one.page.get_by_text("Put the cross on the perch")).to_be_visible()
    expect(one.page.get_by_text("± 7 m so far")).to_be_visible()
    one.tap(one.button("Perch here")).saved()
    assert one.taps <= 3
    assert one.only("perch")["position"]["source"] == "satellite fix"
    # From the pin's sheet on: its light, and the line of sight to it.
    perch = one.all("perch")[0]["id"]
    one.button("Light today").tap()
    one.heading("Light")
    assert one.page.evaluate("() => location.hash") == f"#/light?perch={perch}"
    one.page.go_back()
    one.go(f"map?pin={perch}")
    one.button("Sightline").tap()
    one.heading("Sightline")
    expect(one.page.get_by_text("Mark them first")).to_be_visible()


def test_what_is_half_written_gets_its_place_from_the_map(opened: Open) -> None:
    one = opened(fix=False).open("perch-here")
    one.button("post").tap()
    one.link("On the map").tap()
    expect(one.page.get_by_text("Put the cross on the perch")).to_be_visible()
    # Where the map begins without any place is the open sea: nothing is put down there.
    one.button("Perch here").tap()
    refused = one.page.get_by_text("nobody knows yet where this is")
    expect(refused).to_be_visible()
    one.page.wait_for_timeout(250)  # the map has moved aside for the words, and come to rest
    expect(refused).to_be_visible()
    one.page.get_by_text("By steps, or typed").tap()
    one.page.get_by_role("textbox").fill(f"{LAT}, {LON}")
    one.button("Go there").tap()
    expect(one.page.locator(".map-spot")).to_contain_text("52.87")
    expect(refused).to_have_count(0)
    one.button("North").tap()
    one.button("Perch here").tap()
    one.heading("Perch here")
    expect(one.page.locator(".standing-figure")).to_contain_text("map")
    assert one.all("perch") == []
    one.button("Save perch").dblclick()
    one.saved()
    perch = one.only("perch")
    assert (perch["kind"], perch["position"]["source"]) == ("post", "map")


def test_without_any_position_a_perch_is_kept_and_syncs(opened: Open, notebook: Notebook) -> None:
    one = opened(fix=False).open("perch-here")
    expect(one.page.get_by_text("does not allow its position")).to_be_visible()
    one.page.get_by_label("Name", exact=True).fill("Somewhere")
    expect(one.page.get_by_text("It can be saved without one")).to_be_visible()
    one.button("Save perch").tap()
    one.saved()
    expect(one.button("I stand there now")).to_be_visible()
    expect(one.link("Type its position")).to_be_visible()
    one.synced()
    assert one.only("perch")["name"] == "Somewhere"
    expect(one.page.locator(".sync-line")).to_contain_text("Nothing waiting")
    expect(one.page.locator(".sync-line")).not_to_contain_text("to mend")


def test_a_perch_from_a_vantage_is_held_and_saved_in_one_tap(opened: Open) -> None:
    one = opened().open("write")
    site, hide = a_hide(one)
    one.turn(90)
    one.go("perch-here")
    one.button("From a vantage").tap()
    one.button("12 m").first.tap()
    one.tap(one.page.get_by_role("button", name="Hold 90° E and save")).saved()
    (line,) = one.all("sightline")
    assert line["values"]["vantage"] == hide
    measured = one.only("measurement")
    assert measured["distance"] == {"m": 12, "how": "guess", "plus_minus_m": 4}
    read = measured["bearing"]
    assert (read["read_deg"], read["reference"], read["how"]) == (90, "magnetic", "phone compass")
    # World Magnetic Model 2025 at 52.87° N, 0.47° W, late 2026: about 0.9° east.
    assert read["true_deg"] == pytest.approx(90.9, abs=0.4)
    assert read["plus_minus_deg"] >= 5
    perch = one.only("perch")
    assert perch["site"] == site
    start = position(-20, 0)
    along = Geodesic.WGS84.Direct(start["lat"], start["lon"], read["true_deg"], 12)
    found = perch["position"]
    off = Geodesic.WGS84.Inverse(along["lat2"], along["lon2"], found["lat"], found["lon"])["s12"]
    assert off < 0.05
    assert found["source"] == "from a vantage"
    assert found["accuracy_m"] > 4
    assert one.only("site")["name"] == "The carr"
    # From now on, on this morning, it is three taps from the place where one writes.
    one.go("write")
    one.taps = 0
    one.tap(one.link("Perch here").last).heading("Perch here")
    one.tap(one.button("25 m").first)
    one.tap(one.page.get_by_role("button", name="Hold 90° E and save")).saved()
    assert one.taps == 3
    assert len(one.all("perch")) == 2


def test_words_and_figures_do_without_a_compass(opened: Open) -> None:
    one = opened().open("perch-here")
    a_hide(one)
    one.button("From a vantage").tap()
    expect(one.page.get_by_text("This phone gives no compass here")).to_be_visible()
    one.button("NE, north-east").tap()
    one.button("25 m").first.tap()
    one.button("Save perch").tap()
    one.saved()
    read = one.only("measurement")["bearing"]
    assert (read["read_deg"], read["reference"], read["how"]) == (45, "true", "compass word")
    one.go("perch-here")
    expect(one.page.get_by_text("This phone gives no compass here")).to_be_visible()
    one.page.get_by_label("Bearing to the perch, Type a figure").fill("400")
    one.page.get_by_label("Distance to the perch, Type a figure").fill("a stone's throw")
    one.button("Save perch").tap()
    expect(one.page.get_by_text("400 is out of range")).to_be_visible()
    expect(one.page.get_by_text("“a stone's throw” is not a number")).to_be_visible()
    assert len(one.all("perch")) == 1
    one.page.get_by_label("Bearing to the perch, Type a figure").fill("400,5")
    one.page.get_by_label("Bearing to the perch, Type a figure").fill("40,5")
    expect(one.page.locator("[data-field=bearing] output")).to_have_text("41° NE true ± 11°")
    expect(one.button("from true north")).to_have_attribute("aria-pressed", "true")
    one.page.locator("[data-field=bearing]").get_by_role("button", name="sighting compass").tap()
    expect(one.button("from magnetic north")).to_have_attribute("aria-pressed", "true")
    expect(one.page.locator("[data-field=bearing] output")).to_contain_text("± 2°")
    one.page.locator("[data-field=bearing]").get_by_role("button", name="guess").tap()
    one.page.locator("#tilt").fill("-3")
    expect(one.page.locator("[data-field=tilt] output")).to_have_text("± 5°")
    one.page.get_by_label("Distance to the perch, Type a figure").fill("18")
    one.button("Save perch").tap()
    one.saved()
    newest = one.all("measurement")[0]["values"]
    # Typed: true, and no finer than a word out of sixteen until one says how it was read.
    guess = {"read_deg": 40.5, "reference": "true", "how": "guess", "plus_minus_deg": 11}
    assert newest["bearing"] == guess
    assert newest["tilt"] == {"deg": -3, "how": "guess"}
    assert newest["distance"]["m"] == 18


def test_all_that_is_roughly_known_goes_with_it(opened: Open) -> None:
    one = opened().open("perch-here")
    _, hide = a_hide(one)
    for chip in ("post", "dark", "front"):
        one.button(chip).tap()
    one.page.get_by_role("group", name="Gap behind the perch, Tap a rough one").get_by_role(
        "button", name="50 m"
    ).tap()
    one.page.locator("[data-field=height_m]").get_by_role("button", name="1 m").tap()
    one.page.get_by_label("Name", exact=True).fill("Ditch <b>post</b>")
    one.page.get_by_label("Note").fill("left of the fallen willow")
    one.page.locator("#seen_from .near-one").tap()
    one.button("Save perch").tap()
    one.saved()
    expect(one.page.get_by_role("heading", level=1)).to_have_text("Ditch <b>post</b>")
    perch, line = one.only("perch"), one.only("sightline")
    assert (perch["kind"], perch["height_m"]) == ("post", 1)
    assert line == {
        "vantage": hide,
        "perch": one.all("perch")[0]["id"],
        "gap": {"m": 50, "how": "guess", "plus_minus_m": 16},
        "tone": "dark",
        "light_wanted": "front",
    }
    assert one.only("note")["text"] == "left of the fallen willow"


def test_without_a_vantage_the_background_waits_for_the_first_sightline(opened: Open) -> None:
    one = opened().open("perch-here")
    one.button("bright").tap()
    one.button("front").tap()
    one.button("Save perch").tap()
    one.saved()
    assert one.all("sightline") == []
    assert one.only("note")["text"] == "Light wanted: front. Tone of the background: bright"
    perch = one.all("perch")[0]["id"]
    _, hide = a_hide(one)
    one.go(f"sightline-here?vantage={hide}&perch={perch}")
    expect(one.page.get_by_text("as it was said at the perch")).to_be_visible()
    one.button("front").tap()  # let go of: from here it is otherwise
    one.button("Save sightline").tap()
    one.saved()
    assert one.only("sightline") == {"vantage": hide, "perch": perch, "tone": "bright"}


def test_a_measured_line_ends_where_the_geodesic_does(opened: Open) -> None:
    one = opened().open("write")
    start = {"lat": 64.15, "lon": -21.9, "accuracy_m": 3, "source": "map"}
    lines = [
        {"deg": 10.0, "reference": "true", "m": 8.0, "tilt": None},
        {"deg": 201.5, "reference": "true", "m": 120.0, "tilt": -12.0},
        {"deg": 333.0, "reference": "magnetic", "m": 700.0, "tilt": 4.0},
    ]
    for line in lines:
        found = one.page.evaluate(
            """async ([start, { deg, reference, m, tilt }]) => {
                const { placedFrom } = await import('/screens/pin_edits.js');
                const bearing = { read_deg: deg, reference, how: 'sighting compass' };
                return placedFrom(start, { bearing, distance: { m, how: 'rangefinder' },
                  tilt: tilt === null ? null : { deg: tilt, how: 'clinometer' } });
            }""",
            [start, line],
        )
        level = line["m"] * math.cos(math.radians(line["tilt"] or 0.0))
        end = Geodesic.WGS84.Direct(start["lat"], start["lon"], line["deg"], level)
        off = Geodesic.WGS84.Inverse(end["lat2"], end["lon2"], found["lat"], found["lon"])["s12"]
        assert off < 0.02
        # ± of the bearing alone: 2° of a sighting compass, common practice; where true north is
        # not known the place is no better than the declination may be.
        spread = 2.0 if line["reference"] == "true" else math.hypot(2.0, 20.0)
        assert found["accuracy_m"] >= level * math.radians(spread) * 0.98


# A phone whose satellites take their time: the test says when there is a fix.
_LATE = """() => {
  const asked = [];
  const watch = (ok) => asked.push(ok);
  Object.defineProperty(navigator, 'geolocation', { value: {
    watchPosition: watch, getCurrentPosition: watch, clearWatch() {} } });
  globalThis.fixed = (latitude, longitude, accuracy) => {
    for (const ok of asked) {
      ok({ coords: { latitude, longitude, accuracy, altitude: null }, timestamp: Date.now() });
    }
  };
}"""


def test_saving_never_waits_for_a_position(opened: Open) -> None:
    one = opened(fix=False)
    one.page.add_init_script(f"({_LATE})()")
    one.open("perch-here")
    one.page.locator("#kind").get_by_role("button", name="rock").tap()
    one.button("Save perch").tap()
    one.saved()
    perch = one.only("perch")
    assert "position" not in perch
    assert "site" not in perch
    expect(one.page.locator(".placed")).to_contain_text("comes in by itself")
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 12)", [LAT, LON])
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 3)", [LAT, LON])
    expect(one.page.locator(".placed")).to_contain_text("± 3 m")
    perch, site = one.only("perch"), one.all("site")[0]
    assert perch["position"]["accuracy_m"] == 3
    assert (perch["site"], perch["kind"]) == (site["id"], "rock")
    # One undo takes back what came later too.
    one.button("Undo").tap()
    expect(one.page.locator(".snack")).to_contain_text("Undone")
    assert (one.all("perch"), one.all("site")) == ([], [])


def test_a_better_fix_comes_in_after_the_save_and_no_worse_one(opened: Open) -> None:
    one = opened(fix=False)
    one.page.add_init_script(f"({_LATE})()")
    one.open("perch-here")
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 25)", [LAT, LON])
    expect(one.page.locator(".standing-figure")).to_contain_text("± 25 m")
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 40)", [LAT + 1, LON])
    one.button("Save perch").tap()
    one.saved()
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 4)", [LAT + 0.0001, LON])
    expect(one.page.locator(".placed")).to_contain_text("± 4 m")
    assert one.only("perch")["position"]["lat"] == pytest.approx(LAT + 0.0001)


def test_a_pin_left_without_a_position_is_found_again(opened: Open) -> None:
    one = opened(fix=False)
    one.page.add_init_script(f"({_LATE})()")
    one.open("perch-here")
    write(one, [{"kind": "perch", "set": {"name": "Far stump", "kind": "post"}}])
    expect(one.page.get_by_text("Still without a position")).to_be_visible()
    one.button("I stand there now").tap()
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 3)", [LAT, LON])
    expect(one.page.get_by_text("Still without a position")).to_have_count(0)
    assert one.only("perch")["position"]["accuracy_m"] == 3


def test_half_written_is_taken_up_where_it_was_and_with_its_position(opened: Open) -> None:
    one = opened().open("perch-here")
    expect(one.page.locator(".standing-figure")).to_contain_text("± 7 m")
    one.button("post").tap()
    one.page.get_by_label("Note").fill("by the")
    one.button("Good enough").tap()
    # Walked on before the phone was looked at again.
    one.context.set_geolocation({"latitude": LAT + 0.01, "longitude": LON, "accuracy": 5})
    one.page.reload()
    one.heading("Perch here")
    expect(one.page.get_by_text("taken up where it was left")).to_be_visible()
    expect(one.page.get_by_label("Note")).to_have_value("by the")
    one.page.wait_for_timeout(500)
    one.button("Save perch").tap()
    one.saved()
    perch = one.only("perch")
    assert perch["position"]["lat"] == LAT
    assert perch["kind"] == "post"
    one.go("perch-here")
    expect(one.page.get_by_text("taken up where it was left")).to_have_count(0)


def test_nonsense_is_told_at_its_field_and_nothing_is_lost(opened: Open) -> None:
    one = opened(fix=False).open("perch-here")
    figure, typed = one.page.locator(".standing-figure"), one.page.locator("#place")
    expect(figure).to_contain_text("does not allow its position")
    expect(one.link("On the map")).to_be_visible()
    one.page.get_by_label("Height above the ground, Type it").fill("chest-high")
    one.page.get_by_label("Gap behind the perch, Type a figure").fill("-3")
    typed.fill("by the oak")
    one.button("Save perch").tap()
    expect(one.page.get_by_text("“by the oak” is not a position. Latitude first")).to_be_visible()
    expect(typed).to_be_focused()
    expect(one.page.get_by_text("“chest-high” is not a number")).to_be_visible()
    expect(one.page.get_by_text("−3 is out of range")).to_be_visible()
    assert one.all("perch") == []
    expect(one.page.get_by_label("Height above the ground, Type it")).to_have_value("chest-high")
    one.page.get_by_label("Height above the ground, Type it").fill("1.3")
    one.page.get_by_label("Gap behind the perch, Type a figure").fill("3")
    # The position is asked for again, and may be typed all the same.
    one.context.grant_permissions(["geolocation", *FEELS])
    one.context.set_geolocation(FIX)
    one.button("Try again").tap()
    expect(figure).to_contain_text("± 7 m")
    one.page.locator("summary", has_text="Type the position").tap()
    typed.fill("52.5, −1.25")
    expect(figure).to_contain_text("52.50000 N, 1.25000 W, typed")
    one.button("Save perch").tap()
    one.saved()
    perch = one.only("perch")
    assert perch["height_m"] == 1.3
    assert perch["position"] == {"lat": 52.5, "lon": -1.25, "source": "typed"}
    one.link("All about it").tap()  # an Undo does not follow there
    expect(one.page.locator(".snack")).to_have_count(0)


def test_a_perch_by_the_keyboard_alone(opened: Open) -> None:
    one = opened().open("perch-here")
    keys = one.page.keyboard

    def reach(name: str) -> None:
        for _ in range(90):
            keys.press("Tab")
            if one.page.evaluate("() => document.activeElement.textContent.trim()") == name:
                return
        raise AssertionError(f"{name} is not reached by Tab")

    reach("branch")
    keys.press("Space")
    for _ in range(90):
        keys.press("Tab")
        if one.page.evaluate("() => document.activeElement.id") == "name":
            break
    keys.type("Snag")
    reach("Save perch")
    keys.press("Enter")
    one.saved()
    assert (one.only("perch")["name"], one.only("perch")["kind"]) == ("Snag", "branch")


def test_the_compass_set_by_a_shadow(opened: Open) -> None:
    one = opened().open("perch-here")
    a_hide(one)
    at = dt.datetime(2026, 6, 21, 8, 0, tzinfo=dt.UTC)
    one.page.clock.set_fixed_time(at)
    # The sun by the NREL algorithm of pvlib; a shadow points away from it.
    azimuth_deg = float(
        pvlib.solarposition.get_solarposition(at, LAT, LON, method="nrel_numpy")["azimuth"].iloc[0]
    )
    compass_off_deg = 25.0  # a phone that reads 25° too low beside a car
    shadow_deg = (azimuth_deg + 180.0) % 360.0
    one.button("From a vantage").tap()
    one.button("Set the compass by a shadow").tap()
    sheet = one.page.get_by_role("dialog")
    expect(sheet).to_contain_text("Never look at the sun")
    one.turn(shadow_deg - compass_off_deg)
    one.page.get_by_role("button", name="It lies along the shadow").tap()
    expect(one.page.locator(".snack")).to_contain_text("+25° to what it reads")
    expect(one.button("The compass is set by a shadow here")).to_be_visible()
    one.turn(75.0)
    one.button("25 m").first.tap()
    if one.page.locator("[data-field=bearing] .held").count() == 0:
        one.page.locator("[data-field=bearing] > .act.large").tap()
    one.page.get_by_role("button", name="Hold 75° ENE and save").tap()
    one.saved()
    read = one.only("measurement")["bearing"]
    assert (read["how"], read["reference"]) == ("sun shadow", "magnetic")
    assert read["read_deg"] == pytest.approx(75.0, abs=0.2)
    assert read["true_deg"] == pytest.approx(100.0, abs=0.5)
    assert read["plus_minus_deg"] < 10


def test_a_shadow_by_night_is_refused_in_words(opened: Open) -> None:
    one = opened().open("perch-here")
    a_hide(one)
    one.page.clock.set_fixed_time(dt.datetime(2026, 6, 21, 0, 0, tzinfo=dt.UTC))
    one.button("From a vantage").tap()
    one.button("Set the compass by a shadow").tap()
    one.turn(10.0)
    one.page.get_by_role("button", name="It lies along the shadow").tap()
    expect(one.page.get_by_role("dialog")).to_contain_text("The sun is down")


def test_a_vantage_with_the_range_between_two_held_headings(opened: Open) -> None:
    one = opened().open("write")
    one.tap(one.link("Vantage here").last).heading("Vantage here")
    one.tap(one.button("hide"))
    for chip in ("beanbag", "0.6 m"):
        one.button(chip).tap()
    one.page.locator("summary", has_text="Bearings that can be used").click()
    for name, heading in (("from", 350.0), ("to", 60.0)):
        one.turn(heading)
        one.page.locator(f"[data-field={name}] > .act.large").tap()
        one.page.locator(f"[data-field={name}] > .held").tap()
        expect(one.page.locator(f"[data-field={name}] .told-bearing")).to_contain_text("true ±")
    expect(one.page.get_by_text("70° wide")).to_be_visible()
    one.button("Save vantage").tap()
    one.saved()
    vantage = one.only("vantage")
    assert (vantage["cover"], vantage["support"]) == ("hide", "beanbag")
    assert vantage["lens_height_m"] == 0.6
    # 0.9° of declination, World Magnetic Model 2025.
    assert vantage["usable"]["from_deg"] == pytest.approx(350.9, abs=0.4)
    assert vantage["usable"]["to_deg"] == pytest.approx(60.9, abs=0.4)
    assert vantage["position"]["accuracy_m"] == 7
    for name in ("A perch from here", "Join it to perches", "Time the walk-in"):
        expect(one.link(name)).to_be_visible()


def test_one_edge_of_a_range_alone_is_asked_after(opened: Open) -> None:
    one = opened().open("vantage-here")
    one.page.locator("summary", has_text="Bearings that can be used").click()
    one.page.locator("[data-field=from] summary").click()
    one.page.locator("[data-field=from]").get_by_role("button", name="N, north").first.tap()
    one.button("Save vantage").tap()
    expect(one.page.get_by_text("Give both edges")).to_be_visible()
    assert one.all("vantage") == []


def two_perches(one: FieldPage, site: str) -> list[str]:
    return write(
        one,
        [
            {"kind": "perch", "set": {"site": site, "name": name, "position": position(east, 0)}}
            for name, east in (("Far post", 90), ("Dead branch", 20))
        ],
    )


def test_a_vantage_is_joined_to_perches_the_nearest_first(opened: Open) -> None:
    one = opened().open("write")
    site, hide = a_hide(one)
    far, near = two_perches(one, site)
    # What lies at other sites is not mixed in: apart, with its site, once all are asked for.
    centre = {"lat": LAT + 1, "lon": LON, "source": "typed"}
    fen_set = {"name": "The fen", "centre": centre, "zone": "Europe/Lisbon"}
    (fen,) = write(one, [{"kind": "site", "set": fen_set}])
    write(one, [{"kind": "vantage", "set": {"site": fen, "name": "Fen wall", "cover": "open"}}])
    one.go("sightline-here")
    vantages = one.page.locator("#vantage .near-one")
    expect(vantages).to_have_text(["Reed hide 20 m W"])
    one.button("All 2, with search").tap()
    expect(vantages).to_have_text(["Reed hide 20 m W", "Fen wall The fen"])
    expect(one.page.get_by_text("Of other sites")).to_be_visible()
    one.go(f"sightline-here?vantage={hide}")
    rows = one.page.locator("#perches .near-one")
    expect(rows.first).to_contain_text("Dead branch")
    expect(rows.first).to_contain_text("40 m E")
    rows.first.tap()
    one.button("25 m").first.tap()
    one.page.locator("summary", has_text="By compass word").click()
    one.button("E, east").tap()
    one.button("Save sightline").tap()
    one.saved()
    # Measured again by somebody with a tape: beside the first, and nothing written over.
    one.go(f"sightline-here?vantage={hide}&perch={near}")
    expect(one.page.get_by_text("This line is there already")).to_be_visible()
    one.page.get_by_label("Distance to the perch, Type a figure").fill("38.5")
    one.button("tape").tap()
    one.button("Save sightline").tap()
    one.saved()
    assert len(one.all("sightline")) == 1
    measured = [one["values"]["distance"]["m"] for one in one.all("measurement")]
    assert sorted(measured) == [25, 38.5]
    # Several at once take theirs from the pins.
    one.go(f"sightline-here?vantage={hide}")
    rows.nth(0).tap()
    rows.nth(1).tap()
    one.button("Connect").tap()
    one.saved()
    lines = {line["values"]["perch"] for line in one.all("sightline")}
    assert lines == {far, near}
    assert len(one.all("measurement")) == 2


def test_a_skyline_aimed_in_any_order_and_typed(opened: Open) -> None:
    one = opened().open("write")
    site, _ = a_hide(one)
    _, near = two_perches(one, site)
    one.go(f"skyline-here?pin={near}")
    one.button("conifer").tap()
    one.turn(120, 9)
    one.button("Start aiming").tap()
    hold = one.page.get_by_role("button", name="Hold this point")
    for heading, tilt in ((120, 9), (350, 3), (80, 14)):
        one.turn(heading, tilt)
        expect(hold).to_contain_text(f"{heading}°")
        one.page.wait_for_timeout(1200)  # a reading is the mean of one second
        hold.tap()
    one.page.locator("#azimuth").fill("north")
    one.button("Add the point").tap()
    expect(one.page.get_by_text("Write a bearing from 0 to 360")).to_be_visible()
    one.page.locator("#azimuth").fill("140")
    one.page.locator("#altitude").fill("2,5")
    one.button("Add the point").tap()
    # Along the horizon across north: 350, 80, 120, 140.
    listed = one.page.locator(".points li b:first-of-type").all_inner_texts()
    assert [text.split("°")[0] for text in listed if "." not in text][::1] == [
        "350",
        "80",
        "120",
        "140",
    ]
    # Half-taken, it is there after a reload.
    one.page.reload()
    one.heading("Skyline here")
    expect(one.page.locator(".points li")).to_have_count(4)
    one.button("Save skyline").tap()
    one.saved()
    found = {skyline["values"]["source"]: skyline["values"] for skyline in one.all("skyline")}
    aimed, typed = found["aimed"], found["typed"]
    assert [node["azimuth_deg"] for node in aimed["nodes"]] == pytest.approx([80, 120, 350], abs=1)
    assert [node["altitude_deg"] for node in aimed["nodes"]] == pytest.approx([14, 9, 3], abs=0.3)
    assert {node["what"] for node in aimed["nodes"]} == {"conifer"}
    assert aimed["reference"] == "magnetic"
    assert aimed["heading_plus_minus_deg"] >= 5
    assert typed["reference"] == "true"
    assert typed["nodes"] == [{"azimuth_deg": 140, "altitude_deg": 2.5, "what": "conifer"}]
    for values in (aimed, typed):
        read_record("skyline", {"id": near, **values})


def test_sun_on_it_is_the_moment_of_the_tap(opened: Open) -> None:
    one = opened().open("write")
    site, _ = a_hide(one)
    write(one, [{"kind": "perch", "set": {"site": site, "name": "P", "position": position(0, 0)}}])
    one.tap(one.link("Skyline").last).heading("Skyline here")
    one.tap(one.page.locator(".near-one", has_text="P").first)
    before = dt.datetime.now(dt.UTC).replace(microsecond=0)
    one.tap(one.button("Sun on it"))
    expect(one.page.locator(".snack")).to_contain_text("Sun on it: saved on this phone")
    assert one.taps == 3
    tap = one.only("skyline")
    one.button("Undo").tap()
    expect(one.page.locator(".snack")).to_contain_text("Undone")
    assert one.all("skyline") == []
    assert tap["source"] == "sun on it"
    at = dt.datetime.fromisoformat(tap["at"]["at"])
    assert dt.timedelta(0) <= at - before < dt.timedelta(seconds=10)
    assert tap["at"]["zone"] == "Europe/Lisbon"
    read_record("skyline", {"id": site, **tap})


def test_a_walk_is_timed_while_the_app_is_closed(opened: Open) -> None:
    first = opened().open("write")
    _, hide = a_hide(first)
    first.go("walk-in")
    expect(first.page.get_by_text("tell somebody where you go")).to_be_visible()
    first.button("in the dark").tap()
    first.button("Start walking").tap()
    expect(first.page.locator(".walk-clock")).to_contain_text("0:0")
    expect(first.page.get_by_text("The start has its position")).to_be_visible()
    first.context.set_geolocation(
        {"latitude": position(0, 60)["lat"], "longitude": LON, "accuracy": 5}
    )
    first.button("Mark a turn").tap()
    expect(first.page.get_by_text("Turn marked")).to_be_visible()
    first.page.close()
    later = dt.datetime.now(dt.UTC) + dt.timedelta(minutes=18)
    one = opened(first.context)
    one.page.clock.set_fixed_time(later)
    one.open("walk-in")
    expect(one.page.locator(".walk-clock")).to_contain_text("18:")
    one.page.reload()
    one.heading("Walk-in")
    one.button("I am there").tap()
    expect(one.page.get_by_label("Minutes")).to_have_value("18")
    one.button("Save walk-in").tap()
    expect(one.page.get_by_text("Choose the vantage it leads to")).to_be_visible()
    one.page.locator("#to .near-one").tap()
    one.button("Save walk-in").tap()
    one.saved()
    walk = one.only("walk_in")
    assert (walk["vantage"], walk["dark_min"]) == (hide, 18)
    assert "day_min" not in walk
    ((bearing, metres),) = [(leg["bearing_deg"], leg["distance_m"]) for leg in walk["legs"]]
    assert (bearing % 360, metres) == (0, pytest.approx(60, abs=1))
    # Undone, the time is half-written as before, for it cannot be taken again.
    one.button("Undo").tap()
    one.heading("Walk-in")
    assert one.all("walk_in") == []
    expect(one.page.get_by_label("Minutes")).to_have_value("18")
    one.button("Save walk-in").tap()
    expect(one.page.get_by_role("heading", level=1)).to_have_text("Reed hide")
    # By day, without timing, goes into the same way.
    one.go("walk-in")
    one.button("Write it without timing").tap()
    one.page.get_by_label("Minutes").fill("twelve")
    one.button("Save walk-in").tap()
    expect(one.page.get_by_text("Write the minutes")).to_be_visible()
    one.page.get_by_label("Minutes").fill("12")
    one.button("by day").tap()
    one.page.locator("#to .near-one").tap()
    one.button("Save walk-in").tap()
    one.saved()
    walk = one.only("walk_in")
    assert (walk["dark_min"], walk["day_min"]) == (18, 12)
    assert len(walk["legs"]) == 1


def test_with_the_server_dead_all_of_it_is_written_and_synced_later(
    playwright: Playwright, chromium: Path, tmp_path: Path
) -> None:
    process, address = server_process.start(tmp_path / "notebook")
    given: Any = {
        "executable_path": chromium,
        "viewport": PHONE,
        "has_touch": True,
        "permissions": [*FEELS, "geolocation"],
        "geolocation": FIX,
    }
    profile = tmp_path / "profile"
    try:
        with playwright.chromium.launch_persistent_context(profile, **given) as context:
            one = FieldPage(context, f"{address}/").open("write")
            one.page.evaluate(_KEPT)
    finally:
        server_process.kill(process)
    with playwright.chromium.launch_persistent_context(profile, **given) as context:
        one = FieldPage(context, f"{address}/").open("write")
        one.tap(one.link("Vantage here").last).heading("Vantage here")
        one.button("Save vantage").tap()
        one.saved()
        one.turn(90)
        one.tap(one.link("A perch from here")).heading("Perch here")
        one.button("12 m").first.tap()
        one.page.get_by_role("button", name="Hold 90° E and save").tap()
        one.saved()
        one.link("Skyline here").tap()
        one.button("Sun off it").tap()
        expect(one.page.locator(".snack")).to_contain_text("Sun off it: saved on this phone")
        assert [len(one.all(kind)) for kind in ("perch", "sightline", "measurement")] == [1, 1, 1]
        read = one.only("measurement")["bearing"]
        assert (read["read_deg"], read["reference"]) == (90, "magnetic")
        assert one.only("perch")["position"]["source"] == "from a vantage"
        assert one.faults == []


def test_every_look_and_size_of_a_line_and_a_skyline(opened: Open) -> None:
    one = opened().open("write")
    site, hide = a_hide(one)
    perch = two_perches(one, site)[0]
    for path in (f"sightline-here?vantage={hide}&perch={perch}", f"skyline-here?pin={perch}"):
        assert looked_at(one.go(path).page) == [], path
