"""A perch in three taps: where one stands, on the map, from a vantage; as roughly as is known."""

from __future__ import annotations

import math

import pytest
from geographiclib.geodesic import Geodesic
from playwright.sync_api import expect

from scout.notebook.notebook import Notebook

from .field_page import Outdoors, a_hide, write
from .map_page import LAT, LON, position


def test_a_perch_where_one_stands_in_three_taps(outdoors: Outdoors) -> None:
    one = outdoors().open("write")
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


def test_a_perch_by_a_tap_on_the_map_in_three_taps(outdoors: Outdoors) -> None:
    one = outdoors().open("write")
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
    # Once it was closed, what is written meanwhile does not open it again.
    one.button("Close").tap()
    write(one, [{"kind": "note", "set": {"text": "A wren in the sallows"}}])
    one.page.wait_for_timeout(300)
    expect(one.page.locator(".map-sheet")).to_have_count(0)
    one.page.reload()
    one.button("Sightline").tap()
    one.heading("Sightline")
    expect(one.page.get_by_text("Mark them first")).to_be_visible()


def test_what_is_half_written_gets_its_place_from_the_map(outdoors: Outdoors) -> None:
    one = outdoors(fix=False).open("perch-here")
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


def test_without_any_position_a_perch_is_kept_and_syncs(
    outdoors: Outdoors, notebook: Notebook
) -> None:
    one = outdoors(fix=False).open("perch-here")
    expect(one.page.get_by_text("does not allow its position")).to_be_visible()
    one.page.get_by_label("Name", exact=True).fill("Somewhere")
    expect(one.page.get_by_text("It can be saved without one")).to_be_visible()
    one.button("Save perch").tap()
    one.saved()
    expect(one.button("I stand there now")).to_be_visible()
    one.link("Light here today").tap()
    expect(one.page.get_by_text("It has no position yet")).to_be_visible()
    one.link("Give it a position").tap()
    expect(one.link("Type its position")).to_be_visible()
    one.go("write")
    expect(one.page.get_by_text("And more")).to_be_visible()
    expect(one.page.get_by_text("Nothing is written yet")).to_have_count(0)
    one.synced()
    assert one.only("perch")["name"] == "Somewhere"
    expect(one.page.locator(".sync-line")).to_contain_text("Nothing waiting")
    expect(one.page.locator(".sync-line")).not_to_contain_text("to mend")


def test_a_perch_from_a_vantage_is_held_and_saved_in_one_tap(outdoors: Outdoors) -> None:
    one = outdoors().open("write")
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


def test_words_and_figures_do_without_a_compass(outdoors: Outdoors) -> None:
    one = outdoors().open("perch-here")
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


def test_all_that_is_roughly_known_goes_with_it(outdoors: Outdoors) -> None:
    one = outdoors().open("perch-here")
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


def test_without_a_vantage_the_background_waits_for_the_first_sightline(outdoors: Outdoors) -> None:
    one = outdoors().open("perch-here")
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


def test_a_measured_line_ends_where_the_geodesic_does(outdoors: Outdoors) -> None:
    one = outdoors().open("write")
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
