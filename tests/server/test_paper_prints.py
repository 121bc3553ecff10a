"""The paper page printed by a real browser: one side of A4, one sheet of A5, nothing cut off."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from scout.server.paper import paper_page

from .pages import ASKED, MADE, Record, card_and_map, every_text

SIDES = {"A4": 1, "A5": 2}
POINTS = {"A4": (595, 842), "A5": (420, 595)}  # ISO 216 in points of 1/72 inch
LONG = "Leaning willow at the lower weir, " * 15


def cards(name: str) -> tuple[Record, Record | None]:
    """Return a case's card and map; "long" has every text 500 letters long."""
    if name == "long":
        card, land = card_and_map("crowded")
        return every_text(card, LONG), every_text(land, LONG)
    return card_and_map(name)


@pytest.mark.parametrize("paper", ["A4", "A5"])
@pytest.mark.parametrize("name", [*ASKED, "crowded", "long"])
def test_prints_on_one_sheet(
    name: str, paper: str, browser: Browser, pdftotext: Path, tmp_path: Path
) -> None:
    card, land = cards(name)
    file = tmp_path / "page.html"
    file.write_text(paper_page(card, land, MADE, paper), "utf-8")
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    page.emulate_media(media="print")
    # Nothing wider than the sheet: a browser would shrink the whole page to make it fit.
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    wide = page.evaluate(
        "[...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right >"
        " document.body.getBoundingClientRect().right + 1).map(e => e.outerHTML.slice(0, 80))"
    )
    assert [one for one in wide if "<svg" in one or "<p" in one or "<li" in one] == []
    printed = tmp_path / "page.pdf"
    page.pdf(path=str(printed), prefer_css_page_size=True)
    page.close()
    assert asked == [file.as_uri()]
    told = subprocess.run(
        [pdftotext.with_name("pdfinfo"), printed], capture_output=True, encoding="utf-8", check=True
    ).stdout
    assert int(re.search(r"Pages:\s+(\d+)", told)[1]) == SIDES[paper]  # type: ignore[index]
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", told)
    assert size is not None
    assert (float(size[1]), float(size[2])) == pytest.approx(POINTS[paper], abs=1.0)
    text = subprocess.run(
        [pdftotext, "-layout", printed, "-"], capture_output=True, encoding="utf-8", check=True
    ).stdout
    assert "Made 24 Nov 2026" in text
    for entry in card["timeline"]:
        assert entry["at"]["clock"] in text


@pytest.mark.parametrize("name", ["may", "winter", "dusk", "grey", "crowded"])
def test_letters_on_the_map_do_not_cover_each_other(name: str, browser: Browser) -> None:
    card, land = card_and_map(name)
    page = browser.new_page()
    page.set_content(paper_page(card, land, MADE))
    boxes = page.evaluate(
        "[...document.querySelectorAll('svg[aria-label^=Sketch] text')]"
        ".filter(e => !e.getAttribute('transform'))"
        ".map(e => {const r = e.getBoundingClientRect();"
        " return [e.textContent, r.left, r.top, r.right, r.bottom]})"
    )
    page.close()
    for place, (one, left, top, right, bottom) in enumerate(boxes):
        for other, left2, top2, right2, bottom2 in boxes[place + 1 :]:
            wide = min(right, right2) - max(left, left2)
            high = min(bottom, bottom2) - max(top, top2)
            # Line boxes are taller than letters: 5 px of shared height is air.
            assert not (wide > 2 and high > 5), (one, other)
