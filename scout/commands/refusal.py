"""How a command says no: sentences on standard error, exit code 2, and never a traceback.

Exit code 1 is kept for faults of the program itself. Not for: finding out what is wrong.
"""

from __future__ import annotations

import os
import sys
import traceback
import zoneinfo
from collections.abc import Iterable
from pathlib import Path
from typing import IO, Any

import click

TRACE = "SCOUT_TRACE"
_FAULT = (
    "This is a fault of the program, not yours: {kind}{place}. No record was changed. Please tell "
    f"its makers the command you typed (leave out names of places); with {TRACE}=1 set it shows "
    "more."
)


class Refusal(click.ClickException):
    """What was typed or read cannot be used: one sentence for each trouble."""

    exit_code = 2

    def __init__(self, *sentences: str) -> None:
        super().__init__("\n".join(sentences))

    def show(self, file: IO[Any] | None = None) -> None:
        """Print the sentences, one a line."""
        click.echo(self.message, file=file, err=file is None)


class Commands(click.Group):
    """The commands, with the net under them that catches what nobody foresaw."""

    def main(self, *args: Any, **options: Any) -> Any:
        """Run the command that was typed."""
        # Zones come from the tzdata package, as on the phone, and not from the machine.
        zoneinfo.reset_tzpath(())
        _print_anything()
        try:
            return super().main(*args, **options)
        except Exception as fault:
            if os.environ.get(TRACE):
                traceback.print_exc()
            click.echo(_FAULT.format(kind=type(fault).__name__, place=_place(fault)), err=True)
            sys.exit(1)


def sentences(trouble: Iterable[str], names: dict[str, str]) -> list[str]:
    """Put the option that was typed in the place of the field that the engine names."""
    said = []
    for sentence in trouble:
        field, colon, rest = sentence.partition(": ")
        root = field.split(".")[0].split("[")[0]
        said.append(f"{names[root]}: {rest}" if colon and root in names else sentence)
    return said


def _place(fault: Exception) -> str:
    frames = traceback.extract_tb(fault.__traceback__)
    ours = [frame for frame in frames if "scout" in Path(frame.filename).parts]
    if not ours:
        return ""
    return f" in {Path(ours[-1].filename).name}, line {ours[-1].lineno}"


def _print_anything() -> None:
    """A terminal that cannot show a letter shows a question mark instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
