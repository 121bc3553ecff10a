"""Time the app's start from cold with the server dead and 10,000 records on the phone.

Run: python tests/bench/phone_start.py [chromium] [runs]. Prints what the app weighs as it goes
over the line; then, with the processor as it is and slowed down 4 and 6 times, the middle and the
longest time from the browser's navigation start, which a tap on the app's icon brings about, to the
frame in which a screen can be used: the list of perches, and the form of a note; and the ratio to
the peer: the same start with an empty notebook. Each start is a new process of the browser, whose
own start-up is waited out and not in the figures; the app's service worker, database and modules
are opened anew, from files that the system's disk cache may hold. The browser slows the page and
not the service worker or the disk, so the figures at 4 and 6 are those of the page.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

from playwright.sync_api import Page, Playwright, sync_playwright

from scout.installed import web_folder
from scout.server.shell import Shell
from scout.server.web import made_texts
from tests.server import served

RECORDS, PERCHES = 10_000, 2_000
SLOWED = (1, 4, 6)
STARTS = {"list of perches": "book/perch", "form of a note": "new/note"}
MOST_BYTES = 400_000

KEPT = """async () => {
  await navigator.serviceWorker.ready;
  while (!navigator.serviceWorker.controller) await new Promise((done) => setTimeout(done, 50));
}"""
# Records as a phone has them after years: saved here, and none of them waits for a drawing.
FILL = """async ([records, perches]) => {
  const { openNotebook } = await import('/notebook/notebook.js');
  const notebook = await openNotebook({ sync: false });
  const centre = { lat: 52.87, lon: -0.47, source: 'typed' };
  const set = { name: 'Wide', centre, zone: 'Europe/Lisbon' };
  const { ids: [site] } = await notebook.save([{ kind: 'site', set }]);
  const edits = Array.from({ length: records - 1 }, (_, n) => n < perches
    ? { kind: 'perch', set: { site, name: `Pin ${n}`, position: centre } }
    : { kind: 'note', set: { site, text: `Two at the dead branch, ${n}` } });
  for (let from = 0; from < edits.length; from += 500)
    await notebook.save(edits.slice(from, from + 500));
  notebook.close();
}"""
# Usable: the screen's own content stands, nothing of it is still being read, and it was painted.
# Watched and not looked for in every frame: a loop of frames would slow down what it times.
USABLE = """
  const watch = new MutationObserver(() => {
    const main = document.querySelector('main:not([aria-busy])');
    const whole = main?.querySelector('h1') && !document.querySelector('main [aria-busy=true]');
    if (!whole || !main.querySelector('.row, textarea, .empty, form')) return;
    watch.disconnect();
    requestAnimationFrame(() => setTimeout(() => performance.mark('usable')));
  });
  const attributeFilter = ['aria-busy'];
  watch.observe(document, { subtree: true, childList: true, attributes: true, attributeFilter });
"""
MARK = "() => performance.getEntriesByName('usable')[0]?.startTime"
# The browser's own start, with the pages of its frame, is over by then [ms].
BROWSER_STARTS_MS = 2000


def main() -> None:
    program = sys.argv[1] if len(sys.argv) > 1 else shutil.which("chromium")
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 11
    files = Shell(web_folder(), made_texts()).files().values()
    weight = sum(len(file.zipped or file.plain) for file in files)
    print(f"weight: {len(files)} files, {weight / 1000:.0f} kB compressed")
    print(f"        {weight / MOST_BYTES:.2f} of what is agreed ({MOST_BYTES / 1000:.0f} kB)")
    with tempfile.TemporaryDirectory() as place, sync_playwright() as started:
        folder = Path(place)
        phone = Phone(started, str(program), folder)
        phone.keep(folder / "notebook")
        for what, path in STARTS.items():
            for slower in SLOWED:
                full = [phone.start("full", path, slower) for _ in range(runs)]
                bare = [phone.start("empty", path, slower) for _ in range(runs)]
                report(f"{what}, {slower} x", full, bare)


class Phone:
    """Two phones of one make: `full` holds the records, `empty` none."""

    def __init__(self, started: Playwright, program: str, folder: Path) -> None:
        self._started = started
        self._program = program
        self._folder = folder
        self._address = ""

    @contextmanager
    def _page(self, name: str) -> Iterator[Page]:
        context = self._started.chromium.launch_persistent_context(
            self._folder / name,
            executable_path=self._program,
            viewport={"width": 390, "height": 844},
            has_touch=True,
        )
        yield context.pages[0]
        context.close()

    def keep(self, notebook: Path) -> None:
        """Open the app once on both phones; then the server is dead for good."""
        process, self._address = served.start(notebook)
        try:
            for name in ("full", "empty"):
                with self._page(name) as page:
                    page.goto(f"{self._address}/index.html#/phone")
                    page.locator("main h1").wait_for()
                    page.evaluate(KEPT)
                    if name == "full":
                        page.evaluate(FILL, [RECORDS, PERCHES])
        finally:
            served.kill(process)

    def start(self, name: str, path: str, slower: int) -> float:
        """Start the app in a new browser; answers the time until it is usable [ms]."""
        with self._page(name) as page:
            page.add_init_script(USABLE)
            session = page.context.new_cdp_session(page)
            page.wait_for_timeout(BROWSER_STARTS_MS)
            session.send("Emulation.setCPUThrottlingRate", {"rate": slower})
            page.goto(f"{self._address}/#/{path}", wait_until="commit")
            found: Any = page.wait_for_function(MARK, polling=100).json_value()
            return float(found)


def report(what: str, found: list[float], peer: list[float]) -> None:
    middle, longest = statistics.median(found), max(found)
    ratio = middle / statistics.median(peer)
    print(
        f"{what:22} middle {middle:5.0f} ms, longest {longest:5.0f} ms,"
        f" {ratio:4.2f} x an empty notebook",
        flush=True,
    )


if __name__ == "__main__":
    main()
