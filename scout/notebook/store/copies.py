"""Whole database files: copied as one state, looked into, and given a new epoch.

Not for: the open notebook's own file (`database`), save to put a restored state into it.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlite_utils import Database

from scout.notebook.store import integrity
from scout.notebook.store.trouble import in_words

_BESIDE = ("-journal", "-wal", "-shm")


def copy(source: Path, target: Path) -> None:
    """Copy a database over another, or to a new file, by SQLite's online backup.

    Raises sqlite3.Error where one of them is damaged.
    """
    if not target.exists():  # it holds exact places: for its owner alone
        target.touch(mode=0o600)
    with looking_into(source) as db, closing(sqlite3.connect(target)) as into:
        db.conn.backup(into)


def stand_alone(path: Path) -> None:
    """Make a copy one file that needs no other beside it, and make it outlive a loss of power."""
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("PRAGMA journal_mode=DELETE")
    with path.open("rb+") as file:
        os.fsync(file.fileno())


@contextmanager
def looking_into(path: Path) -> Iterator[Database]:
    """Open a database file for reading only."""
    with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as conn:
        conn.isolation_level = None
        yield Database(conn, execute_plugins=False)


def is_sound(path: Path) -> bool:
    """Tell whether a file is a whole notebook database; changes nothing."""
    if not path.is_file():
        return False
    try:
        with looking_into(path) as db:
            names = {row[0] for row in db.conn.execute("SELECT name FROM sqlite_master")}
            return {"journal", "meta"} <= names and not list(integrity.troubles(db))
    except (sqlite3.DatabaseError, UnicodeDecodeError):
        return False


def begin_epoch(path: Path, epoch: str) -> None:
    """Write a new epoch into a copy that is about to become the notebook."""
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("UPDATE meta SET epoch = ?", (epoch,))
        conn.commit()


def take_place(restored: Path, path: Path) -> None:
    """Put a restored database in the place of the notebook's own.

    Through SQLite where the old file can still be written, so that programs which have it open see
    the new state; else by renaming, with what lay beside the old file taken away, for it would be
    played into the
    new one.
    """
    if path.exists():
        try:
            copy(restored, path)
        except sqlite3.DatabaseError as error:
            trouble = in_words(error)
            if trouble is None or trouble.code != "damaged":
                raise
        else:
            restored.unlink()
            return
    for ending in _BESIDE:
        Path(f"{path}{ending}").unlink(missing_ok=True)
    os.replace(restored, path)


def set_aside(path: Path, into: Path) -> list[Path]:
    """Copy a notebook's file, whatever its state, so that nothing in it is lost."""
    try:
        copy(path, into)
        return [into]
    except sqlite3.DatabaseError:
        kept = []
        for ending in ("", *_BESIDE):
            piece = Path(f"{path}{ending}")
            if piece.is_file() and piece.stat().st_size:
                kept.append(Path(f"{into}{ending}"))
                kept[-1].write_bytes(piece.read_bytes())
        return kept
