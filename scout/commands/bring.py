"""Files of another's making brought to a list, and the list looked through.

Not for: folders of records (`load`), or a phone's rescue file (`rescue`).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from scout.commands.notebooks import notebook_at, notebook_option
from scout.commands.opened import found, is_folder
from scout.commands.options import examples, site_option, species_option
from scout.commands.refusal import Refusal
from scout.notebook.bringing import review as listed
from scout.notebook.bringing.camera import camera_folder
from scout.notebook.bringing.points import points_of
from scout.notebook.folder import Folder
from scout.notebook.leaving import folder_of
from scout.notebook.notebook import Notebook

_MOST_SHOWN = 60
_MOST_PASSED = 8


@click.command(
    epilog=examples(
        "scout bring pins.gpx --notebook mine",
        "scout bring card/DCIM --perch 'alder stump' --notebook mine",
    )
)
@click.argument("path", metavar="FILE")
@click.option("--notebook", "home", default=".", metavar="PATH", help="The folder of the notebook.")
@site_option
@click.option("--perch", metavar="NAME", help="The perch that the trail camera watched.")
@click.option(
    "--clock-fast",
    "fast_s",
    type=float,
    default=0.0,
    metavar="SECONDS",
    help="By how much the camera's clock is fast; negative where it is slow.",
)
def bring(path: str, home: str, site: str | None, perch: str | None, fast_s: float) -> None:
    """Bring a file's points, or a trail camera's folder, to the list to look through.

    GPX waypoints, GeoJSON points, a folder of pictures. Nothing lands in the notebook until you
    take it from the list: scout review.
    """
    with notebook_at(home) as notebook:
        folder = folder_of(notebook, standing_only=True)
        if is_folder(path):
            count, passed = _camera(notebook, folder, Path(path), perch, fast_s)
        else:
            count, passed = _points(notebook, folder, Path(path), site)
        for sentence in passed[:_MOST_PASSED]:
            click.echo(f"Passed over: {sentence}", err=True)
        if len(passed) > _MOST_PASSED:
            click.echo(f"And {len(passed) - _MOST_PASSED} more.", err=True)
        waiting = len(listed.waiting(notebook.folder))
        click.echo(f"{count} new on the list; {waiting} wait. Look through them: scout review")


def _points(
    notebook: Notebook, folder: Folder, path: Path, site: str | None
) -> tuple[int, tuple[str, ...]]:
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise Refusal(f"{path}: cannot be read ({error.strerror}); check its name.") from None
    read = points_of(raw, path.name)
    chosen = found(folder, "site", site, "--site").id if site else None
    count = listed.bring_points(notebook.folder, read.points, folder.records, path.name, chosen)
    return count, read.passed_over


def _camera(
    notebook: Notebook, folder: Folder, path: Path, perch: str | None, fast_s: float
) -> tuple[int, tuple[str, ...]]:
    watched = found(folder, "perch", perch, "--perch")
    zone = folder.records["site"][watched.site].zone
    with click.progressbar(length=1, label="Pictures", show_pos=True) as bar:

        def tell(done: int, of: int) -> None:
            bar.length = of
            bar.update(done - bar.pos)

        read = camera_folder(path, zone, clock_fast_s=fast_s, progress=tell)
    return listed.bring_camera(notebook.folder, read, watched, path.name), read.passed_over


@click.command(
    epilog=examples(
        "scout review --notebook mine",
        "scout review --take 1,3-5 --as perch --notebook mine",
        "scout review --take all --species otter --notebook mine",
    )
)
@notebook_option
@click.option("--take", "taken", metavar="NUMBERS", help="Take these: 1,3-5 or all.")
@click.option("--leave", "left", metavar="NUMBERS", help="Leave these for good: 2 or 6-9.")
@click.option(
    "--as",
    "pin_kind",
    type=click.Choice(listed.PIN_KINDS),
    default="landmark",
    show_default=True,
    help="What the points taken become.",
)
@species_option
def review(
    home: str, taken: str | None, left: str | None, pin_kind: str, species: str | None
) -> None:
    """Look through what was brought in: take it into the notebook, or leave it."""
    with notebook_at(home) as notebook:
        items = listed.waiting(notebook.folder)
        if taken is not None:
            chosen = _chosen(items, taken, "--take")
            animal = None
            if species is not None:
                animal = found(
                    folder_of(notebook, standing_only=True), "species", species, "--species"
                )
            count = listed.take(
                notebook, chosen, pin_kind=pin_kind, species=None if animal is None else animal.id
            )
            click.echo(f"{count} records written.")
        if left is not None:
            gone = _chosen(items, left, "--leave")
            listed.leave(notebook.folder, gone)
            click.echo(f"{len(gone)} left; they are not proposed again.")
        if taken is None and left is None:
            _show(items)


def _show(items: list[listed.Item]) -> None:
    if not items:
        click.echo("Nothing waits. Bring a file in: scout bring FILE")
        return
    for number, one in enumerate(items[:_MOST_SHOWN], 1):
        click.echo(f"{number:>4}  {one.kind:<8} {one.says}  ({one.source})")
    if len(items) > _MOST_SHOWN:
        click.echo(f"And {len(items) - _MOST_SHOWN} more; take or leave some first.")


def _chosen(items: list[listed.Item], typed: str, option: str) -> list[Any]:
    if typed.strip().lower() == "all":
        return items
    numbers: set[int] = set()
    for part in typed.split(","):
        first, dash, last = part.strip().partition("-")
        if not first.isdecimal() or (dash and not last.isdecimal()):
            raise Refusal(
                f"{option}: {part.strip()!r} is no number of the list; write 1,3-5 or all."
            )
        numbers.update(
            range(int(first), int(last or first) + 1) if int(last or first) < 100_000 else [0]
        )
    if not all(1 <= number <= len(items) for number in numbers):
        raise Refusal(f"{option}: the list has the numbers 1 to {len(items)}.")
    return [items[number - 1] for number in sorted(numbers)]
