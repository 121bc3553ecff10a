"""Readings made true at the terminal: a compass reading, a perch from a vantage, a sector to aim.

Not for: sightlines that are in the folder already.
"""

from __future__ import annotations

from typing import Any

import click

from scout.commands.asking import answered
from scout.commands.opened import found, opened
from scout.commands.options import day_option, examples, folder_option, json_option, session_option
from scout.commands.refusal import Refusal
from scout.commands.typed import (
    Metres,
    Number,
    bearing_typed,
    day_typed,
    position_typed,
    time_typed,
)
from scout.records.kinds import write_record
from scout.records.measured import BEARING_HOW, DISTANCE_HOW, TILT_HOW
from scout.records.rough import Rough
from scout.terminal.bearings import print_compass, print_place

_north = click.option(
    "--north",
    type=click.Choice(("magnetic", "true"), case_sensitive=False),
    help="Which north degrees were read from: magnetic (a compass) or true (a map).",
)
_at = click.option(
    "--at",
    metavar="TIME",
    help="When it was read, like 2026-05-12T07:00+01:00; now where left out.",
)
_position = click.option(
    "--position", metavar="TEXT", help='Where: "52.1234 N, 1.2345 W" or "52 7.4 N, 1 14.1 W".'
)
_site = click.option("--site", metavar="NAME", help="Instead of --position: a site of the folder.")
_bearing_how = click.option(
    "--read-with",
    type=click.Choice(BEARING_HOW),
    help="What degrees were read with; where left out a phone compass (magnetic) or a map (true).",
)


@click.command(
    epilog=examples(
        'scout place --folder sample_site --from "bank seat" --bearing NE --distance "about 12 m"',
        "scout place --folder sample_site --from pump --bearing 262 --north magnetic \\",
        '    --read-with "sighting compass" --distance 11 --ranged-with rangefinder --tilt -1',
    )
)
@folder_option
@click.option("--from", "vantage", metavar="NAME", help="The vantage you stand at.")
@click.option(
    "--bearing", required=True, metavar="TEXT", help="Towards the perch: 47, NE, north-east."
)
@_north
@_bearing_how
@click.option(
    "--distance",
    type=Metres(),
    required=True,
    metavar="METRES",
    help='To the perch: 14.5, "about 12 m", "12 ± 1 m".',
)
@click.option(
    "--ranged-with", type=click.Choice(DISTANCE_HOW), help="What the distance was taken with."
)
@click.option(
    "--tilt",
    type=Number("degrees", low=-90, high=90),
    metavar="DEG",
    help="Above (+) or below (-) level; taken as level where left out.",
)
@click.option("--tilted-with", type=click.Choice(TILT_HOW), help="What the tilt was taken with.")
@_at
@json_option
def place(
    path: str,
    vantage: str | None,
    bearing: str,
    north: str | None,
    read_with: str | None,
    distance: Rough,
    ranged_with: str | None,
    tilt: float | None,
    tilted_with: str | None,
    at: str | None,
    as_json: bool,
) -> None:
    """Place a perch from where you stand.

    From a vantage by bearing, distance and tilt: where the perch is, how surely, and how far it
    stands above or below the lens. Nothing is written to the folder.
    """
    folder = opened(path)
    request = {
        "vantage": write_record(found(folder, "vantage", vantage, "--from")),
        "bearing": bearing_typed(bearing, "--bearing", north, read_with),
        "distance": _distance(distance, ranged_with),
        "tilt": None if tilt is None else {"deg": tilt, "how": tilted_with},
        "at": time_typed(at, "--at"),
    }
    names = {
        "vantage": "--from",
        "bearing": "--bearing",
        "distance": "--distance",
        "tilt": "--tilt",
        "at": "--at",
    }
    answer = answered("place_perch", request, names)
    answer.show(as_json, print_place)


@click.command(
    epilog=examples(
        'scout compass 275 --north magnetic --position "52.87 N, 0.47 W" --at 2026-05-12T07:00Z',
        "scout compass 275 --north magnetic --folder sample_site --site pellwick \\",
        "    --at 2026-05-12T07:00Z --along-shadow",
    )
)
@click.argument("reading")
@_north
@_bearing_how
@folder_option
@_position
@_site
@_at
@click.option(
    "--along-shadow",
    is_flag=True,
    help="It was read from an upright stick to the tip of its shadow: find this compass's error.",
)
@json_option
def compass(
    reading: str,
    north: str | None,
    read_with: str | None,
    path: str,
    position: str | None,
    site: str | None,
    at: str | None,
    along_shadow: bool,
    as_json: bool,
) -> None:
    """Turn a compass READING into degrees true and magnetic.

    By the World Magnetic Model at that place and time; or, with --along-shadow, by the sun, which
    also finds what iron nearby does to the compass.
    """
    where, _ = _where(path, position, site)
    request = {
        "position": where,
        "at": time_typed(at, "--at"),
        "bearing": bearing_typed(reading, "READING", north, read_with),
        "along_shadow": along_shadow,
    }
    names = {"position": "--position", "at": "--at", "bearing": "READING"}
    answer = answered("compass", request, names)
    answer.show(as_json, print_compass)


@click.command(
    epilog=examples(
        "scout sector --folder sample_site --site pellwick",
        'scout sector --position "52.87 N, 0.47 W" --session dusk --on 2026-05-12',
    )
)
@folder_option
@_position
@_site
@day_option("today")
@session_option("Where it rises, or where it sets.")
@json_option
def sector(
    path: str,
    position: str | None,
    site: str | None,
    on: str,
    session: str,
    as_json: bool,
) -> None:
    """Say which part of the skyline is worth measuring.

    Where the sun rises or sets over the year, and in the six weeks from a day on.
    """
    where, zone = _where(path, position, site)
    request = {
        "position": where,
        "date": day_typed(on, zone, "--on").isoformat(),
        "session": session,
    }
    answer = answered("sector", request, {"position": "--position", "date": "--on"})
    answer.show(as_json, lambda page, said: page.line(said["sentence"]))


def _distance(typed: Rough, how: str | None) -> dict[str, Any]:
    """Answer a distance: a plain figure is as sure as its instrument, a rough one as it is said."""
    plain = typed.words.removesuffix("m").strip().replace(".", "", 1).isdigit()
    spread = None if plain and how is not None else typed.plus_minus
    return {"m": typed.value, "how": how, "plus_minus_m": spread}


def _where(path: str, position: str | None, site: str | None) -> tuple[dict[str, Any], str]:
    """Answer a position, typed or a site's, and the zone whose clock counts there."""
    if position is not None:
        if site is not None:
            raise Refusal("--position: give either a position or a site, not both.")
        return position_typed(position, "--position"), "UTC"
    if site is None:
        raise Refusal('--position: say where, like "52.1234 N, 1.2345 W", or name a --site.')
    found_site = found(opened(path), "site", site, "--site")
    centre = found_site.centre
    return {"lat": centre.lat, "lon": centre.lon}, found_site.zone
