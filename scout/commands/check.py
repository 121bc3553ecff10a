"""A folder or a notebook judged: every fault as a sentence.

Not for: mending anything.
"""

from __future__ import annotations

import json
import sys

import attrs
import click

from scout.commands.notebooks import notebook_at
from scout.commands.opened import is_notebook, judged
from scout.commands.options import examples
from scout.notebook.folder import Folder
from scout.terminal.page import Page

_EXIT_FAULTS = 2


@click.command(epilog=examples("scout check sample_site"))
@click.argument("path", metavar="FOLDER")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as JSON.")
def check(path: str, as_json: bool) -> None:
    """Read a folder of records, or a notebook, and say what is wrong with it.

    Prints each fault and each warning with its file and line, then how many records there are.
    Ends with exit code 2 where there is a fault; warnings alone end with 0.
    """
    if is_notebook(path):
        _check_notebook(path, as_json)
        return
    folder = judged(path)
    if as_json:
        click.echo(_as_json(folder))
    else:
        _print(folder)
    if folder.faults:
        sys.exit(_EXIT_FAULTS)


def _check_notebook(path: str, as_json: bool) -> None:
    """Examine the file, the chain, the tables and every photo's bytes."""
    with notebook_at(path) as notebook:
        found = notebook.check()
        waiting = len(notebook.quarantine())
    if as_json:
        told = {"changes": found.changes, "records": found.records, "quarantine": waiting}
        click.echo(json.dumps(told | {"faults": found.faults, "warnings": found.notices}))
    else:
        for fault in found.faults:
            click.echo(fault, err=True)
        for notice in found.notices:
            click.echo(f"Warning: {notice}", err=True)
        click.echo(
            f"{found.changes} changes, {found.records} records, "
            f"{len(found.blobs_hashed)} photos hashed; {waiting} changes need attention."
        )
        click.echo(f"{_many(len(found.faults), 'fault')}, {_many(len(found.notices), 'warning')}.")
    if found.faults:
        sys.exit(_EXIT_FAULTS)


def _print(folder: Folder) -> None:
    for fault in folder.faults:
        click.echo(fault.sentence, err=True)
    for warning in folder.warnings:
        click.echo(f"Warning: {warning.sentence}", err=True)
    counts = _counts(folder)
    page = Page()
    page.heading(folder.name)
    if counts:
        page.table(
            ("records", ""),
            ((kind.replace("_", " "), str(n)) for kind, n in counts.items()),
            right=(1,),
        )
    else:
        page.line("No records.")
    page.line(f"{_many(len(folder.faults), 'fault')}, {_many(len(folder.warnings), 'warning')}.")


def _counts(folder: Folder) -> dict[str, int]:
    return {kind: len(records) for kind, records in folder.records.items() if records}


def _as_json(folder: Folder) -> str:
    return json.dumps(
        {
            "name": folder.name,
            "records": _counts(folder),
            "faults": [attrs.asdict(fault) for fault in folder.faults],
            "warnings": [attrs.asdict(warning) for warning in folder.warnings],
        }
    )


def _many(count: int, word: str) -> str:
    return f"{'no' if count == 0 else count} {word}{'' if count == 1 else 's'}"
