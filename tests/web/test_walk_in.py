"""The walk-in timed, also while the app is closed."""

from __future__ import annotations

import datetime as dt

import pytest
from playwright.sync_api import expect

from .field_page import Outdoors, a_hide
from .map_page import LON, position


def test_a_walk_is_timed_while_the_app_is_closed(outdoors: Outdoors) -> None:
    first = outdoors().open("write")
    _, hide = a_hide(first)
    first.go("walk-in")
    expect(first.page.get_by_text("tell somebody where you go")).to_be_visible()
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
    one = outdoors(first.context)
    one.page.clock.set_fixed_time(later)
    one.open("walk-in")
    expect(one.page.locator(".walk-clock")).to_contain_text("18:")
    one.page.reload()
    one.heading("Walk-in")
    one.button("I am there").tap()
    expect(one.page.get_by_label("Minutes")).to_have_value("18")
    # By which light nobody guesses from the clock: it is asked.
    one.button("Save walk-in").tap()
    expect(one.page.get_by_text("Say by which light it was walked")).to_be_visible()
    one.button("in the dark").tap()
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
