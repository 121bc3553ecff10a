"""The engine in the phone's browser: its start, a card of twenty sightlines, a card ranked anew.

Run: python tests/bench/phone_engine.py [--morning MINUTES] [chromium]. The peer is the same card
under CPython in this process. The goals: the card within 500 ms in the worker after its start;
ranked anew within 1 s of the tap with the processor slowed down four times (the browser slows the
page, not its workers, so the worker's part is counted four times). With --morning a person's
morning is played, a minute a round (table, card, taps, reasons, light, kit, map, a note written),
and the heap after it is printed, that of the page with its nodes and listeners.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

from playwright.sync_api import CDPSession, sync_playwright

from scout.engine.calls import call_text
from scout.notebook.notebook import open_notebook
from tests.bench.card import twenty
from tests.web.engine_page import EnginePage, engine_page, load_sample

RUNS, SLOWER = 9, 4
GOAL_CARD_MS, GOAL_RANK_MS = 500.0, 1000.0

BOOT = """async () => {
    const { Engine } = await import('/engine/engine.js');
    const one = new Engine({ server: false });
    const before = performance.now();
    await one.wake();
    const spent = performance.now() - before;
    one.close();
    return [spent, one.state.phase];
}"""
CARD = """async ([text, runs]) => {
    const here = (await import('/engine/engine.js')).engine();
    const spent = [];
    for (let run = 0; run < runs; run += 1) {
        const before = performance.now();
        await here.messenger.call('outing_card', text);
        spent.push(performance.now() - before);
    }
    return spent;
}"""
# A tap on a chip, and how long until the card says it was worked out for it.
RANKED = """async (label) => {
    const chip = [...document.querySelectorAll('.expected .chip')].find(
        (one) => one.textContent === label);
    const before = performance.now();
    const told = () => document.querySelector('.age').textContent;
    const asked = () => document.querySelector('.expected-row').textContent.includes(label);
    chip.click();
    while (!asked() || told().includes('working') || !told().includes('this phone just now'))
        await new Promise((done) => requestAnimationFrame(done));
    return performance.now() - before;
}"""


def say(what: str, spent: list[float], goal_ms: float | None = None) -> None:
    goal = "" if goal_ms is None else f"   goal {goal_ms:.0f} ms"
    print(f"{what:<44} median {statistics.median(spent):7.0f} ms   most {max(spent):7.0f}{goal}")


def ranked(page: EnginePage, cdp: CDPSession, in_worker_ms: float) -> list[float]:
    page.go("choice")
    page.page.locator(".choice td a").nth(1).click()
    page.page.locator(".verdict").wait_for()
    page.page.wait_for_timeout(1500)
    cdp.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    spent = []
    for label in ("overcast", "in and out", "clear"):
        page.page.locator(".expected-row button").nth(1).click()
        spent.append(page.page.evaluate(RANKED, label) + (SLOWER - 1) * in_worker_ms)
    cdp.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    return spent


def heap(page: EnginePage, cdp: CDPSession) -> dict[str, float]:
    cdp.send("HeapProfiler.collectGarbage")
    used = cdp.send("Runtime.getHeapUsage")["usedSize"] / 1e6
    counted = cdp.send("Memory.getDOMCounters")
    return {"MB": used, "nodes": counted["nodes"], "listeners": counted["jsEventListeners"]}


def one_round(page: EnginePage, number: int) -> None:
    page.go("choice")
    page.page.locator(".choice td a").nth(number % 8).click()
    page.page.locator(".line-head").first.wait_for()
    page.page.wait_for_timeout(60)
    page.page.locator(".line-head").first.click()
    page.page.wait_for_timeout(60)
    page.button("Why this one").click()
    page.page.wait_for_timeout(60)  # two taps within 40 ms are a drop of water
    sky = ("overcast", "clear", "in and out")[number % 3]
    page.page.locator(".expected-row button").nth(1).click()
    page.page.wait_for_timeout(60)
    page.page.locator(".expected").get_by_role("button", name=sky, exact=True).click()
    page.page.wait_for_timeout(400)
    for path in ("light", "kit", "ready", "map", "book", "book/visit"):
        page.go(path)
        page.page.wait_for_timeout(150)
    page.go("new/note")
    page.page.get_by_label("Text").fill(f"Round {number}")
    page.button("Save").click()
    page.page.wait_for_url(lambda url: "new/note" not in url)


def morning(page: EnginePage, cdp: CDPSession, minutes: int) -> None:
    print(f"\n{'after round':>12} {'page MB':>9} {'nodes':>7} {'listeners':>10} {'answers':>9}")
    for number in range(1, minutes + 1):
        one_round(page, number)
        if number in (1, 5) or number % 10 == 0:
            now = heap(page, cdp)
            kept = page.run("return (await import('/engine/engine.js')).engine().answers.count()")
            print(
                f"{number:>12} {now['MB']:>9.1f} {now['nodes']:>7.0f} {now['listeners']:>10.0f}"
                f" {kept:>9}"
            )


def main() -> None:
    told = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    told.add_argument("--morning", type=int, default=0, metavar="MINUTES")
    told.add_argument("chromium", nargs="?", default=shutil.which("chromium"))
    given = told.parse_args()
    text = json.dumps(twenty())
    with (
        tempfile.TemporaryDirectory() as folder,
        open_notebook(Path(folder) / "n", lambda: dt.datetime.now(dt.UTC), create=True) as held,
        sync_playwright() as started,
    ):
        load_sample(held)
        browser = started.chromium.launch(executable_path=given.chromium)
        with engine_page(browser, held) as page:
            page.open("sync").synced().started()
            cdp = page.context.new_cdp_session(page.page)
            boots = [boot(page) for _ in range(3)]
            say("start, files on the phone", boots)
            here = page.page.evaluate(CARD, [text, RUNS])
            print(f"{'first card of 20 sightlines':<44} {here[0]:14.0f} ms")
            say("card of 20 sightlines, in the worker", here[1:], GOAL_CARD_MS)
            peer = []
            for _ in range(RUNS):
                before = time.perf_counter()
                call_text("outing_card", text)
                peer.append((time.perf_counter() - before) * 1000)
            say("the same under CPython", peer[1:])
            ratio = statistics.median(here[1:]) / statistics.median(peer[1:])
            print(f"{'worker / CPython':<44} {ratio:14.1f}")
            one: Any = page.page.evaluate(CARD, [text, 1])
            say(
                f"ranked anew, {SLOWER} times slower",
                ranked(page, cdp, one[0] / 20 * 6),
                GOAL_RANK_MS,
            )
            if given.morning:
                morning(page, cdp, given.morning)
        browser.close()


def boot(page: EnginePage) -> float:
    spent, phase = page.page.evaluate(BOOT)
    assert phase == "ready", phase
    return float(spent)


if __name__ == "__main__":
    main()
