"""Commands on a notebook: load and write folders, back up and restore, take a rescue file in.

Not for: serving it (`serve`), or answering from it (`card` and the others do, as from a folder).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from scout.commands.opened import is_folder, opened
from scout.commands.options import examples
from scout.commands.refusal import Refusal
from scout.commands.typed import now
from scout.notebook import backups, rescue
from scout.notebook.at_work import refuse_at_work
from scout.notebook.folder_writing import write_back
from scout.notebook.leaving import folder_of, sound_only
from scout.notebook.notebook import FILE, Notebook, open_notebook
from scout.notebook.store.trouble import StoreTrouble
from scout.records.trouble import Refused
from scout.terrain.aside import aside_words, missing_words, write_list
from scout.terrain.model import Model
from scout.terrain.shelf import Shelf

notebook_option: Callable[[Callable[..., Any]], Callable[..., Any]] = click.option(
    "--notebook",
    "--folder",
    "home",
    default=".",
    metavar="PATH",
    help="The folder of the notebook; this folder where left out.",
)


@contextmanager
def notebook_at(home: str, *, create: bool = False) -> Iterator[Notebook]:
    """Open the notebook in a folder; every trouble becomes a refusal.

    `create`: make one where the folder is missing or empty.
    """
    path = Path(home)
    with in_words():
        fresh = create and not (path / FILE).exists()
        if fresh and is_folder(path) and any(path.iterdir()):
            raise Refusal(
                f"{home}: holds other things and no notebook; name an empty folder or a new one."
            )
        with open_notebook(path, now, create=create) as notebook:
            yield notebook


@contextmanager
def in_words() -> Iterator[None]:
    """Turn what the notebook refuses, or its disk, into a refusal."""
    try:
        yield
    except Refused as refusal:
        raise Refusal(*(trouble.sentence for trouble in refusal.troubles)) from None
    except StoreTrouble as trouble:
        raise Refusal(str(trouble)) from None
    except OSError as error:
        raise Refusal(
            f"{error.filename}: {error.strerror}; check its name and permissions."
        ) from None


@click.command(epilog=examples("scout load sample_site --notebook mine"))
@click.argument("path", metavar="FOLDER")
@notebook_option
def load(path: str, home: str) -> None:
    """Load a folder of records into a notebook.

    Makes the notebook where there is none. Loading twice writes nothing twice, and what the
    notebook knows better stays.
    """
    folder = opened(path)
    with notebook_at(home, create=True) as notebook:
        done = notebook.load(folder, folder.photo_paths)
        if done.new or done.changed:
            click.echo(f"{done.new} records new, {done.changed} changed, {done.same} the same.")
        else:
            click.echo(f"Nothing new: {done.same} records are the same.")
        for sentence in done.older:
            click.echo(f"Left as the notebook has it, which is newer: {sentence}.")
        for model in Shelf(notebook.folder).bring_from(Shelf(folder.path)):
            click.echo(f"Elevation model: {model.words}.")
        click.echo(f"Notebook: {notebook.folder.resolve()}")


@click.command(epilog=examples("scout write out --notebook mine"))
@click.argument("path", metavar="FOLDER")
@notebook_option
def write(path: str, home: str) -> None:
    """Write the whole notebook out as a folder of records.

    The folder can be read, mended by hand and loaded again. It holds exact positions: keep it as
    you keep the notebook.
    """
    with notebook_at(home) as notebook:
        folder = sound_only(folder_of(notebook, standing_only=False))
        write_back(path, folder)
        for warning in folder.warnings:
            click.echo(f"Left out: {warning.sentence}", err=True)
        count = sum(len(of) for of in folder.records.values())
        click.echo(f"{count} records and {len(folder.photo_paths)} photos: {Path(path).resolve()}")
        _say_aside(Shelf(notebook.folder).models())


def _say_aside(models: Sequence[Model]) -> None:
    said = aside_words(models)
    if said is not None:
        click.echo(said)


@click.command(epilog=examples("scout backup spare --notebook mine"))
@click.argument("path", metavar="FOLDER")
@notebook_option
def backup(path: str, home: str) -> None:
    """Copy the notebook, verified, into a folder: best on another disk.

    Only a copy on another disk counts as backed up on the phones. Elevation models are not in it:
    they are large, and can be got again. Which there are is written beside it.
    """
    with notebook_at(home) as notebook, in_words():
        done = backups.back_up(notebook, path)
        click.echo(done.sentence)
        models = Shelf(notebook.folder).models()
        write_list(models, done.path)
        _say_aside(models)
        for trouble in done.troubles:
            click.echo(trouble, err=True)


@click.command(
    epilog=examples("scout restore spare/notebook-20260512T033000000Z.db --notebook mine")
)
@click.argument("path", metavar="BACKUP")
@notebook_option
def restore(path: str, home: str) -> None:
    """Put a backup in the notebook's place.

    Stop the server first. The old file is kept in `backups`, and every phone then sends again what
    the backup lacks.
    """
    with in_words():
        refuse_at_work(Path(home))
        done = backups.restore(home, path, now)
    click.echo(f"Restored: {done.seq} changes. The phones will send what came after.")
    if not done.door_kept:
        click.echo("Every phone pairs again: who was let in since the backup is not known here.")
    for kept in done.set_aside:
        click.echo(f"The old file is kept: {kept}")
    if done.set_aside:
        click.echo("What only it holds: scout rescue takes it in, from its file that ends in .db.")
    for sha256 in done.missing_blobs:
        click.echo(f"The bytes of the photo {sha256} are not in the backup.", err=True)
    lacking = missing_words(Shelf(Path(home)), Path(path))
    if lacking is not None:
        click.echo(lacking, err=True)


@click.command(
    epilog=examples(
        "scout rescue phone.ndjson --notebook mine",
        "scout rescue mine/backups/replaced-20260512T033000000Z.db --notebook mine",
    )
)
@click.argument("path", metavar="FILE")
@notebook_option
def rescue_file(path: str, home: str) -> None:
    """Take a phone's rescue file, or a notebook's file that was set aside, into the notebook.

    For a phone that cannot reach the server any more; or, as a file that ends in .db, for what only
    the notebook held that a backup has replaced. Twice brings nothing in twice.
    """
    with notebook_at(home) as notebook:
        if path.endswith(".db"):
            new, refused = backups.take_from(notebook, path)
            click.echo(f"{new} changes new, {refused} need attention.")
            return
        done = rescue.bring_in(notebook, path)
    click.echo(
        f"{done.new} changes new, {done.known} known, {done.quarantined} need attention, "
        f"{done.blobs} photos."
    )
    if done.later:
        click.echo(
            f"{done.later} changes are of a newer scout; install it and bring them in again."
        )
    for fault in done.faults:
        click.echo(fault, err=True)
