"""Taps as the browser's own event timing has them, against those on a page of one bare button."""

from __future__ import annotations

import datetime as dt
import shutil
import statistics
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

from scout.notebook.notebook import Notebook, open_notebook

SLOWER = 4
HEAR = """() => {
    globalThis.heard = [];
    new PerformanceObserver((list) => {
        for (const one of list.getEntries())
            if (one.interactionId) globalThis.heard.push(one.duration);
    }).observe({ type: 'event', durationThreshold: 16, buffered: false });
}"""
BARE = """() => {
    document.body.innerHTML = '<button id=bare style="width:100px;height:100px">0</button>';
    const bare = document.getElementById('bare');
    bare.onclick = () => { bare.textContent = Number(bare.textContent) + 1; };
}"""


@contextmanager
def begun() -> Iterator[tuple[Notebook, Browser]]:
    """Begin a new notebook and the browser that was named at the terminal, or the system's own."""
    program = sys.argv[1] if len(sys.argv) > 1 else shutil.which("chromium")
    with (
        tempfile.TemporaryDirectory() as folder,
        open_notebook(Path(folder) / "n", lambda: dt.datetime.now(dt.UTC), create=True) as held,
        sync_playwright() as started,
        started.chromium.launch(executable_path=program) as browser,
    ):
        yield held, browser


@contextmanager
def slowed(page: Page) -> Iterator[None]:
    """Slow the processor down while a page is used."""
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    yield
    session.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    session.detach()


def heard(page: Page, act: Callable[[], Any]) -> list[float]:
    """Do something under a slowed processor; answers the time of every interaction [ms]."""
    page.evaluate(HEAR)
    with slowed(page):
        act()
        page.wait_for_timeout(300)
    found: list[float] = page.evaluate("globalThis.heard")
    return found or [16.0]  # the browser tells of nothing shorter


def report(what: str, found: list[float], bare: list[float]) -> None:
    middle, longest = statistics.median(found), max(found)
    ratio = middle / statistics.median(bare)
    print(
        f"{what:20} middle {middle:4.0f} ms, longest {longest:4.0f} ms, {ratio:4.1f} x a bare tap",
        flush=True,
    )
