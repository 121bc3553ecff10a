"""Options that several commands share, so that one word means one thing everywhere.

Not for: reading what was typed (`typed`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from scout.engine.asked import BEHAVIOURS
from scout.records.visits import SKIES

Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]

folder_option: Decorator = click.option(
    "--folder",
    "path",
    default=".",
    metavar="PATH",
    help="The folder of records; this folder where left out.",
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
