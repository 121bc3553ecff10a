"""Photograph the app with the sample site for the README: a script, not a test.

    .venv/bin/python tests/picture_app.py

Needs Chromium. Writes .pictures/app_day.png and .pictures/app_night.png.
"""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).parents[1]))

from PIL import Image
from playwright.sync_api import sync_playwright

from tests.web.every_screen import Stocked, stocked
from tests.web.shell_page import put_look

DAY: Final = "2026-05-12"
PICTURES: Final = Path(__file__).resolve().parent.parent / ".pictures"
GAP_PX: Final = 24
READY_MS: Final = 120_000
_SETTLED = """() => document.querySelector('[aria-busy=true]') === null
  && !/working it out|being fetched/.test(document.body.innerText)"""

Act = Callable[[Stocked], None]


def main() -> int:
    """Open the app on a phone's screen and put its screens beside each other."""
    chromium = shutil.which("chromium")
    if chromium is None:
        print("This needs Chromium; install it first.", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as started:
        browser = started.chromium.launch(executable_path=chromium)
        with stocked(browser, Path(folder), settled=True) as one:
            card = f"card/{one.ids['site']}/{DAY}/dawn"
            day = {card: nothing, "map": light, "write": nothing, "visiting": begin}
            night = {card: fold, "map": nothing, "visiting": nothing}
            for look, screens in (("day", day), ("night", night)):
                beside(one, look, screens).save(PICTURES / f"app_{look}.png", optimize=True)
        browser.close()
    return 0


def beside(one: Stocked, look: str, screens: Mapping[str, Act]) -> Image.Image:
    put_look(one.page, look)
    shots = []
    for path, act in screens.items():
        one.go(path)
        one.page.wait_for_function(_SETTLED, timeout=READY_MS)
        act(one)
        quiet(one)
        one.page.wait_for_timeout(800)
        with Image.open(io.BytesIO(one.page.screenshot())) as shot:
            shots.append(shot.convert("RGB"))
    wide = sum(shot.width for shot in shots) + GAP_PX * (len(shots) - 1)
    picture = Image.new("RGB", (wide, shots[0].height), (128, 128, 128))
    at = 0
    for shot in shots:
        picture.paste(shot, (at, 0))
        at += shot.width + GAP_PX
    return picture.quantize(16)


def nothing(one: Stocked) -> None:
    """Leave a screen as it opens."""


def light(one: Stocked) -> None:
    one.button("Light now").click()
    one.page.wait_for_timeout(3000)


def begin(one: Stocked) -> None:
    one.page.get_by_role("button", name="Pump house").click()
    one.button("Start the visit").click()
    one.page.get_by_role("button", name="Here now").first.wait_for()


def fold(one: Stocked) -> None:
    one.page.locator(".line").first.evaluate("one => one.scrollIntoView({ block: 'start' })")


def quiet(one: Stocked) -> None:
    if one.button("Good").is_visible():
        one.button("Good").click()


if __name__ == "__main__":
    sys.exit(main())
