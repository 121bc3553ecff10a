"""What a site's outings have taught, at the terminal.

Not for: writing a visit down.
"""

from __future__ import annotations

import click

from scout.commands.asking import answered
from scout.commands.opened import ids_of, opened
from scout.commands.options import day_option, examples, json_option, site_picture_options
from scout.commands.typed import day_typed
from scout.notebook.asking import after_request
from scout.terminal.after import print_after


@click.command(
    epilog=examples(
        "scout after --folder sample_site --site pellwick --species stonechat --kit long",
        'scout after --folder sample_site --site hobthorn --species "roe deer" --kit 300 --json',
    )
)
@site_picture_options
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
    ids = ids_of(folder, site=site, species=species, kit=kit)
    of_site = folder.records["site"][ids["site"]]
    request = after_request(
        folder.records,
        **ids,
        on=day_typed(on, of_site.zone, "--on"),
    )
    answer = answered("after_outings", request, {"date": "--on"})
    answer.show(as_json, lambda page, said: print_after(page, said, of_site.name))
