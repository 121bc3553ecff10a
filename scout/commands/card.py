"""The outing card at the terminal, and as a page for printing.

Not for: how a card looks (`scout.terminal.card`, `scout.server.paper`).
"""

from __future__ import annotations

from pathlib import Path

import click

from scout.commands.asking import answered
from scout.commands.opened import found, ids_of, opened
from scout.commands.options import (
    day_option,
    examples,
    json_option,
    session_option,
    sight_options,
    site_picture_options,
)
from scout.commands.paper import SIZES, page_of, why_nothing_is_named, written_to
from scout.commands.typed import day_typed
from scout.engine.asked import DEMANDS
from scout.notebook.asking import card_request
from scout.terminal.card import print_card
from scout.terminal.page import Page

ASKED_AS = {"date": "--on", "wind": "--wind", "sky": "--sky", "session": "--session"}


@click.command(
    epilog=examples(
        "scout card --folder sample_site --site pellwick --species stonechat --kit long",
        'scout card --folder sample_site --site hobthorn --species "roe deer" \\',
        '    --kit 300 --on 2026-10-20 --session dusk --wind "SW 3" --sky overcast',
        "scout card --folder sample_site --site pellwick --species stonechat --kit long \\",
        "    --demand size --demand level",
        "scout card --folder sample_site --site pellwick --species stonechat --kit long \\",
        '    --also "little egret"',
    )
)
@site_picture_options
@day_option()
@session_option()
@click.option("--wind", metavar="TEXT", help='Where it comes from and its force: "SW 3", calm.')
@sight_options
@click.option(
    "--also",
    metavar="NAME",
    multiple=True,
    help="Another animal that will do; may be given again. Shutters stay those of --species.",
)
@click.option(
    "--demand",
    "demands",
    type=click.Choice(DEMANDS, case_sensitive=False),
    multiple=True,
    help="Put aside what is not level, has a busy background, or leaves the animal too small.",
)
@click.option(
    "--paper",
    metavar="FILE",
    help="Also write the card as a page for printing; the name ends in .html.",
)
@click.option(
    "--size",
    type=click.Choice(SIZES, case_sensitive=False),
    default=SIZES[0],
    show_default=True,
    help="The sheet that --paper is for.",
)
@click.option("--details", is_flag=True, help="Also say what the figures come from.")
@click.option(
    "--code-names",
    is_flag=True,
    help="Name a sensitive place by its code name alone, as on paper.",
)
@json_option
def card(
    path: str,
    site: str | None,
    species: str | None,
    kit: str | None,
    on: str,
    session: str,
    wind: str | None,
    sky: str | None,
    behaviour: str,
    also: tuple[str, ...],
    demands: tuple[str, ...],
    paper: str | None,
    size: str,
    details: bool,
    code_names: bool,
    as_json: bool,
) -> None:
    """Say whether to get up, when, and where to sit.

    The outing card of one site, one session, one animal and one kit: when to get up, when the
    light reaches each shutter, and the sightlines in order, each with what speaks for it and
    against it. A sensitive place stands on paper by its code name alone.
    """
    folder = opened(path)
    ids = ids_of(folder, site=site, species=species, kit=kit)
    of_site = folder.records["site"][ids["site"]]
    request = card_request(
        folder.records,
        **ids,
        on=day_typed(on, of_site.zone, "--on"),
        session=session,
        behaviour=behaviour,
        sky=sky,
        wind=wind,
        discreet=code_names,
        demands=demands,
        also=[found(folder, "species", one, "--also").id for one in also],
    )
    answer = answered("outing_card", request, ASKED_AS)
    told = None
    if paper is not None:
        told = written_to(Path(paper), page_of(request, ASKED_AS, size).html, "--paper")
    if as_json:
        answer.print_json()
        return
    page = Page()
    print_card(page, answer.read, details=details)
    if told is not None:
        page.line()
        page.unbroken(told)
        why = why_nothing_is_named(request)
        if why is not None:
            page.line(why)
