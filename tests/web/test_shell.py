"""The app's frame and parts as they are seen, touched and heard, in every look and size."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from scout.notebook.notebook import Notebook, open_notebook

from .app_page import PHONE, phone_context
from .conftest import wall_clock
from .looks import LOOKS, looked_at
from .shell_page import (
    pixels,
    put_look,
    served,
    with_gallery,
)

SCREENS = {
    "new note": "index.html#/new/note",
    "parts": "gallery/index.html",
    "sightline": "gallery/index.html?kind=sightline",
    "measurement": "gallery/index.html?kind=measurement",
}


@pytest.fixture(scope="module")
def url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("shell") / "notebook"
    with open_notebook(folder, wall_clock, create=True) as notebook, served_gallery(notebook) as at:
        yield at


def served_gallery(notebook: Notebook) -> Any:
    return served(with_gallery(notebook))


class Seen:
    """One phone for all screens: what it asked for, what it reported, what went wrong."""

    def __init__(self, context: BrowserContext, url: str) -> None:
        self.url = url
        self.page: Page = context.new_page()
        self.asked: list[str] = []
        self.faults: list[str] = []
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        self.page.on("console", self._heard)

    def _heard(self, message: Any) -> None:
        if message.type == "error" and "Failed to load resource" not in message.text:
            self.faults.append(message.text)

    def open(self, address: str) -> Page:
        # A page may differ from the last one after the # alone.
        self.page.goto("about:blank")
        self.page.goto(self.url + address)
        self.page.locator("main:not([aria-busy]) h1").wait_for()
        self.page.evaluate("() => document.fonts.ready")
        return self.page


@pytest.fixture(scope="module")
def seen(browser: Browser, url: str) -> Iterator[Seen]:
    context = phone_context(browser)
    one = Seen(context, url)
    yield one
    foreign = [
        asked for asked in one.asked if not asked.startswith((url, "blob:", "data:", "about:"))
    ]
    context.close()
    assert foreign == []
    assert one.faults == []


@pytest.mark.parametrize("screen", SCREENS)
def test_every_look_and_size(seen: Seen, screen: str) -> None:
    assert looked_at(seen.open(SCREENS[screen])) == []


def test_the_night_look_is_dimmed(seen: Seen) -> None:
    page = seen.open(SCREENS["parts"])
    put_look(page, "night", dim=0.0)
    full = pixels(page)[:, :, 0].max()
    put_look(page, "night", dim=0.8)
    shot = pixels(page)
    put_look(page, "day", dim=0.0)
    assert (full, shot[:, :, 1:].max()) == (255, 0)
    assert shot[:, :, 0].max() == pytest.approx(51, abs=1)


def test_a_sheet_is_dimmed_and_red_as_well(seen: Seen) -> None:
    page = seen.open(SCREENS["parts"])
    put_look(page, "night", dim=0.8)
    page.get_by_role("button", name="Look from here").click()
    page.get_by_role("dialog").wait_for()
    shot = pixels(page)
    page.keyboard.press("Escape")
    put_look(page, "day", dim=0.0)
    assert shot[:, :, 1:].max() == 0
    assert shot[:, :, 0].max() <= 52


@pytest.mark.parametrize("look", LOOKS)
def test_nothing_is_lit_before_the_styles_come(browser: Browser, url: str, look: str) -> None:
    context = phone_context(browser)
    context.add_init_script(f"localStorage.setItem('phone', JSON.stringify({{ look: '{look}' }}))")
    page = context.new_page()
    held: list[Any] = []
    page.route("**/*.css", lambda route: held.append(route))
    page.goto(f"{url}index.html", wait_until="commit")
    # By the clock: a page that waits for its styles has no animation frames to look in.
    page.wait_for_function("() => document.documentElement.dataset.look !== undefined", polling=50)
    for _ in range(200):
        if len(held) >= 3:
            break
        page.wait_for_timeout(50)
    ground = page.evaluate("() => document.documentElement.style.backgroundColor")
    assert ground == ("rgb(255, 255, 255)" if look == "day" else "rgb(0, 0, 0)")
    assert len(held) >= 3, "the styles were not asked for, so this shows nothing"
    for route in held:
        route.abort()
    context.close()


def test_the_first_bytes_are_dark(seen: Seen) -> None:
    first = seen.page.request.get(f"{seen.url}index.html").body()[:300].decode()
    assert '<meta name="color-scheme" content="dark">' in first
    assert '<meta name="theme-color" content="#000000">' in first


def test_the_tab_key_goes_through_everything_and_nothing_is_covered(seen: Seen) -> None:
    page = seen.open(SCREENS["new note"])
    expect(page.locator(".sync-line")).to_contain_text("waiting")
    reached: list[str] = []
    for _ in range(40):
        page.keyboard.press("Tab")
        name, covered = page.evaluate(
            """() => {
                const one = document.activeElement;
                if (one === document.body) return [null, false];
                const { x, y, width, height } = one.getBoundingClientRect();
                const top = document.elementFromPoint(x + width / 2, y + height / 2);
                const label = one.getAttribute('aria-label') ?? one.labels?.[0]?.textContent;
                const seen = one === top || one.contains(top) || top?.contains(one);
                return [(label ?? one.textContent).trim(), !seen];
            }"""
        )
        if name is None or name in reached[:1]:
            break
        assert not covered, name
        reached.append(name)
    assert reached[0] == "To the page"
    assert "waiting" in reached[1]
    assert reached[2:4] == ["Back", "Text needed"]
    assert reached[-5:] == ["Save", "Outing", "Map", "Write", "Book"]


def test_to_the_page_leads_past_the_frame(seen: Seen) -> None:
    page = seen.open("index.html#/phone")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("() => document.activeElement.tagName") == "H1"
    assert page.url.endswith("#/phone")


def test_a_new_screen_takes_the_focus_and_the_title(seen: Seen) -> None:
    page = seen.open("index.html#/phone")
    page.get_by_role("link", name="Photograph this screen").click()
    expect(page.get_by_role("heading", level=1)).to_be_focused()
    assert page.title() == "Photograph this screen · Scouting notebook"
    page.get_by_role("button", name="Back").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("This phone")


@pytest.mark.parametrize("screen", SCREENS)
def test_a_screen_has_at_most_one_main_act(seen: Seen, screen: str) -> None:
    assert seen.open(SCREENS[screen]).locator(".act.main:visible").count() <= 1


def test_the_other_hand(seen: Seen) -> None:
    page = seen.open(SCREENS["parts"])
    right = page.get_by_label("Count: more").bounding_box()
    put_look(page, "day", hand="left")
    left = page.get_by_label("Count: more").bounding_box()
    places = page.locator(".bar a").all_inner_texts()
    put_look(page, "day", hand="right")
    assert right is not None
    assert left is not None
    assert right["x"] > PHONE["width"] / 2 > left["x"]
    assert [place.strip() for place in places] == ["Book", "Write", "Map", "Outing"]


def test_undo_is_offered_for_ten_seconds_and_while_it_is_held(browser: Browser, url: str) -> None:
    context = phone_context(browser)
    page = context.new_page()
    page.clock.install()
    page.goto(f"{url}gallery/index.html")
    page.get_by_role("button", name="Note").click()
    undo = page.get_by_role("status").get_by_role("button", name="Undo")
    page.clock.run_for(10_500)
    expect(undo).to_be_visible()
    undo.focus()
    page.clock.run_for(60_000)
    expect(undo).to_be_visible()
    undo.click()
    expect(page.get_by_role("status").get_by_text("Undone")).to_be_visible()
    page.mouse.move(5, 5)  # a finger that has been lifted holds nothing any more
    page.clock.run_for(13_000)
    expect(page.locator(".snack")).to_have_count(0)
    context.close()


def test_a_drop_of_water_taps_once(seen: Seen) -> None:
    page = seen.open("index.html#/phone")
    heard = page.evaluate(
        """async () => {
            const { heedTaps } = await import('/wet_screen.js');
            const box = document.createElement('button');
            const stop = heedTaps(box);
            const heard = [];
            box.addEventListener('click', (one) => heard.push([one.timeStamp, one.clientX]));
            const tap = (ms, x, detail = 1) => {
                const event = new MouseEvent('click', { detail, clientX: x });
                Object.defineProperty(event, 'timeStamp', { value: ms });
                box.dispatchEvent(event);
            };
            tap(100, 10); tap(100, 10); tap(130, 60); tap(145, 10); // the drips hold nothing up
            tap(150, 80); // another finger
            tap(155, 80, 0); tap(155, 80, 0); // keys
            tap(90, 80); tap(131, 80); // stamped before the last one
            stop();
            return heard;
        }"""
    )
    assert heard == [[100, 10], [145, 10], [150, 80], [155, 80], [155, 80], [90, 80], [131, 80]]
    # A tap on a label's words comes a second time, to its control.
    page.evaluate(
        "() => { document.body.innerHTML = '<label><input type=checkbox>the words</label>'; }"
    )
    page.get_by_text("the words").click(position={"x": 40, "y": 5})
    expect(page.get_by_role("checkbox")).to_be_checked()


def test_contrast_colours_and_motion_are_the_persons_own(browser: Browser, url: str) -> None:
    context = phone_context(
        browser, forced_colors="active", reduced_motion="reduce", contrast="more"
    )
    page = context.new_page()
    page.goto(f"{url}gallery/index.html")
    chosen = page.get_by_role("button", name="overcast")
    other = page.get_by_role("button", name="clear", exact=True)
    chosen.wait_for()
    grounds = [
        one.evaluate("one => getComputedStyle(one).backgroundColor") for one in (chosen, other)
    ]
    assert grounds[0] != grounds[1], "what is chosen must stand out where colours are forced"
    assert chosen.evaluate("one => getComputedStyle(one).transitionDuration") == "0s"
    assert other.evaluate("one => getComputedStyle(one).borderTopWidth") in ("1px", "2px", "3px")
    context.close()


def test_what_is_set_is_set_in_every_page_and_after_a_restart(browser: Browser, url: str) -> None:
    context = phone_context(browser)
    one, other = context.new_page(), context.new_page()
    for page in (one, other):
        page.goto(f"{url}index.html#/phone")
        page.get_by_role("heading", name="This phone").wait_for()
    one.get_by_role("button", name="night, red").click()
    one.get_by_role("button", name="4:35 pm").click()
    expect(other.get_by_role("button", name="night, red")).to_have_attribute("aria-pressed", "true")
    assert other.evaluate("() => document.documentElement.dataset.look") == "night"
    other.reload()
    expect(other.get_by_role("button", name="4:35 pm")).to_have_attribute("aria-pressed", "true")
    context.close()


def test_a_strip_says_what_it_shows(seen: Seen) -> None:
    strip = seen.open(SCREENS["parts"]).get_by_role("img", name="Clear sky")
    said = strip.get_attribute("aria-label") or ""
    # Lisbon is an hour ahead of UTC in May.
    assert "04:30 to 05:06 too dark" in said
    assert "05:52 to 06:24 sun on it, shutter not reached yet" in said
    assert "06:24 to 08:30 good" in said
    assert said.endswith("sun clears 05:52 ± 12 min")
    fills = strip.locator("rect:not(.strip-edge)").evaluate_all(
        "all => all.map((one) => one.getAttribute('fill'))"
    )
    assert len(set(fills)) == 4


def test_lists_come_by_fifty_and_are_searched_whole(seen: Seen) -> None:
    page = seen.open(SCREENS["parts"])
    rows = page.get_by_role("region", name="Perches").get_by_role("listitem")
    expect(rows).to_have_count(50)
    page.get_by_role("button", name="Show more").click()
    expect(rows).to_have_count(60)
    page.get_by_label("Search").fill("7 branch")  # each word anywhere: 7, 17, 27 … 57
    expect(rows).to_have_count(6)
    page.get_by_label("Search").fill("nothing like it")
    expect(page.get_by_text("Nothing found.")).to_be_visible()
