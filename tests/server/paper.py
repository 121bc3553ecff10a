"""The paper page of each case, made and read, for the tests of what stands on it."""

from __future__ import annotations

from xml.etree import ElementTree as Tree

from scout.server.paper import paper_page

from .pages import ASKED, MADE, card_and_map

SVG = "{http://www.w3.org/2000/svg}"
PAPERS = ("A4", "A5")
CASES = (*ASKED, "crowded")
OPEN_CASES = [name for name in CASES if not name.startswith("secret")]


def page(name: str, paper: str = "A4") -> str:
    return paper_page(*card_and_map(name), MADE, paper)


def parsed(text: str) -> Tree.Element:
    """Read a page as XML: stricter than any browser reads it."""
    head, body = text.split("\n", 1)
    assert head == "<!DOCTYPE html>"
    return Tree.fromstring(body)


def words(tree: Tree.Element) -> str:
    """Return the words of a page, as a person would read them."""
    return " ".join(" ".join(tree.itertext()).replace("\u00a0", " ").split())
