"""A card written as one page for printing, whole or not at all.

A sensitive place stands on paper by its code name alone, whatever the terminal shows. Not for: how
the page looks (`scout.server.paper`).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import attrs

from scout.commands.asking import answered
from scout.commands.to_file import target_of, written
from scout.commands.typed import now
from scout.records.places import SENSITIVITY
from scout.server.paper import paper_name, paper_page

SIZES = ("A4", "A5")
_FOR_ALL = 0o666  # a page may be read like any other file
_OPEN = SENSITIVITY[0]


@attrs.frozen
class PaperPage:
    """A page, and the name of its file: without any secret in it."""

    html: str
    name: str


def page_of(request: dict[str, Any], options: dict[str, str], size: str = SIZES[0]) -> PaperPage:
    """Make the page from a card's request, for one of SIZES."""
    discreet = {**request, "discreet": True}
    card = answered("outing_card", discreet, options).read
    site_map = answered("site_map", discreet, options).read
    made = now().astimezone(ZoneInfo(card["title"]["zone"]))
    words = f"{made:%a} {made.day} {made:%b} {made.year}, {made:%H:%M}"
    return PaperPage(paper_page(card, site_map, words, size), paper_name(card))


def why_nothing_is_named(request: dict[str, Any]) -> str | None:
    """Say which record makes the page of a card's request name nothing, or None where it names all.

    A request asked for discreetly is told the kinds of the records alone.
    """
    marked = [
        (kind, record["name"], mark)
        for kind, records, field in (
            ("site", [request["site"]], "sensitivity"),
            ("animal", [request["species"]], "places"),
            ("perch", request["perches"], "sensitivity"),
            ("vantage", request["vantages"], "sensitivity"),
        )
        for record in records
        if (mark := record.get(field)) not in (None, _OPEN)
    ]
    if not marked:
        return None
    kind, name, mark = marked[0]
    which = f"the {kind}" if request.get("discreet") else f"the {kind} {name}"
    others = len(marked) - 1
    more = f", and so {'is' if others == 1 else 'are'} {others} more" if others else ""
    field = "places" if kind == "animal" else "sensitivity"
    return (
        f"The page names no place and no animal and has no map, for {which} is marked "
        f'"{mark}" ({field}){more}.'
    )


def written_to(file: Path, html: str, option: str) -> str:
    """Write a page, and answer the sentence that says where it is."""
    written(target_of(file, ".html", option), html.encode(), option, mode=_FOR_ALL)
    return f"Page for printing: {file.resolve()}"
