"""What can go wrong with the file itself, in words, with a code for programs.

Not for: bad input (`scout.records.trouble`); nothing that a person typed is answered from here.
"""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

_WORDS = {
    "full": "there is no room left on the disk; free some and try again, nothing was saved",
    "read_only": "the notebook's file cannot be written; check its permissions, nothing was saved",
    "busy": "another program is writing to the notebook; try again in a moment, nothing was saved",
    "damaged": "the notebook's file is damaged; run the check, and restore a backup if it says so",
    "unreadable": "the notebook's file cannot be opened; check its place and permissions",
    "disk": "the disk refused to read or write; nothing was saved, check the disk and try again",
}
_CODES = {
    sqlite3.SQLITE_READONLY_DBMOVED: "unreadable",  # taken away while it was open
    sqlite3.SQLITE_FULL: "full",
    sqlite3.SQLITE_READONLY: "read_only",
    sqlite3.SQLITE_BUSY: "busy",
    sqlite3.SQLITE_LOCKED: "busy",
    sqlite3.SQLITE_CORRUPT: "damaged",
    sqlite3.SQLITE_NOTADB: "damaged",
    sqlite3.SQLITE_CANTOPEN: "unreadable",
    sqlite3.SQLITE_PERM: "unreadable",
    sqlite3.SQLITE_AUTH: "unreadable",
    sqlite3.SQLITE_IOERR: "disk",
}
_SYSTEM_CODES = {
    errno.ENOSPC: "full",
    errno.EDQUOT: "full",
    errno.EFBIG: "full",
    errno.EROFS: "read_only",
    errno.EIO: "disk",
}


class StoreTrouble(Exception):
    """The file or its disk failed; what was being written was rolled back."""

    def __init__(self, code: str) -> None:
        self.code = code
        words = _WORDS[code]
        super().__init__(f"{words[0].upper()}{words[1:]}.")


def in_words(error: sqlite3.Error) -> StoreTrouble | None:
    """Answer the trouble behind an error of the database, or None for a fault of the program."""
    number = getattr(error, "sqlite_errorcode", None)
    if number is None:  # raised by Python's own part: text that is none any more
        return StoreTrouble("damaged") if "decode" in str(error) else None
    code = _CODES.get(number) or _CODES.get(number & 0xFF)
    return None if code is None else StoreTrouble(code)


@contextmanager
def told_in_words() -> Iterator[None]:
    """Turn errors of the database and the system into StoreTrouble, where file or disk failed."""
    try:
        yield
    except sqlite3.Error as error:
        trouble = in_words(error)
        if trouble is None:
            raise
        raise trouble from error
    except UnicodeDecodeError as error:
        raise StoreTrouble("damaged") from error
    except OSError as error:
        code = _SYSTEM_CODES.get(error.errno or 0)
        if code is None:
            raise
        raise StoreTrouble(code) from error
