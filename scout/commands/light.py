"""The light through one day at the terminal: on a sightline, or on a perch from a bearing.

Not for: whether to go (`card`).
"""

from __future__ import annotations

from typing import Any

import click

from scout.commands.asking import answered
from scout.commands.opened import ids_of, opened
from scout.commands.options import (
    behaviour_option,
    day_option,
    examples,
    folder_option,
    json_option,
    picture_options,
    sightline_option,
)
from scout.commands.refusal import Refusal
from scout.commands.typed import Number, day_typed
from scout.notebook.asking import card_request
from scout.terminal.light import print_light

_ASKED_AS = {"date": "--on", "from_deg": "--from-deg", "perch": "--perch"}


@click.command(
    epilog=examples(
        "scout light --folder sample_site --sightline pump-post --species stonechat --kit long",
        'scout light --folder sample_site --perch "hedge gap" --from-deg 90 \\',
        "    --species roe --kit 300 --on 2026-10-20",
    )
)
@folder_option
@sightline_option
@click.option("--perch", metavar="NAME", help="Instead: a perch, seen from where you stand now.")
@click.option(
    "--from-deg",
    type=Number("degrees", low=0, high=360),
    metavar="DEG",
    help="With --perch: the true bearing from the lens to it.",
)
@picture_options
@day_option()
@behaviour_option
@json_option
def light(
    path: str,
    sightline: str | None,
    perch: str | None,
    from_deg: float | None,
    species: str | None,
    kit: str | None,
    on: str,
    behaviour: str,
    as_json: bool,
) -> None:
    """Follow the light through one day.

    For each sky a strip of the day, then every half hour where the sun stands, from which side it
    lights the animal, and the shutter it buys at the kit's ISO ceiling.
    """
    folder = opened(path)
    extra: dict[str, Any]
    if perch is not None:
        if sightline is not None:
            raise Refusal("--perch: give either a sightline or a perch, not both.")
        if from_deg is None:
            raise Refusal("--from-deg: say from where the perch is seen, in degrees true.")
        ids = ids_of(folder, perch=perch, species=species, kit=kit)
        extra = {"perch": ids.pop("perch"), "from_deg": from_deg}
        at = folder.records["perch"][extra["perch"]]
    else:
        if from_deg is not None:
            raise Refusal("--from-deg: goes with --perch; a sightline has its own bearing.")
        ids = ids_of(folder, sightline=sightline, species=species, kit=kit)
        extra = {"sightline": ids.pop("sightline")}
        at = folder.records["perch"][folder.records["sightline"][extra["sightline"]].perch]
    site = folder.records["site"][at.site]
    request = card_request(
        folder.records,
        site=site.id,
        **ids,
        on=day_typed(on, site.zone, "--on"),
        session="dawn",
        behaviour=behaviour,
        with_presence=False,
    )
    del request["session"]
    answer = answered("light_day", {**request, **extra}, _ASKED_AS)
    answer.show(as_json, print_light)
