"""The `scout` command: what a person can ask for at the terminal.

Not for: what a command does (`scout.commands`).
"""

from __future__ import annotations

import click

from scout.commands.after import after
from scout.commands.bearings import compass, place, sector
from scout.commands.bring import bring, review
from scout.commands.card import card
from scout.commands.check import check
from scout.commands.choose import choose
from scout.commands.demo import demo
from scout.commands.door import devices, pair, persons
from scout.commands.export import export
from scout.commands.kit import kit, stand
from scout.commands.land import land
from scout.commands.land_asked import find, first_light, relief, sight
from scout.commands.light import light
from scout.commands.notebooks import backup, load, rescue_file, restore, write
from scout.commands.options import examples
from scout.commands.refusal import Commands
from scout.commands.routine import routine
from scout.commands.season import season
from scout.commands.serve import serve


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog=examples("scout demo", "scout card --help"),
)
@click.version_option(package_name="scouting-notebook", message="scouting notebook %(version)s")
def main() -> None:
    """Work out dawn: which hide, which perch, which minutes, and is it worth getting up?

    Most commands read a folder of records, named with --folder. Names may be cut short as long
    as one record alone begins that way.
    """


_DECISION = (demo, check, card, choose, routine, season, after)
_FIGURES = (light, kit, stand, place, compass, sector)
_NOTEBOOKS = (serve, load, write, bring, review, export, backup, restore, land)
for _command in (*_DECISION, *_FIGURES, *_NOTEBOOKS):
    main.add_command(_command)
main.add_command(rescue_file, "rescue")
for _command in (sight, find, first_light, relief):
    land.add_command(_command)
main.add_command(pair)
main.add_command(devices)
main.add_command(persons, "people")
