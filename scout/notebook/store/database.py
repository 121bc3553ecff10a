"""The file and its connections: one that writes, behind one lock, and one per thread that reads.

`writing` is the only door to a write. Not for: what is written (the other modules here).
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlite_utils import Database

from scout.notebook.store.tables import steps
from scout.notebook.store.trouble import told_in_words

_WAIT_S = 5.0  # for another program's write


def wal_is_sound(version: tuple[int, int, int]) -> bool:
    """Tell whether a version of SQLite keeps a write-ahead log whole.

    3.7.0 to 3.51.2 may corrupt it ("WAL reset bug", sqlite.org/wal.html), save 3.50.7 and 3.44.6 of
    the older lines.
    """
    return (
        version >= (3, 51, 3)
        or (3, 50, 7) <= version < (3, 51, 0)
        or (3, 44, 6) <= version < (3, 45, 0)
    )


class Store:
    """An open database file."""

    def __init__(
        self, path: Path, connection: type[sqlite3.Connection] = sqlite3.Connection
    ) -> None:
        """Open the file, making or bringing up to date its tables; raises StoreTrouble."""
        self.path = path
        self._connection = connection
        self._lock = threading.RLock()
        self._readers = threading.local()
        self._open: list[sqlite3.Connection] = []
        self._open_lock = threading.Lock()
        try:
            with told_in_words():
                if not path.exists():  # it will hold exact places: for its owner alone
                    path.touch(mode=0o600)
                self._writer = self._connect()
                self._choose_journal_mode()
                if steps.pending(self._writer):
                    with self.writing() as db:
                        steps.apply(db)
        except BaseException:
            self.close()
            raise

    def _connect(self) -> Database:
        conn = sqlite3.connect(
            self.path, timeout=_WAIT_S, check_same_thread=False, factory=self._connection
        )
        with self._open_lock:
            self._open.append(conn)
        conn.isolation_level = None  # transactions begin and end where they are written, only
        conn.execute("PRAGMA synchronous=FULL")
        conn.execute("PRAGMA fullfsync=ON")
        return Database(conn, execute_plugins=False)

    def _choose_journal_mode(self) -> None:
        wanted = "wal" if wal_is_sound(sqlite3.sqlite_version_info[:3]) else "truncate"
        conn = self._writer.conn
        kept = conn.execute("PRAGMA journal_mode").fetchone()[0]
        try:
            if kept != wanted and (wanted == "wal" or kept == "wal"):
                conn.execute(f"PRAGMA journal_mode={wanted}")
            elif wanted == "truncate":  # kept by the connection, not by the file
                conn.execute("PRAGMA journal_mode=TRUNCATE")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_READONLY:
                raise  # a file that can only be read is still worth reading

    @contextmanager
    def writing(self) -> Iterator[Database]:
        """Hold the write lock from the first statement, so a read cannot go stale before its write.

        Commits at the end, rolls back on any exception. Raises StoreTrouble.
        """
        with self._lock, told_in_words():
            db = self._writer
            db.conn.execute("BEGIN IMMEDIATE")
            try:
                yield db
                db.commit()
            except BaseException:
                db.rollback()
                raise

    @contextmanager
    def reading(self) -> Iterator[Database]:
        """Read one state of the database, on this thread's own connection. Raises StoreTrouble."""
        with told_in_words():
            db: Database | None = getattr(self._readers, "db", None)
            if db is None:
                db = self._readers.db = self._connect()
                db.conn.execute("PRAGMA query_only=ON")
            if db.conn.in_transaction:  # a reading within a reading sees the same state
                yield db
                return
            db.conn.execute("BEGIN")
            try:
                yield db
            finally:
                db.rollback()

    def copy_to(self, path: Path) -> None:
        """Copy the whole database by SQLite's online backup, as one state. Raises StoreTrouble."""
        with told_in_words():
            if not path.exists():
                path.touch(mode=0o600)
            target = sqlite3.connect(path)
            try:
                with self.reading() as db:
                    db.conn.backup(target)
            finally:
                target.close()

    def close(self) -> None:
        """Close every connection."""
        with self._open_lock:
            for conn in self._open:
                conn.close()
            self._open.clear()
