"""Options that several commands share, so that one word means one thing everywhere.

Not for: reading what was typed (`typed`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from scout.commands.typed import Count
from scout.engine.asked import BEHAVIOURS
from scout.records.visits import SKIES

Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]

folder_option: Decorator = click.option(
    "--folder",
    "--notebook",
    "path",
    default=".",
    metavar="PATH",
    help="The folder of records or the notebook; this folder where left out.",
)
sightline_option: Decorator = click.option(
    "--sightline",
    metavar="NAME",
    help='The sightline: "Pump house to Ditch post", or its word in the folder.',
)
json_option: Decorator = click.option(
    "--json", "as_json", is_flag=True, help="Print the engine's answer as JSON, for programs."
)
site_option: Decorator = click.option(
    "--site", metavar="NAME", help="The site, by name or its beginning."
)
species_option: Decorator = click.option(
    "--species", metavar="NAME", help="The animal, by name or its beginning."
)
kit_option: Decorator = click.option(
    "--kit", metavar="NAME", help="The kit, by name or its beginning."
)
sky_option: Decorator = click.option(
    "--sky",
    type=click.Choice(SKIES, case_sensitive=False),
    help="The sky you expect; three are shown where left out.",
)
behaviour_option: Decorator = click.option(
    "--behaviour",
    type=click.Choice(BEHAVIOURS, case_sensitive=False),
    default="perched",
    show_default=True,
    help="What the animal does when you want the picture.",
)


def together(*options: Decorator) -> Decorator:
    """Join options that several commands take together, in this order."""

    def joined(command: Callable[..., Any]) -> Callable[..., Any]:
        for option in reversed(options):
            command = option(command)
        return command

    return joined


# Which picture is wanted: of what, with what; and in which sky, of an animal that does what.
picture_options = together(species_option, kit_option)
site_picture_options = together(folder_option, site_option, picture_options)
sight_options = together(sky_option, behaviour_option)


def session_option(words: str = "Which end of the day.", default: str | None = "dawn") -> Decorator:
    """Make the option for a session, with its help."""
    return click.option(
        "--session",
        type=click.Choice(("dawn", "dusk"), case_sensitive=False),
        default=default,
        show_default=True,
        help=words,
    )


def count_option(name: str, default: int, most: int) -> Decorator:
    """Make the option for how many days or weeks, counted from a day on."""
    return click.option(
        f"--{name}",
        type=Count(name, most),
        default=default,
        show_default=True,
        metavar="N",
        help=f"How many {name} from then on, 1 to {most}.",
    )


def day_option(default: str = "tomorrow") -> Decorator:
    """Make the option for a day."""
    return click.option(
        "--on",
        "--date",
        "on",
        default=default,
        show_default=True,
        metavar="DAY",
        help="The day: 2026-05-12, today or tomorrow.",
    )


def examples(*lines: str) -> str:
    """Write a help text's last part: what to type, word for word."""
    head = "Example:" if len(lines) == 1 else "Examples:"
    return "\n".join(["\b", head, *(f"  {line}" for line in lines)])
