"""The map in a browser: pins put down and touched, light on lines, base maps without a signal."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from scout.engine.geodesy import bearing_deg, distance_m
from scout.notebook.notebook import Notebook

from .app_page import AppPage, phone_context, served
from .conftest import Opener
from .map_page import LAT, LON, MapPage, position, small_site, supply_base_map
from .small_server import SmallServer

Shower = Callable[..., MapPage]


@pytest.fixture
def screen(browser: Browser) -> Iterator[BrowserContext]:
    """A phone of 390 × 844 with fingers and a fix of ±7 m at the tests' middle."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844},
        has_touch=True,
        permissions=["geolocation"],
        geolocation={"latitude": LAT, "longitude": LON, "accuracy": 7},
    )
    yield context
    context.close()


@pytest.fixture
def opened(phone: Opener, screen: BrowserContext) -> MapPage:
    return MapPage(phone(screen))


def all_of(page: MapPage, kind: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = page.phone.run("return notebook.all(given)", kind)
    return found


def test_three_taps_drop_a_perch_where_one_stands_and_make_its_site(opened: MapPage) -> None:
    opened.show()
    expect(opened.page.get_by_text("Nothing is marked yet")).to_be_visible()
    # With nothing marked the map asks where one is by itself.
    expect(opened.page.get_by_text("± 7 m so far")).to_be_visible()
    opened.button("Perch here").tap()
    opened.button("Perch here").tap()
    expect(opened.page.get_by_text("Saved on this phone")).to_be_visible()
    (perch,), (site,) = all_of(opened, "perch"), all_of(opened, "site")
    assert perch["values"]["site"] == site["id"]
    assert perch["values"]["position"] == {
        "lat": LAT,
        "lon": LON,
        "accuracy_m": 7,
        "source": "satellite fix",
    }
    expect(opened.sheet().get_by_role("heading")).to_contain_text("Perch 1")
    # One undo takes back the perch and the site that it made.
    opened.button("Undo").tap()
    expect(opened.page.get_by_text("Undone", exact=True)).to_be_visible()
    assert all_of(opened, "perch") == all_of(opened, "site") == []


def test_a_pin_is_put_and_moved_without_a_drag(opened: MapPage) -> None:
    small_site(opened.phone)
    opened.show()
    opened.button("Other pin").tap()
    opened.page.get_by_text("By steps, or typed").tap()
    field = opened.page.get_by_role("textbox")
    field.fill("a wood")
    opened.button("Go there").tap()
    expect(opened.page.get_by_role("alert").first).to_contain_text("not read as a position")
    field.fill("52.8702 N, 0.4703 W")
    opened.button("Go there").tap()
    opened.button("Other pin here").tap()
    expect(opened.page.get_by_text("Saved on this phone")).to_be_visible()
    pin = next(one for one in all_of(opened, "landmark") if one["values"]["kind"] == "other")
    assert pin["values"]["position"] == {"lat": 52.8702, "lon": -0.4703, "source": "typed"}
    opened.button("Move").tap()
    # A tap elsewhere brings the cross there, and its opposite back again.
    spot = opened.page.locator(".map-spot")
    expect(spot).to_have_text("52.87020 N, 0.47030 W")
    x, y = opened.middle()
    opened.page.touchscreen.tap(x + 60, y - 40)
    expect(spot).not_to_have_text("52.87020 N, 0.47030 W")
    opened.page.touchscreen.tap(x - 60, y + 40)
    expect(spot).to_have_text("52.87020 N, 0.47030 W")
    opened.page.get_by_text("By steps, or typed").tap()
    opened.page.get_by_text("10 m").tap()
    opened.button("North").tap()
    opened.button("North").tap()
    opened.button("East").tap()
    opened.button("Move here").tap()
    expect(opened.button("Move here")).to_have_count(0)
    moved = opened.phone.run("return (await notebook.get(given)).values.position", pin["id"])
    # To the pixel that the map can stand on: at zoom 19 one is 0.18 m.
    along = distance_m(52.8702, -0.4703, moved["lat"], moved["lon"])
    assert along == pytest.approx(math.hypot(20, 10), abs=0.4)
    bearing = bearing_deg(52.8702, -0.4703, moved["lat"], moved["lon"])
    assert bearing == pytest.approx(math.degrees(math.atan2(10, 20)), abs=1.0)
    assert moved["source"] == "map"


def test_marks_are_touched_by_finger_and_by_key(opened: MapPage) -> None:
    made = small_site(opened.phone)
    opened.show()
    hide, perch = opened.button("Hide Reed hide"), opened.button("Perch Dead branch")
    for mark in (hide, perch, opened.button("Hazard Soft edge")):
        box = mark.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 48
        drawn = mark.locator("svg").evaluate(
            "svg => { const b = svg.getBBox(); return Math.max(b.width, b.height) }"
        )
        assert drawn >= 24
    hide.tap()
    expect(opened.sheet().get_by_role("heading")).to_have_text("Reed hide Hide")
    expect(opened.sheet()).to_contain_text("its place is known to ± 2 m")
    opened.page.keyboard.press("Escape")
    expect(opened.sheet()).to_have_count(0)
    # By keys alone: reach the ground, then tab through the marks.
    opened.page.locator(".map-ground").focus()
    seen = []
    for _ in range(3):
        opened.page.keyboard.press("Tab")
        seen.append(opened.page.evaluate("document.activeElement.getAttribute('aria-label')"))
    assert sorted(seen) == ["Hazard Soft edge", "Hide Reed hide", "Perch Dead branch"]
    perch.focus()
    opened.page.keyboard.press("Enter")
    expect(opened.sheet().get_by_role("heading")).to_have_text("Dead branch Perch")
    line = opened.sheet().get_by_role("button", name="Reed hide")
    expect(line).to_contain_text("gap 60 m")
    line.press("Enter")
    expect(opened.sheet().get_by_role("heading")).to_contain_text("Reed hide → Dead branch")
    expect(opened.sheet()).to_contain_text("from the two pins, bearing ± 4°")  # atan(√8 / 40)
    assert made["line"]


def test_keys_move_the_map_and_look_nearer(opened: MapPage) -> None:
    small_site(opened.phone)
    opened.show()
    perch = opened.button("Perch Dead branch")
    expect(perch).to_be_visible()
    before = perch.bounding_box()
    assert before is not None
    opened.page.locator(".map-ground").focus()
    opened.page.keyboard.press("ArrowDown")
    after = perch.bounding_box()
    assert after is not None
    assert after["y"] == pytest.approx(before["y"] - 90, abs=2)
    hide = opened.button("Hide Reed hide")
    apart = abs(_x(perch) - _x(hide))
    opened.page.keyboard.press("-")
    assert abs(_x(perch) - _x(hide)) == pytest.approx(apart / 2, abs=2)
    opened.page.keyboard.press("+")
    assert abs(_x(perch) - _x(hide)) == pytest.approx(apart, abs=2)


def _x(mark: Any) -> float:
    box = mark.bounding_box()
    assert box is not None
    return float(box["x"])


def test_a_sightline_is_touched_on_the_line_itself(opened: MapPage) -> None:
    small_site(opened.phone)
    opened.show()
    hide, perch = opened.button("Hide Reed hide"), opened.button("Perch Dead branch")
    expect(perch).to_be_visible()
    a, b = hide.bounding_box(), perch.bounding_box()
    assert a is not None
    assert b is not None
    y = a["y"] + 24
    opened.page.touchscreen.tap((a["x"] + b["x"]) / 2 + 24, y + 15)
    expect(opened.sheet().get_by_role("heading")).to_contain_text("Reed hide → Dead branch")
    # Due east, 40 m: WGS 84 and the pins' seven decimals.
    expect(opened.page.locator(".map-figures")).to_have_text("90° · 40 m · gap 60 m")
    opened.page.touchscreen.tap(200, 40)
    expect(opened.sheet()).to_have_count(0)


def ink_along(page: MapPage) -> float:
    """The share of ink on a band across the middle of the line between hide and perch."""
    hide, perch = page.button("Hide Reed hide"), page.button("Perch Dead branch")
    left, right, y = _x(hide) + 24 + 40, _x(perch) + 24 - 12, 0.0
    box = hide.bounding_box()
    assert box is not None
    y = box["y"] + 24
    page.page.evaluate("document.querySelectorAll('.mark-name').forEach(one => one.remove())")
    picture = page.shot("body")
    band = picture.crop((int(left), int(y) - 5, int(right), int(y) + 6)).convert("L")
    dark = sum(count for value, count in enumerate(band.histogram()) if value < 100)
    return dark / (band.width * band.height)


def test_without_an_engine_no_moment_is_offered(opened: MapPage) -> None:
    small_site(opened.phone)
    opened.show()
    expect(opened.button("Perch Dead branch")).to_be_visible()
    expect(opened.page.locator(".map-moment")).to_have_count(0)


def test_the_lines_show_the_light_of_the_moment_in_four_weights(opened: MapPage) -> None:
    made = small_site(opened.phone)
    # No gap and no room for figures at this size: only the line is measured.
    inks = {}
    for state in ("dark", "sky light", "sun", "good"):
        opened.show(states={made["line"]: state})
        opened.button("Light now").tap()
        expect(opened.page.locator(".map-moment")).to_contain_text("Light at")
        inks[state] = ink_along(opened)
    assert 0 < inks["dark"] < inks["sky light"] < inks["good"]
    assert inks["sun"] < inks["good"] / 2
    asked: list[dict[str, Any]] = opened.page.evaluate("globalThis.asked")
    start = asked[-1]["at_ms"]
    for name, minutes in (("+15 min", 15), ("+1 min", 16), ("−15 min", 1)):
        opened.button(name).tap()
        opened.page.wait_for_function(
            "at => globalThis.asked.at(-1).at_ms === at", arg=start + minutes * 60_000
        )
    opened.button("Sun clears").tap()
    opened.page.wait_for_function("globalThis.asked.at(-1).toward === 'sun clears'")
    opened.button("Plain lines").tap()
    expect(opened.button("Plain lines")).to_have_count(0)


def test_what_lies_in_one_spot_is_gathered_and_still_reached(opened: MapPage) -> None:
    small_site(opened.phone)
    opened.show()
    # By the keyboard one stays with a pin that is gathered, and on the map when it leaves the view.
    opened.page.locator(".map-ground").focus()
    opened.page.keyboard.press("Tab")
    for _ in range(5):
        opened.page.keyboard.press("-")
    several = opened.button("3 places here")
    expect(several).to_be_focused()
    expect(opened.page.locator(".mark")).to_have_count(1)
    for _ in range(9):
        opened.page.keyboard.press("ArrowLeft")
    expect(opened.page.locator(".map-ground")).to_be_focused()
    opened.button("Whole site").tap()
    for _ in range(5):
        opened.button("Wider").tap()
    several.tap()
    opened.sheet().get_by_role("button", name="Dead branch").tap()
    expect(opened.sheet().get_by_role("heading")).to_have_text("Dead branch Perch")


def test_two_thousand_pins_make_few_marks_that_a_finger_can_tell_apart(opened: MapPage) -> None:
    save_many(opened, 2000)
    opened.show()
    marks = opened.page.locator(".mark")
    expect(marks.first).to_be_visible()
    for look in ("Wider", "Wider", "Nearer", "Nearer", "Nearer", "Nearer", "Nearer"):
        assert marks.count() < 250
        opened.button(look).tap()
    # In view there are no more buttons than places: nothing is left behind as the map moves.
    opened.page.locator(".map-ground").focus()
    for key in ("ArrowLeft", "ArrowUp", "ArrowUp", "ArrowRight") * 5:
        opened.page.keyboard.press(key)
    assert marks.count() < 250


def save_many(page: MapPage, count: int) -> None:
    page.phone.run(
        """const { newId } = await import('/notebook/ids.js');
        const site = newId(Date.now());
        const edits = [{ kind: 'site', record: site,
            set: { name: 'Wide', centre: given.centre, zone: 'Europe/Lisbon' } }];
        for (let n = 0; n < given.count; n++) {
            const [x, y] = [(n * 7919) % 1000, (n * 104729) % 1000];
            const lat = given.centre.lat + (y - 500) * 1.2e-5;
            const lon = given.centre.lon + (x - 500) * 1.2e-5;
            edits.push({ kind: n % 3 ? 'perch' : 'vantage',
                set: { site, name: `Pin ${n}`, position: { lat, lon, source: 'typed' } } });
        }
        for (let from = 0; from < edits.length; from += 500)
            await notebook.save(edits.slice(from, from + 500));""",
        {"centre": {"lat": LAT, "lon": LON, "source": "typed"}, "count": count},
    )


def test_a_base_map_is_kept_by_area_and_shown_when_the_laptop_is_gone(
    opened: MapPage, notebook: Notebook, server: SmallServer
) -> None:
    small_site(opened.phone)
    supply_base_map(notebook, server)
    opened.show()
    opened.button("Base map").tap()
    opened.page.get_by_label("The heath").check()
    opened.button("Keep this area on the phone").tap()
    expect(opened.sheet()).to_contain_text("kept here")
    expect(opened.button("Remove from the phone")).to_be_visible()
    opened.button("Close").tap()
    expect(opened.page.locator(".map-base canvas").first).to_be_visible()
    assert is_green(opened)
    # The bar is as long as it says: by two pins 40 m apart, one due east of the other.
    words = opened.page.locator(".map-square")
    told = re.search(r"the bar is ([\d.]+) m", words.inner_text())
    assert told is not None
    hide, perch, bar = (
        here.bounding_box() or {}
        for here in (
            opened.button("Hide Reed hide"),
            opened.button("Perch Dead branch"),
            words.locator("i"),
        )
    )
    apart_px = perch["x"] + perch["width"] / 2 - hide["x"] - hide["width"] / 2
    assert bar["width"] / float(told[1]) == pytest.approx(apart_px / 40, rel=0.03)
    # The laptop is switched off; the map is opened anew.
    server.fault = lambda asked, work: None if "/maps" not in asked.path else _lost()
    opened.show()
    expect(opened.page.locator(".map-base canvas").first).to_be_visible()
    opened.page.wait_for_function(IS_GREEN)
    opened.button("Base map").tap()
    expect(opened.sheet()).to_contain_text("laptop is not reached")
    opened.button("Remove from the phone").tap()
    expect(opened.sheet()).to_contain_text("0 tiles")
    opened.page.get_by_label("Grid in metres, no base map").check()
    expect(opened.page.locator(".map-base")).to_have_count(0)
    expect(opened.page.locator(".map-grid")).to_have_count(1)


IS_GREEN = """() => [...document.querySelectorAll('.map-base canvas')].some(canvas => {
    const [r, g, b, a] = canvas.getContext('2d').getImageData(128, 128, 1, 1).data;
    return a === 255 && r === 40 && g === 160 && b === 60;
})"""


def is_green(page: MapPage) -> bool:
    page.page.wait_for_function(IS_GREEN)
    return bool(page.page.evaluate(IS_GREEN))


def _lost() -> Any:
    from .small_server import Answered

    return Answered(0, b"", lost=True)


@pytest.mark.parametrize("hand", ["right", "left"])
def test_the_night_look_is_pure_red_on_the_map_and_in_its_sheets(
    opened: MapPage, notebook: Notebook, server: SmallServer, hand: str
) -> None:
    made = small_site(opened.phone)
    supply_base_map(notebook, server)
    opened.show(look="night", hand=hand, states={made["line"]: "good"})
    pictures = [opened.shot("body")]
    opened.button("Light now").tap()
    opened.button("Perch Dead branch").tap()
    pictures.append(opened.shot("body"))
    opened.button("Close").tap()
    opened.button("Base map").tap()
    opened.page.get_by_label("The heath").check()
    opened.page.wait_for_function(
        """() => [...document.querySelectorAll('.map-base canvas')].some(canvas => {
            const [r, g, b, a] = canvas.getContext('2d').getImageData(128, 128, 1, 1).data;
            return a === 255 && r > 20 && g === 0 && b === 0;
        })"""
    )
    pictures.append(opened.shot("body"))
    opened.button("Close").tap()
    opened.button("Perch here").tap()
    opened.page.get_by_text("By steps, or typed").tap()
    opened.page.evaluate("async () => (await import('/phone.js')).setPhone({ look: 'night' })")
    opened.page.get_by_role("textbox").tap()
    expect(opened.page.get_by_role("group", name="Use the red keys")).to_be_in_viewport()
    pictures.append(opened.shot("body"))
    for picture in pictures:
        red, green, blue = picture.split()
        assert max(green.getextrema()[1], blue.getextrema()[1]) == 0
        assert red.getextrema()[1] == 255
        mean = sum(value * count for value, count in enumerate(red.histogram()))
        assert mean / (picture.width * picture.height) < 60


def test_names_are_text_and_never_a_page(opened: MapPage) -> None:
    made = small_site(opened.phone)
    wicked = "<img src=x onerror=\"document.title='broken'\"><script>1</script>"
    opened.phone.save("perch", {"name": wicked}, made["perch"])
    opened.show(query={"pin": made["perch"]})
    expect(opened.sheet().get_by_role("heading")).to_contain_text(wicked)
    assert opened.page.title().startswith("Map")
    assert opened.page.locator(".map-screen img").count() == 0


def test_the_cross_stays_in_sight_when_the_sheet_is_tall(opened: MapPage) -> None:
    small_site(opened.phone)
    opened.show()
    expect(opened.button("Perch Dead branch")).to_be_visible()
    opened.button("Vantage here").tap()
    opened.page.get_by_text("By steps, or typed").tap()
    cross = opened.page.locator(".map-cross").bounding_box()
    ground = opened.page.locator(".map-top").bounding_box()
    assert cross is not None
    assert ground is not None
    assert ground["y"] < cross["y"]
    assert cross["y"] + cross["height"] < ground["y"] + ground["height"]
    x, y = opened.middle()
    assert cross["x"] + 32 == pytest.approx(x, abs=1)
    assert cross["y"] + 32 == pytest.approx(y, abs=1)


def test_position_of_the_tests_is_what_it_says() -> None:
    there = position(30, 40)
    assert distance_m(LAT, LON, there["lat"], there["lon"]) == pytest.approx(50, abs=0.1)


@pytest.mark.parametrize("left_by", ["a mark", "the wheel", "a new size", "a drag"])
def test_the_map_is_left_while_it_still_moves(
    notebook: Notebook, browser: Browser, left_by: str
) -> None:
    """What the map's library had put off must not reach for a map that is gone."""
    context = phone_context(browser)
    with served(notebook) as address:
        one = AppPage(context, address).open("book")
        position = "{ lat: 52.87, lon: -0.47, source: 'typed' }"
        one.page.evaluate(
            f"""async () => {{
                const {{ openNotebook }} = await import('/notebook/notebook.js');
                const notebook = await openNotebook({{ sync: false }});
                const set = {{ name: 'Carr', zone: 'Europe/London', centre: {position} }};
                const [site] = (await notebook.save([{{ kind: 'site', set }}])).ids;
                const pin = {{ site, name: 'Old post', position: {position} }};
                await notebook.save([{{ kind: 'perch', set: pin }}]);
            }}"""
        )
        one.go("map")
        mark = one.page.locator(".mark")
        expect(mark).to_be_visible()
        mouse = one.page.mouse
        if left_by == "a mark":
            mark.click()
        elif left_by == "the wheel":
            mouse.move(150, 300)
            mouse.wheel(0, -200)
        elif left_by == "a new size":
            one.page.set_viewport_size({"width": 390, "height": 700})
        else:
            mouse.move(150, 300)
            mouse.down()
            mouse.move(90, 220, steps=4)
            mouse.up()
        one.go("book")
        one.page.wait_for_timeout(1500)  # longer than anything was put off for
        assert one.faults == []
    context.close()
