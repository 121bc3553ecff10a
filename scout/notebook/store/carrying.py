"""Who may come in, carried from a notebook's old file into the state that was restored over it.

A backup is older than the last device that was taken off; its tokens must not open the door again.
Not for: the journal (phones bring that back themselves).
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

_ADDED = ("person", "device")
_REPLACED = ("person_site", "token", "attempt", "pause", "audit")
_BEGUN_ANEW = ("hidden", "pairing")


def carry_door(old: Path | None, new: Path) -> bool:
    """Take over people, devices, tokens and the audit log from a notebook's own older file.

    Answers whether that was done. Where it cannot be (no old file, damaged, or another notebook's),
    every token is dropped: then all devices pair again.
    """
    with closing(sqlite3.connect(new.resolve().as_uri(), uri=True)) as conn:
        conn.isolation_level = None
        if old is not None:
            conn.execute("ATTACH DATABASE ? AS old", (f"{old.resolve().as_uri()}?mode=ro",))
        conn.execute("BEGIN IMMEDIATE")
        carried = old is not None and _is_same(conn) and _take_over(conn)
        if not carried:
            conn.execute("DELETE FROM main.token")
        for table in _BEGUN_ANEW:
            conn.execute(f"DELETE FROM main.{table}")
        conn.execute("COMMIT")
        return carried


def _is_same(conn: sqlite3.Connection) -> bool:
    """Tell whether both files are one notebook's: its own device is made once."""
    try:
        old, new = (
            conn.execute(f"SELECT device_id FROM {schema}.meta").fetchone()
            for schema in ("old", "main")
        )
    except sqlite3.DatabaseError:
        return False
    return old is not None and old == new


def _take_over(conn: sqlite3.Connection) -> bool:
    conn.execute("SAVEPOINT taking")
    try:
        for table in _ADDED:
            conn.execute(f"INSERT OR REPLACE INTO main.{table} SELECT * FROM old.{table}")
        for table in _REPLACED:
            conn.execute(f"DELETE FROM main.{table}")
            conn.execute(f"INSERT INTO main.{table} SELECT * FROM old.{table}")
    except sqlite3.DatabaseError:  # of an older program, or damaged just there
        conn.execute("ROLLBACK TO taking")
        return False
    finally:
        conn.execute("RELEASE taking")
    return True
