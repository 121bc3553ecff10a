"""The first thing to run: the invented sample site, its choice table, tomorrow's card, a page.

Not for: one's own records (the other commands).
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from scout.commands.asking import Answered, answered
from scout.commands.choose import MEANING, UNTYPED, choice_of
from scout.commands.opened import is_folder, opened
from scout.commands.options import day_option, examples
from scout.commands.paper import page_of, written_to
from scout.commands.refusal import Refusal
from scout.commands.serve import serve_sample
from scout.commands.typed import day_typed
from scout.installed import sample_site_folder
from scout.notebook.asking import card_request, noted_most
from scout.terminal.card import print_card
from scout.terminal.choice import print_choice
from scout.terminal.page import Page

_DAYS = 3
_SKIES = ("in and out", "clear", "overcast")
_WHICH = "Below: the best dawn's card; a sensitive place or animal is never suggested."
_ASKED_AS = {"date": "--on", "first": "--on"}


@click.command(epilog=examples("scout demo", "scout demo --on 2026-05-12 --out ."))
@click.option(
    "--out",
    default=".",
    metavar="DIR",
    help="Where the page for printing goes; this folder where left out.",
)
@day_option()
@click.option(
    "--serve/--no-serve",
    "served",
    default=None,
    help="Also show it in the browser until Ctrl-C; at a terminal it does where left out.",
)
def demo(out: str, on: str, served: bool | None) -> None:
    """Show it all on an invented site: is it worth getting up tomorrow?

    Prints the choice table of the coming days and the outing card of the best dawn on the first
    of them, and writes that card as one page for printing. It needs no network.
    """
    if not is_folder(out):
        raise Refusal(f"--out: there is no folder {out}; make it first, or name another.")
    try:
        folder = opened(str(sample_site_folder()))
    except FileNotFoundError as trouble:
        raise Refusal(str(trouble)) from None
    records = folder.records
    sites = list(records["site"].values())
    animals = [noted_most(records, site.id) for site in sites]
    kit = next(iter(records["kit"].values()))
    first = day_typed(on, sites[0].zone, "--on")
    table = choice_of(
        records, sites=sites, animals=animals, kit=kit, first=first.isoformat(), days=_DAYS
    )
    requests = [
        card_request(records, site=site.id, species=animal.id, kit=kit.id, on=first, session="dawn")
        for site, animal in zip(sites, animals, strict=True)
    ]
    request = _best_dawn(table, requests)
    card = answered("outing_card", request, _ASKED_AS)
    paper = page_of(request, _ASKED_AS)
    told = written_to(Path(out) / paper.name, paper.html, "--out")

    page = Page()
    page.line(f"{folder.name} · an invented place, to try things on")
    page.line()
    each = len(table.read["rows"]) // len(sites)
    print_choice(page, table.read, [one.name for one in animals for _ in range(each)])
    page.line()
    page.line(MEANING.format(sky=UNTYPED))
    page.line(_WHICH)
    page.line()
    print_card(page, card.read)
    page.line()
    page.unbroken(told)
    if sys.stdout.isatty() if served is None else served:
        page.line()
        serve_sample(click.echo, browser=True)


def _best_dawn(table: Answered, requests: list[dict[str, Any]]) -> dict[str, Any]:
    """Choose the dawn with the most good minutes on the first day among the open sites.

    A sensitive place or animal is never suggested: who wants its card asks for it by name.
    """
    dawns = [row["cells"][0] for row in table.read["rows"] if row["session"] == "dawn"]
    order = sorted(range(len(requests)), key=lambda place: _falling(dawns[place]))
    for place in order:
        discreet = answered("outing_card", {**requests[place], "discreet": True}, _ASKED_AS)
        if not discreet.read["title"]["code_name_only"]:
            return requests[place]
    return requests[order[0]]


def _falling(cell: dict[str, Any]) -> tuple[int, ...]:
    good = cell["good_min"]
    return (1,) if good is None else (0, *(-good[sky] for sky in _SKIES))
