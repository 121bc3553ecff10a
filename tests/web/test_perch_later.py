"""What of a pin comes later: the fix after the Save, the rest of what is half-written."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from .field_page import FEELS, FIX, LATE, Outdoors, write
from .map_page import LAT, LON


def test_saving_never_waits_for_a_position(outdoors: Outdoors) -> None:
    one = outdoors(fix=False)
    one.page.add_init_script(f"({LATE})()")
    one.open("perch-here")
    one.page.locator("#kind").get_by_role("button", name="rock").tap()
    one.button("Save perch").tap()
    one.saved()
    perch = one.only("perch")
    assert "position" not in perch
    assert "site" not in perch
    expect(one.page.locator(".placed")).to_contain_text("comes in by itself")
    # The first that is of use: whoever saved walks on, and a finer one is of another place.
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 900)", [LAT + 0.01, LON])
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 12)", [LAT, LON])
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 3)", [LAT + 0.001, LON])
    expect(one.page.locator(".placed")).to_contain_text("± 12 m")
    perch, site = one.only("perch"), one.all("site")[0]
    assert (perch["position"]["accuracy_m"], perch["position"]["lat"]) == (12, LAT)
    assert (perch["site"], perch["kind"]) == (site["id"], "rock")
    # One undo takes back what came later too.
    one.button("Undo").tap()
    expect(one.page.locator(".snack")).to_contain_text("Undone")
    assert (one.all("perch"), one.all("site")) == ([], [])


@pytest.mark.parametrize("kind", ["perch", "vantage"])
def test_what_was_saved_with_a_position_does_not_move(outdoors: Outdoors, kind: str) -> None:
    one = outdoors(fix=False)
    one.page.add_init_script(f"({LATE})()")
    one.open(f"{kind}-here")
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 25)", [LAT, LON])
    expect(one.page.locator(".standing-figure")).to_contain_text("± 25 m")
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 40)", [LAT + 1, LON])
    one.button(f"Save {kind}").tap()
    one.saved()
    # Walked on with the phone in the hand; the receiver has found itself meanwhile.
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 4)", [LAT + 0.0003, LON])
    one.page.wait_for_timeout(300)
    expect(one.page.locator(".placed")).to_contain_text("± 25 m")
    assert one.only(kind)["position"]["lat"] == LAT


def test_a_pin_left_without_a_position_is_found_again(outdoors: Outdoors) -> None:
    one = outdoors(fix=False)
    one.page.add_init_script(f"({LATE})()")
    one.open("perch-here")
    write(one, [{"kind": "perch", "set": {"name": "Far stump", "kind": "post"}}])
    expect(one.page.get_by_text("Still without a position")).to_be_visible()
    one.button("I stand there now").tap()
    one.page.evaluate("([lat, lon]) => fixed(lat, lon, 3)", [LAT, LON])
    expect(one.page.get_by_text("Still without a position")).to_have_count(0)
    assert one.only("perch")["position"]["accuracy_m"] == 3


def test_half_written_is_taken_up_where_it_was_and_with_its_position(outdoors: Outdoors) -> None:
    one = outdoors().open("perch-here")
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


def test_nonsense_is_told_at_its_field_and_nothing_is_lost(outdoors: Outdoors) -> None:
    one = outdoors(fix=False).open("perch-here")
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


def test_a_perch_by_the_keyboard_alone(outdoors: Outdoors) -> None:
    one = outdoors().open("perch-here")
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
