"""The compass set by a shadow, against the sun of another program."""

from __future__ import annotations

import datetime as dt

import pvlib
import pytest
from playwright.sync_api import expect

from .field_page import Outdoors, a_hide
from .map_page import LAT, LON


def test_the_compass_set_by_a_shadow(outdoors: Outdoors) -> None:
    one = outdoors().open("perch-here")
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


def test_a_shadow_by_night_is_refused_in_words(outdoors: Outdoors) -> None:
    one = outdoors().open("perch-here")
    a_hide(one)
    one.page.clock.set_fixed_time(dt.datetime(2026, 6, 21, 0, 0, tzinfo=dt.UTC))
    one.button("From a vantage").tap()
    one.button("Set the compass by a shadow").tap()
    one.turn(10.0)
    one.page.get_by_role("button", name="It lies along the shadow").tap()
    expect(one.page.get_by_role("dialog")).to_contain_text("The sun is down")
