"""What a style sheet may style, read from the files: sheets of areas come in any order and stay."""

from __future__ import annotations

import re

from scout.installed import web_folder

SHARED = {"look.css", "parts.css", "fields.css"}  # of every page, in this order
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_RULE = re.compile(r"([^{}]+)\{")
_CLASS = re.compile(r"\.([A-Za-z][\w-]*)")
_COMMA = re.compile(r",(?![^(]*\))")


def selectors() -> dict[str, list[str]]:
    """Answer every selector by the name of its sheet."""
    web = web_folder()
    sheets = [path for path in web.rglob("*.css") if "vendor" not in path.parts]
    return {
        path.name: [
            one.strip()
            for rule in _RULE.findall(_COMMENT.sub("", path.read_text("utf-8")))
            if not rule.strip().startswith("@")
            for one in _COMMA.split(rule)
        ]
        for path in sheets
    }


def test_a_sheet_of_one_area_reaches_into_no_other() -> None:
    """Each of its selectors names a class that no other sheet knows; the rest is every page's."""
    sheets = selectors()
    assert set(sheets) > SHARED
    named = {name: set(_CLASS.findall(" ".join(said))) for name, said in sheets.items()}
    leaking = []
    for name in sheets.keys() - SHARED:
        others = set().union(*(named[other] for other in sheets if other != name))
        for selector in sheets[name]:
            is_page = selector.startswith("html")  # where the map's colours are kept
            if not is_page and not set(_CLASS.findall(selector)) - others:
                leaking.append(f"{name}: {selector}")
    assert leaking == []
