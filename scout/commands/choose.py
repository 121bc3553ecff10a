"""The choice table at the terminal: which site, which morning or evening.

Not for: one session's reasons (`card`).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import click

from scout.commands.asking import Answered, answered
from scout.commands.opened import found, opened
from scout.commands.options import (
    count_option,
    day_option,
    examples,
    folder_option,
    json_option,
    kit_option,
    session_option,
    sight_options,
)
from scout.commands.refusal import Refusal
from scout.commands.typed import day_typed
from scout.notebook.asking import Records, card_request, noted_most
from scout.notebook.folder import Folder
from scout.records.times import LAST_YEAR
from scout.terminal.choice import print_choice
from scout.terminal.page import Page

MEANING = (
    "k of n: on how many watched dawns or dusks the animal stayed in good light at the first "
    "sightline, {sky}; min: where too few were watched, its good minutes; up: when to get up; "
    "go: when to set off."
)
UNTYPED = "with the sun in and out (no sky typed)"


@click.command(
    epilog=examples(
        "scout choose --folder sample_site --kit long --days 3",
        "scout choose --folder sample_site --kit long --species roe --session dusk",
    )
)
@folder_option
@click.option(
    "--site", "sites", metavar="NAME", multiple=True, help="A site; may be given again. Else all."
)
@click.option(
    "--species",
    metavar="NAME",
    help="The animal; where left out, at each site the one noted there most often.",
)
@click.option(
    "--also",
    metavar="NAME",
    multiple=True,
    help="Another animal that will do; may be given again.",
)
@kit_option
@day_option()
@count_option("days", default=3, most=31)
@session_option("Only this end of the day; both where left out.", default=None)
@sight_options
@json_option
def choose(
    path: str,
    sites: tuple[str, ...],
    species: str | None,
    also: tuple[str, ...],
    kit: str | None,
    on: str,
    days: int,
    session: str | None,
    sky: str | None,
    behaviour: str,
    as_json: bool,
) -> None:
    """Set the sites beside each other over the coming days.

    A row for each site and session, a column for each day: on how many watched dawns or dusks the
    animal stayed in good light at the first sightline, or its good minutes, and when to get up.
    """
    folder = opened(path)
    chosen = (
        [found(folder, "site", one, "--site") for one in sites]
        if sites
        else list(folder.records["site"].values()) or [found(folder, "site", None, "--site")]
    )
    animals = [_animal(folder, site, species) for site in chosen]
    answer = choice_of(
        folder.records,
        sites=chosen,
        animals=animals,
        kit=found(folder, "kit", kit, "--kit"),
        first=day_typed(on, chosen[0].zone, "--on").isoformat(),
        days=days,
        sessions=None if session is None else [session],
        sky=sky,
        behaviour=behaviour,
        also=[found(folder, "species", one, "--also").id for one in also],
    )
    if as_json:
        answer.print_json()
        return
    page = Page()
    each = len(answer.read["rows"]) // len(chosen)
    print_choice(page, answer.read, [one.name for one in animals for _ in range(each)])
    page.line()
    page.line(MEANING.format(sky=f"under {sky} sky" if sky else UNTYPED))


def choice_of(
    records: Records,
    *,
    sites: Sequence[Any],
    animals: Sequence[Any],
    kit: Any,
    first: str,
    days: int,
    sessions: list[str] | None = None,
    sky: str | None = None,
    behaviour: str = "perched",
    also: Sequence[str] = (),
) -> Answered:
    """Ask for the choice table, each site with its animal."""
    day = date.fromisoformat(first)
    if day > date(LAST_YEAR, 12, 31) - timedelta(days=days - 1):
        raise Refusal(f"--on: {days} days from {first} go beyond {LAST_YEAR}; start earlier.")
    requests = []
    for site, animal in zip(sites, animals, strict=True):
        request = card_request(
            records,
            site=site.id,
            species=animal.id,
            kit=kit.id,
            on=day,
            session="dawn",
            behaviour=behaviour,
            sky=sky,
            also=[one for one in also if one != animal.id],
        )
        requests.append({k: v for k, v in request.items() if k not in ("date", "session")})
    request = {"sites": requests, "first": first, "days": days}
    if sessions is not None:
        request["sessions"] = sessions
    return answered("choice_table", request, {"first": "--on", "days": "--days"})


def _animal(folder: Folder, site: Any, species: str | None) -> Any:
    if species is None and folder.records["species"]:
        return noted_most(folder.records, site.id)
    return found(folder, "species", species, "--species")
