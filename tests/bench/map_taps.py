"""Time taps on the map with 2,000 pins and 400 sightlines, the processor slowed down four times.

Run: python tests/bench/map_taps.py [chromium]. Prints, for each kind of tap, the longest and the
middle time from the finger to the next picture as the browser's own event timing has it, and the
ratio to the peer: the same taps on a page with one bare button, in the same browser.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

from playwright.sync_api import Page

from tests.bench.taps import BARE, begun, heard, report
from tests.web.map_page import LAT, LON, MapPage
from tests.web.phone_page import PhonePage
from tests.web.small_server import SmallServer

PINS, LINES, ROUNDS = 2000, 400, 12

MANY = """const { newId } = await import('/notebook/ids.js');
const site = newId(Date.now());
const edits = [{ kind: 'site', record: site,
    set: { name: 'Wide', centre: given.centre, zone: 'Europe/Lisbon' } }];
const ids = [];
for (let n = 0; n < given.pins; n++) {
    const [x, y] = [(n * 7919) % 1000, (n * 104729) % 1000];
    const position = { lat: given.centre.lat + (y - 500) * 1.2e-5,
        lon: given.centre.lon + (x - 500) * 1.2e-5, source: 'typed', accuracy_m: 4 };
    const record = newId(Date.now());
    ids.push(record);
    edits.push({ kind: n % 3 ? 'perch' : 'vantage', record,
        set: { site, name: `Pin ${n}`, position } });
}
for (let n = 0; n < given.lines; n++)
    edits.push({ kind: 'sightline', set: { vantage: ids[n * 3], perch: ids[n * 3 + 1] } });
for (let from = 0; from < edits.length; from += 500)
    await notebook.save(edits.slice(from, from + 500));
"""
NEAREST = """() => {
    const ground = document.querySelector('.map-ground').getBoundingClientRect();
    const middle = [ground.width / 2, ground.height / 2];
    const far = ([x, y]) => Math.hypot(x - middle[0], y - middle[1]);
    return [...document.querySelectorAll('.mark')].map((mark) => {
        const box = mark.getBoundingClientRect();
        return [box.x + 24, box.y + 24];
    }).sort((one, other) => far(one) - far(other))[0];
}"""


def main() -> None:
    with begun() as (held, browser):
        server = SmallServer(held)
        context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
        peer = context.new_page()
        peer.goto(server.url + "blank.html")
        peer.evaluate(BARE)
        bare = timed(peer, lambda: peer.locator("#bare").tap())
        phone = PhonePage(context.new_page(), server.url).open()
        centre = {"lat": LAT, "lon": LON, "source": "typed"}
        phone.run(MANY, {"centre": centre, "pins": PINS, "lines": LINES})
        page = MapPage(phone).show()
        page.page.locator(".mark").first.wait_for()
        print(f"marks drawn of {PINS} pins, whole site: {page.page.locator('.mark').count()}")
        report("bare button", bare, bare)
        report("touch a mark", timed(page.page, lambda: touch(page)), bare)
        close(page)
        report("nearer, wider", timed(page.page, lambda: zoom(page)), bare)
        for _ in range(3):
            page.button("Nearer").tap()
        report("touch a mark, near", timed(page.page, lambda: touch(page)), bare)
        close(page)
        page.page.locator(".map-ground").focus()
        report("arrow key", timed(page.page, lambda: page.page.keyboard.press("ArrowLeft")), bare)
        server.close()


def touch(page: MapPage) -> None:
    close(page)
    x, y = page.page.evaluate(NEAREST)
    page.page.touchscreen.tap(x, y)
    page.page.locator(".map-sheet").wait_for()
    page.page.wait_for_timeout(150)


def close(page: MapPage) -> None:
    if page.button("Close").count():
        page.button("Close").tap()


def zoom(page: MapPage) -> None:
    page.button("Nearer").tap()
    page.button("Wider").tap()


def timed(page: Page, act: Any) -> list[float]:
    """Do something many times; answers every interaction's time [ms]."""

    def often() -> None:
        for _ in range(ROUNDS):
            act()
            page.wait_for_timeout(120)

    return heard(page, often)


if __name__ == "__main__":
    main()
