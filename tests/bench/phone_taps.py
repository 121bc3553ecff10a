"""Time taps in the app with 10,000 records, the processor slowed down 4 times; weigh its heap.

Run: python tests/bench/phone_taps.py [chromium]. Prints the time from the finger on Save to the
words "Saved on this phone" on the screen, which come after the record is durable, of a note typed
as fast as a thumb types; the middle and the longest interaction of a session of 60 taps through the
four places, each a reaction's time after what is tapped has come, as the browser's own event timing
has it; the ratio of each to the peer, a bare button's tap in the same browser; and the heap of the
page with 50,000 records after all that.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))


from playwright.sync_api import Locator

from tests.bench.phone_start import FILL
from tests.bench.taps import BARE, begun, heard, report, slowed
from tests.web.app_page import AppPage, phone_context, served

RECORDS, PERCHES, MANY, SAVES = 10_000, 2_000, 50_000, 11
# A quick thumb: a key, and the way from the last key to Save. A Save asked for sooner would wait
# for what the form itself reads as it opens, which no hand is fast enough to see.
KEY_MS, REACH_MS = 60, 200
SEEN_MS = 250  # what has come is seen before it is tapped: a simple reaction's time, from memory
MOST_HEAP = 80_000_000

# From the finger to the frame in which the words stand.
SAVED = """() => {
    globalThis.saved = [];
    let from = 0;
    addEventListener('pointerdown', (event) => (from = event.timeStamp), true);
    new MutationObserver(() => {
        const said = document.querySelector('.snack span')?.textContent ?? '';
        if (from === 0 || !said.startsWith('Saved on this phone')) return;
        const since = from;
        from = 0;
        requestAnimationFrame(() => setTimeout(() => saved.push(performance.now() - since)));
    }).observe(document.querySelector('.snackbar'), { childList: true, subtree: true });
}"""


def main() -> None:
    with begun() as (held, browser), served(held) as url:
        context = phone_context(browser)
        peer = context.new_page()
        peer.goto(f"{url}manifest.webmanifest")
        peer.evaluate(BARE)
        bare = heard(peer, lambda: [peer.locator("#bare").tap() for _ in range(12)])
        app = AppPage(context, url).open("phone")
        context.route("**/api/**", lambda route: route.abort())  # far from home
        app.page.evaluate(FILL, [RECORDS, PERCHES])
        app.page.reload()
        app.page.locator("main h1").wait_for()
        report("a bare button", bare, bare)
        report("Save to words on it", saves(app), bare)
        report("60 taps", heard(app.page, lambda: sixty(app)), bare)
        app.page.evaluate(FILL, [MANY - RECORDS, PERCHES])
        for path in ("book/perch", "book/note", "map", "book"):
            app.go(path)
            app.page.wait_for_timeout(500)
        session = context.new_cdp_session(app.page)
        session.send("HeapProfiler.enable")
        session.send("HeapProfiler.collectGarbage")
        used = session.send("Runtime.getHeapUsage")["usedSize"]
        print(f"heap with {MANY} records: {used / 1e6:.0f} MB, {used / MOST_HEAP:.2f} of 80 MB")


def saves(app: AppPage) -> list[float]:
    app.page.evaluate(SAVED)
    with slowed(app.page):
        for at in range(SAVES):
            app.go("new/note")
            text = app.page.get_by_label("Text")
            text.press_sequentially(f"Two at the dead branch, {at}", delay=KEY_MS)
            app.page.wait_for_timeout(REACH_MS)
            app.button("Save").tap()
            app.page.wait_for_function("count => saved.length === count", arg=at + 1)
    found: list[float] = app.page.evaluate("saved")
    return found


def sixty(app: AppPage) -> None:
    """Tap as a person would: places, lists, rows, forms, chips, Save, Undo; 12 taps, five times."""
    page = app.page
    bar = page.get_by_role("navigation", name="Places")

    def tap(what: Locator) -> None:
        what.wait_for()
        page.wait_for_timeout(SEEN_MS)
        what.tap()

    for at in range(5):
        for place in ("Map", "Outing", "Write", "Book"):
            tap(bar.get_by_role("link", name=place))
            page.locator("main:not([aria-busy]) h1").wait_for()
        tap(page.get_by_role("link", name="Perches"))
        tap(page.locator(".listed .row").nth(at))
        tap(page.get_by_role("link", name="Change", exact=True))
        tap(page.get_by_role("button", name="More to say"))
        kind = ("post", "rock", "run", "branch", "ground")[at]
        tap(page.get_by_role("button", name=kind, exact=True))
        tap(app.button("Save"))
        tap(page.get_by_role("button", name="Undo"))
        tap(app.button("Back"))


if __name__ == "__main__":
    main()
