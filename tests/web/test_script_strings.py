"""Words that would be script if they were taken for markup stay words on every screen."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, Final

import pytest
from playwright.sync_api import Browser, expect

from scout.installed import web_folder
from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit
from scout.records.schema import describe
from scout.server.shell import Shell
from scout.server.web import made_texts

from .every_screen import Stocked, addresses, faults_of, on_phone, patterns, stocked

# One of each make (tags, handlers, addresses, broken quotes, templates, entities), after OWASP's
# "XSS Filter Evasion Cheat Sheet"; from memory.
STRINGS: Final = (
    "<script>alert('one')</script>",
    "<img src=x onerror=alert('two')>",
    "\"><svg onload=alert('three')>",
    "javascript:alert('four')",
    "<iframe srcdoc=\"<script>parent.alert('five')</script>\"></iframe>",
    "';alert(String.fromCharCode(88,83,83))//",
    "</title><script>alert('seven')</script>",
    "<a href=\"javascript:alert('eight')\">look</a>",
    "${alert('nine')}{{constructor.constructor('alert(9)')()}}",
    "&lt;script&gt;alert('ten')&lt;/script&gt;",
    "<b onmouseover=alert('eleven')>",
)
SHORTEST: Final = "<b>"
# Elements that only a string could have brought in.
_BROUGHT_IN: Final = """() => [...document.querySelectorAll(
  'main iframe, main script, main style, main math, main b[onmouseover], main [onerror], '
  + 'main [onload], main a[href^="javascript:"], main img[src="x"]')].map((one) => one.outerHTML)"""


@pytest.fixture(scope="module")
def one(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stocked]:
    with stocked(browser, tmp_path_factory.mktemp("strings"), spoil) as phone:
        yield phone


def spoil(notebook: Notebook) -> None:
    """Put a script-like string into every register of the notebook that takes text."""
    kinds = describe()["kinds"]
    told = 0
    for kind, held in notebook.contents().raw.items():
        texts = [field for field in kinds[kind] if field["kind"] == "text"]
        lists = [field for field in kinds[kind] if field["kind"] == "list"]
        for record, values in list(held.items())[:40]:
            words: dict[str, object] = {}
            for field in texts:
                if field["name"] != "zone":
                    told += 1
                    words[field["name"]] = string(told, field["longest"])
            for field in lists:
                told += 1
                if (entries := spoilt_entries(field, values, string(told, 60))) is not None:
                    words[field["name"]] = entries
            if words:
                notebook.save([Edit(kind=kind, record=record, set=words)])


def spoilt_entries(
    field: Mapping[str, Any], values: Mapping[str, Any], text: str
) -> list[dict[str, object]] | None:
    """Answer a list of groups with their texts spoilt; None where it has none."""
    parts = [part["name"] for part in field["item"].get("fields", ()) if part["kind"] == "text"]
    entries = values.get(field["name"])
    if not parts or not entries:
        return None
    return [{**entry, **dict.fromkeys(parts, text)} for entry in entries]


def string(at: int, longest: int) -> str:
    fitting = [text for text in STRINGS if len(text) <= longest]
    return fitting[at % len(fitting)] if fitting else SHORTEST


def test_every_register_that_takes_text_was_spoilt(one: Stocked) -> None:
    one.go(f"perch/{one.ids['perch']}")
    shown = one.text()
    assert sum(text in shown for text in STRINGS) >= 2
    for kind in ("site", "species", "kit", "visit", "note", "permission", "photo"):
        one.go(f"{kind}/{one.ids[kind]}")
        assert any(text in one.text() for text in STRINGS), kind
    assert faults_of(one) == []


@pytest.mark.parametrize("pattern", patterns())
def test_on_every_screen_they_are_words(one: Stocked, pattern: str) -> None:
    for path in addresses(pattern, one.ids):
        opened(one, path)


def opened(one: Stocked, path: str) -> None:
    one.go(path)
    one.page.wait_for_function("() => document.querySelector('[aria-busy=true]') === null")
    one.page.wait_for_timeout(100)  # a handler of a picture that is not there runs late
    assert one.page.evaluate(_BROUGHT_IN) == [], path
    assert faults_of(one) == [], path
    expect(one.page.get_by_role("heading", level=1)).not_to_have_text("This page failed")


def test_what_only_the_phone_holds_is_words_too(one: Stocked) -> None:
    """Here nobody has judged the values: zones, choices and registers may be anything."""
    made: list[str] = on_phone(
        one,
        """const [one] = given;
        const centre = { lat: 52.87, lon: -0.47, source: one };
        const start = { at: '2026-05-12T04:30:00Z', source: one, zone: one };
        const { ids: [site] } = await notebook.save([
            { kind: 'site', set: { name: one, zone: one, centre, future: one } }]);
        const { ids: [perch] } = await notebook.save([
            { kind: 'perch', set: { site, name: one, kind: one, position: centre, tall: [one] } }]);
        const { ids: [visit] } = await notebook.save([
            { kind: 'visit', set: { site, start, sky: one, by: { [one]: one } } }]);
        return [site, perch, visit];""",
        [STRINGS[1]],
    )
    for kind, record in zip(("site", "perch", "visit"), made, strict=True):
        for path in (f"{kind}/{record}", f"edit/{kind}/{record}", f"history/{record}"):
            opened(one, path)
    for path in ("map", "visits", "book/site", "outing"):
        opened(one, path)
    one.synced()
    for path in ("parked", "sync", "conflicts"):
        opened(one, path)


def test_nothing_writes_markup_from_text() -> None:
    """All that is shown goes through text nodes: no file of ours names a way around them."""
    around = re.compile(
        r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|dangerouslySet|setHTMLUnsafe"
        r"|createContextualFragment|DOMParser|\beval\(|new Function"
    )
    found = [
        f"{name}: {said}"
        for name, file in Shell(web_folder(), made_texts()).files().items()
        if name.endswith((".js", ".html", ".svg")) and not name.startswith("vendor/")
        for said in around.findall(file.plain.decode())
    ]
    assert found == []
