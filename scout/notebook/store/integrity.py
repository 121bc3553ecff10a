"""The file's own soundness, as SQLite sees it.

Not for: whether the tables mean what the journal says (`heads.differences`).
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

from sqlite_utils import Database


def troubles(db: Database) -> Iterator[str]:
    """Answer what SQLite's own check finds, in its words; nothing for a sound file."""
    try:
        for (says,) in db.conn.execute("PRAGMA integrity_check"):
            if says != "ok":
                yield str(says).replace("\n", " ")
    except sqlite3.DatabaseError as error:
        yield str(error)


def count(db: Database) -> int:
    """Answer how many rows the journal has."""
    return int(db.conn.execute("SELECT count(*) FROM journal").fetchone()[0])


def is_sound_notebook(path: Path) -> bool:
    """Tell whether a file is a whole database with a journal in it; changes nothing."""
    if not path.is_file():
        return False
    conn = sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)
    try:
        names = {row[0] for row in conn.execute("SELECT name FROM sqlite_master")}
        whole = [row[0] for row in conn.execute("PRAGMA integrity_check")]
        return {"journal", "meta"} <= names and whole == ["ok"]
    except sqlite3.DatabaseError:
        return False
    finally:
        conn.close()


def copy_file(source: Path, target: Path) -> None:
    """Copy a whole database over another (or to a new file) by SQLite's online backup, as one
    state.
    """
    origin = sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)
    try:
        copy = sqlite3.connect(target)
        try:
            origin.backup(copy)
        finally:
            copy.close()
    finally:
        origin.close()
