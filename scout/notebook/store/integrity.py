"""The file's own soundness, as SQLite sees it.

Not for: whether the tables mean what the journal says (`heads.differences`).
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

from sqlite_utils import Database


def troubles(db: Database) -> Iterator[str]:
    """Answer what SQLite's own check finds, in its words; nothing for a sound file."""
    try:
        for (says,) in db.conn.execute("PRAGMA integrity_check"):
            if says != "ok":
                yield str(says).replace("\n", " ")
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        yield str(error)


def count(db: Database) -> int:
    """Answer how many rows the journal has."""
    return int(db.conn.execute("SELECT count(*) FROM journal").fetchone()[0])
