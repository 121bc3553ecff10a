"""What a site's outings have taught, at the terminal.

Not for: writing a visit down.
"""

from __future__ import annotations

import click

from scout.commands.asking import answered
from scout.commands.opened import found, opened
from scout.commands.options import (
    day_option,
    examples,
    folder_option,
    json_option,
    kit_option,
    site_option,
    species_option,
)
from scout.commands.typed import day_typed
from scout.notebook.asking import after_request
from scout.terminal.after import print_after
from scout.terminal.page import Page


@click.command(
    epilog=examples(
        "scout after --folder sample_site --site pellwick --species stonechat --kit long",
        'scout after --folder sample_site --site hobthorn --species "roe deer" --kit 300 --json',
    )
)
@folder_option
@site_option
@species_option
@kit_option
@day_option("today")
@json_option
def after(
    path: str,
    site: str | None,
    species: str | None,
    kit: str | None,
    on: str,
    as_json: bool,
) -> None:
    """Count what costs the most pictures, and which vantages earn them.

    From every visit to the site that noted frames and keepers, whichever animal it was for; with
    the keep-distances that the named animal's own reactions ask for, and each test shot's shutter
    beside the one foretold.
    """
    folder = opened(path)
    of_site = found(folder, "site", site, "--site")
    request = after_request(
        folder.records,
        site=of_site.id,
        species=found(folder, "species", species, "--species").id,
        kit=found(folder, "kit", kit, "--kit").id,
        on=day_typed(on, of_site.zone, "--on"),
    )
    answer = answered("after_outings", request, {"date": "--on"})
    if as_json:
        answer.print_json()
        return
    print_after(Page(), answer.read, of_site.name)
