"""A mark that a server is at work on a notebook, so that nobody swaps the file under it.

The mark is a lock that the system lets go when the program ends, however it ends. Not for: writing,
which the database itself keeps in turn.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Final

from scout.records.trouble import Refused

_FILE: Final = "at_work.lock"


@contextmanager
def at_work(folder: Path) -> Iterator[None]:
    """Mark a notebook as served while the block runs; several may serve it."""
    try:
        file = (folder / _FILE).open("a")
    except OSError:  # a notebook that can only be read is served all the same
        yield
        return
    with file:
        _lock(file, shared=True)
        yield


def refuse_at_work(folder: Path) -> None:
    """Raise Refused where a server is at work on the notebook."""
    if not (folder / _FILE).exists():
        return
    with (folder / _FILE).open("a") as file:
        if not _lock(file, shared=False):
            raise Refused.one("this notebook is being served; stop scout serve first, then restore")


def _lock(file: IO[str], *, shared: bool) -> bool:
    try:
        import fcntl
    except ImportError:  # a system without such locks
        return True
    try:
        fcntl.flock(file, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
