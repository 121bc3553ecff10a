"""How a command says no: sentences on standard error, exit code 2, and never a traceback.

Exit code 1 is kept for faults of the program itself. Not for: finding out what is wrong.
"""

from __future__ import annotations

import errno
import os
import sys
import traceback
import zoneinfo
from collections.abc import Iterable
from pathlib import Path
from typing import IO, Any, NoReturn

import click

TRACE = "SCOUT_TRACE"
_FAULT = (
    "This is a fault of the program, not yours: {kind}{place}. No record was changed. Please tell "
    f"its makers the command you typed (leave out names of places); with {TRACE}=1 set it shows "
    "more."
)
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_UNWRITTEN = "The output could not be written ({why}); send it elsewhere, or make room there."


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
            try:
                return super().main(*args, **options)
            finally:
                # What is still held back must be written now, while it can be said that it was not.
                sys.stdout.flush()
        except OSError as fault:
            if fault.errno == errno.EPIPE:
                # Whoever read the output, such as head, has had enough of it.
                _give_up_output()
                sys.exit(1)
            if fault.errno not in _FULL or fault.filename is not None:
                _tell(fault)
            _give_up_output()
            click.echo(_UNWRITTEN.format(why=fault.strerror), err=True)
            sys.exit(2)
        except Exception as fault:
            _tell(fault)


def _tell(fault: Exception) -> NoReturn:
    if os.environ.get(TRACE):
        traceback.print_exc()
    click.echo(_FAULT.format(kind=type(fault).__name__, place=_place(fault)), err=True)
    sys.exit(1)


def _give_up_output() -> None:
    """Let what could not be written go nowhere, or Python complains of it once more at the end."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)


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
