"""A skyline aimed, typed, or told by the sun on a perch."""

from __future__ import annotations

import datetime as dt

import pytest
from playwright.sync_api import expect

from scout.records.kinds import read_record

from .field_page import Outdoors, a_hide, two_perches, write
from .looks import looked_at
from .map_page import position


def test_a_skyline_aimed_in_any_order_and_typed(outdoors: Outdoors) -> None:
    one = outdoors().open("write")
    site, _ = a_hide(one)
    _, near = two_perches(one, site)
    one.go(f"skyline-here?pin={near}")
    one.button("conifer").tap()
    one.turn(120, 9)
    one.button("Start aiming").tap()
    hold = one.page.get_by_role("button", name="Hold this point")
    # Flat, or on its side as the eye has it best: along its edge it is the same point.
    for heading, tilt, roll in ((120, 9, 0), (350, 3, 89), (80, 14, -70)):
        one.turn(heading, tilt, roll)
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


def test_sun_on_it_is_the_moment_of_the_tap(outdoors: Outdoors) -> None:
    one = outdoors().open("write")
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


def test_every_look_and_size_of_a_line_and_a_skyline(outdoors: Outdoors) -> None:
    one = outdoors().open("write")
    site, hide = a_hide(one)
    perch = two_perches(one, site)[0]
    for path in (f"sightline-here?vantage={hide}&perch={perch}", f"skyline-here?pin={perch}"):
        assert looked_at(one.go(path).page) == [], path
