"""A sightline's year at the terminal, and its days of low sun for a calendar.

Not for: one session in full (`card`).
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import click

from scout.commands.asking import answered
from scout.commands.opened import ids_of, opened
from scout.commands.options import (
    count_option,
    day_option,
    examples,
    folder_option,
    json_option,
    picture_options,
    session_option,
    sight_options,
    sightline_option,
)
from scout.commands.to_file import target_of, written
from scout.commands.typed import day_typed, now
from scout.notebook.asking import season_request
from scout.notebook.sharing.calendar import Entry, calendar_of
from scout.terminal.page import Page
from scout.terminal.season import print_season

_ASKED_AS = {"first": "--on", "weeks": "--weeks", "session": "--session", "sky": "--sky"}


@click.command(
    epilog=examples(
        "scout season --folder sample_site --sightline pump-post --species stonechat --kit long",
        "scout season --folder sample_site --sightline pump-post --species stonechat --kit long \\",
        "    --on 2026-10-01 --weeks 8 --session dusk",
    )
)
@folder_option
@sightline_option
@picture_options
@day_option("today")
@count_option("weeks", default=53, most=53)
@session_option()
@sight_options
@click.option(
    "--calendar",
    metavar="FILE",
    help="Also write the days of low sun for a calendar; the name ends in .ics.",
)
@json_option
def season(
    path: str,
    sightline: str | None,
    species: str | None,
    kit: str | None,
    on: str,
    weeks: int,
    session: str,
    sky: str | None,
    behaviour: str,
    calendar: str | None,
    as_json: bool,
) -> None:
    """Follow one sightline through the year, a row a week.

    Time counts from the minute at which the sun clears this skyline. Beside each week stands on
    how many watched mornings there was a stay in its good light; then the days on which the low
    sun reaches the perch before the animal usually leaves.
    """
    folder = opened(path)
    ids = ids_of(folder, sightline=sightline, species=species, kit=kit)
    line = folder.records["sightline"][ids["sightline"]]
    site = folder.records["site"][folder.records["perch"][line.perch].site]
    asked: dict[str, Any] = {
        **ids,
        "first": day_typed(on, site.zone, "--on"),
        "weeks": weeks,
        "site": site.id,
        "session": session,
        "sky": sky,
        "behaviour": behaviour,
    }
    answer = answered("season_strip", season_request(folder.records, **asked), _ASKED_AS)
    told = None
    if calendar is not None:
        target = target_of(Path(calendar), ".ics", "--calendar")
        # A calendar is read by whoever sees the screen: a sensitive place goes by its code name.
        request = season_request(folder.records, **asked, discreet=True)
        entries = low_sun_entries(answered("season_strip", request, _ASKED_AS).read)
        written(target, calendar_of(entries, now()), "--calendar")
        told = f"{len(entries)} days for a calendar: {target.resolve()}"
    if as_json:
        answer.print_json()
        return
    page = Page()
    print_season(page, answer.read)
    if told is not None:
        page.line()
        page.unbroken(told)


def low_sun_entries(said: dict[str, Any]) -> list[Entry]:
    """Write the days of low sun of a season as calendar entries, from the sun to the animal."""
    title = said["title"]
    name = title["site"] if title["code_name_only"] else f"{title['site']}: {said['name']}"
    entries = []
    for one in said["low_sun_days"]:
        ends = sorted(
            dt.datetime.fromisoformat(one[key]["utc"].replace("Z", "+00:00"))
            for key in ("at", "animal")
        )
        entries.append(Entry(name=name, start=ends[0], end=ends[1]))
    return entries
