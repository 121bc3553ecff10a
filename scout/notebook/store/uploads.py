"""Photos on their way here: how many bytes of each are safely on the disk.

Not for: the bytes (`scout.notebook.uploads`), or blobs that are whole (`ledger`).
"""

from __future__ import annotations

import attrs
from sqlite_utils import Database


@attrs.frozen
class Upload:
    """One blob on its way: how large it will be, how much of it is here."""

    sha256: str
    size_bytes: int
    offset_bytes: int


@attrs.frozen
class Whole:
    """One blob that came whole; `damaged`: found gone or changed since."""

    sha256: str
    size_bytes: int
    media_type: str | None
    damaged: bool = False


def whole(db: Database, sha256: str) -> Whole | None:
    """Answer a blob that came whole, or None."""
    row = db.conn.execute(
        "SELECT sha256, size_bytes, media_type, damaged_at IS NOT NULL FROM blob"
        " WHERE sha256 = ? AND completed_at IS NOT NULL",
        (sha256,),
    ).fetchone()
    return None if row is None else Whole(row[0], row[1], row[2], bool(row[3]))


def underway(db: Database, sha256: str) -> Upload | None:
    """Answer a blob that is on its way, or None."""
    row = db.conn.execute(
        "SELECT sha256, size_bytes, offset_bytes FROM blob_upload WHERE sha256 = ?", (sha256,)
    ).fetchone()
    return None if row is None else Upload(*row)


def count(db: Database) -> int:
    """Answer how many blobs are on their way."""
    return int(db.conn.execute("SELECT count(*) FROM blob_upload").fetchone()[0])


def store(db: Database, upload: Upload, device: str | None, at: str) -> None:
    """Write down how far a blob has come."""
    db.conn.execute(
        "INSERT INTO blob_upload VALUES (?,?,?,?,?,?) ON CONFLICT (sha256) DO UPDATE SET"
        " size_bytes = excluded.size_bytes, offset_bytes = excluded.offset_bytes,"
        " touched_at = excluded.touched_at",
        (upload.sha256, upload.size_bytes, upload.offset_bytes, device, at, at),
    )


def drop(db: Database, sha256: str) -> None:
    """Forget a blob that was on its way."""
    db.conn.execute("DELETE FROM blob_upload WHERE sha256 = ?", (sha256,))


def before(db: Database, at: str) -> list[str]:
    """Answer the blobs on their way that were last touched before a time, the oldest first."""
    rows = db.conn.execute(
        "SELECT sha256 FROM blob_upload WHERE touched_at < ? ORDER BY touched_at", (at,)
    )
    return [str(row[0]) for row in rows]
