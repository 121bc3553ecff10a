"""A vantage, the bearings that it can use, and its sightlines."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from .field_page import Outdoors, a_hide, two_perches, write
from .map_page import LAT, LON


def test_a_vantage_with_the_range_between_two_held_headings(outdoors: Outdoors) -> None:
    one = outdoors().open("write")
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


def test_one_edge_of_a_range_alone_is_asked_after(outdoors: Outdoors) -> None:
    one = outdoors().open("vantage-here")
    one.page.locator("summary", has_text="Bearings that can be used").click()
    one.page.locator("[data-field=from]").get_by_role("button", name="N, north").first.tap()
    one.button("Save vantage").tap()
    expect(one.page.get_by_text("Give both edges")).to_be_visible()
    assert one.all("vantage") == []


def test_a_vantage_is_joined_to_perches_the_nearest_first(outdoors: Outdoors) -> None:
    one = outdoors().open("write")
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
    # A phone without a compass has the words unfolded.
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
