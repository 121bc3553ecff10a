"""An animal's habits at the terminal: when it comes, how surely that is known, what is not known.

Not for: what a card makes of it (`card`).
"""

from __future__ import annotations

import click

from scout.commands.asking import answered
from scout.commands.opened import found, ids_of, opened
from scout.commands.options import (
    day_option,
    examples,
    folder_option,
    json_option,
    site_option,
    sky_option,
    species_option,
)
from scout.commands.refusal import Refusal
from scout.commands.typed import Number, day_typed
from scout.engine.unwatched import WINDS
from scout.notebook.asking import routine_request
from scout.terminal.routine import print_routine

_ASKED_AS = {
    "date": "--on",
    "season.from_day": "--months",
    "sky": "--sky",
    "wind_from": "--wind-from",
    "tag": "--tag",
}
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_LAST_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@click.command(
    epilog=examples(
        "scout routine --folder sample_site --site pellwick --species stonechat",
        "scout routine --folder sample_site --site pellwick --species stonechat --perch ditch",
        "scout routine --folder sample_site --site pellwick --species stonechat --months may-jul",
        "scout routine --folder sample_site --site pellwick --species stonechat --width 20",
    )
)
@folder_option
@site_option
@species_option
@click.option("--perch", metavar="NAME", help="Only at this perch.")
@click.option("--area", metavar="NAME", help="Only within this area.")
@click.option("--months", metavar="FROM-TO", help="Only in these months, of any year: apr-jun.")
@sky_option
@click.option(
    "--wind-from",
    type=click.Choice(WINDS, case_sensitive=False),
    help="Only with the wind from there.",
)
@click.option("--tag", metavar="WORD", help="Only where this word was tagged.")
@click.option(
    "--width",
    type=Number("percentage points", low=1, high=99),
    metavar="POINTS",
    default=30.0,
    show_default=True,
    help="Say how many more watches would narrow its share to a range so wide.",
)
@day_option("today")
@json_option
def routine(
    path: str,
    site: str | None,
    species: str | None,
    perch: str | None,
    area: str | None,
    months: str | None,
    sky: str | None,
    wind_from: str | None,
    tag: str | None,
    width: float,
    on: str,
    as_json: bool,
) -> None:
    """Say when an animal comes, and how surely that is known.

    Every watched dawn and dusk of a site counts, blank ones too, in time counted from sunrise or
    sunset: on how many of them it was there, quarter hour by quarter hour, and what nobody has
    watched yet.
    """
    folder = opened(path)
    ids = ids_of(folder, site=site, species=species)
    of_site = folder.records["site"][ids["site"]]
    request = routine_request(
        folder.records,
        **ids,
        on=day_typed(on, of_site.zone, "--on"),
        perch=None if perch is None else found(folder, "perch", perch, "--perch").id,
        area=None if area is None else found(folder, "area", area, "--area").id,
        season=None if months is None else season_typed(months),
        sky=sky,
        wind_from=wind_from,
        tag=tag,
        width=width / 100,
    )
    answer = answered("routine", request, _ASKED_AS)
    answer.show(as_json, print_routine)


def season_typed(typed: str) -> dict[str, str]:
    """Read "apr-jun" or "may" as from the first to the last day of the year."""
    parts = [part.strip()[:3].lower() for part in typed.split("-")]
    if not 1 <= len(parts) <= 2 or any(part not in _MONTHS for part in parts):
        raise Refusal(f"--months: {typed!r} are no months; write apr-jun, or may.")
    first, last = _MONTHS.index(parts[0]), _MONTHS.index(parts[-1])
    return {
        "from_day": f"{first + 1:02}-01",
        "to_day": f"{last + 1:02}-{_LAST_DAYS[last]:02}",
    }
