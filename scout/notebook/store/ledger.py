"""What the notebook keeps about itself: epoch, schema, backups, loaded folders, blobs.

Not for: records or changes.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import attrs
from sqlite_utils import Database


@attrs.frozen
class Meta:
    """One notebook's own facts.

    `epoch` is new after every restore; up to `durable_seq` all is in a backup elsewhere.
    """

    epoch: str
    schema: int
    durable_seq: int
    device_id: str
    tables_sha256: str


_META = "epoch, schema, durable_seq, device_id, tables_sha256"


def meta(db: Database) -> Meta | None:
    """Answer the notebook's facts, None for one just made."""
    row = db.conn.execute(f"SELECT {_META} FROM meta").fetchone()
    return None if row is None else Meta(*row)


def store_meta(db: Database, facts: Meta) -> None:
    """Keep the notebook's facts."""
    db.conn.execute(
        f"INSERT OR REPLACE INTO meta (one, {_META}) VALUES (1,?,?,?,?,?)", attrs.astuple(facts)
    )


def audit(
    db: Database,
    at: str,
    what: str,
    detail: str = "",
    device: str | None = None,
    person: str | None = None,
) -> None:
    """Write down that something was done; never with a position or a secret in it."""
    db.conn.execute(
        "INSERT INTO audit (at, person_id, device_id, what, detail) VALUES (?,?,?,?,?)",
        (at, person, device, what, detail),
    )


def audited(db: Database, before: int | None, limit: int) -> list[dict[str, Any]]:
    """Answer what was done, the latest first, from before a number on."""
    names = "number, at, person_id, device_id, what, detail"
    rows = db.conn.execute(
        f"SELECT {names} FROM audit WHERE number < ? ORDER BY number DESC LIMIT ?",
        (2**62 if before is None else before, limit),
    )
    return [dict(zip(names.split(", "), row, strict=True)) for row in rows]


def store_device(db: Database, device: str, name: str, at: str) -> None:
    """Make a device known, if it is not yet."""
    db.conn.execute(
        "INSERT OR IGNORE INTO device (id, name, paired_at) VALUES (?,?,?)", (device, name, at)
    )


def store_backup(db: Database, at: str, path: str, epoch: str, seq: int, elsewhere: bool) -> None:
    """Write down a verified backup; one on another disk makes its changes durable."""
    db.conn.execute(
        "INSERT INTO backup (at, path, epoch, seq, on_another_disk) VALUES (?,?,?,?,?)",
        (at, path, epoch, seq, int(elsewhere)),
    )
    if elsewhere:
        db.conn.execute("UPDATE meta SET durable_seq = max(durable_seq, ?)", (seq,))


def backups(db: Database, limit: int) -> list[dict[str, Any]]:
    """Answer the backups that were made, the latest first."""
    names = "at, path, seq, on_another_disk"
    rows = db.conn.execute(f"SELECT {names} FROM backup ORDER BY number DESC LIMIT ?", (limit,))
    return [dict(zip(names.split(", "), row, strict=True)) for row in rows]


# -- folders of records that were loaded


def store_folder(db: Database, folder: str, name: str, at: str, words: Mapping[str, str]) -> None:
    """Remember a folder that was loaded, with the words it used for ids (id → word)."""
    db.conn.execute("INSERT OR REPLACE INTO folder VALUES (?,?,?)", (folder, name, at))
    db.conn.executemany(
        "INSERT OR REPLACE INTO folder_word VALUES (?,?,?)",
        [(folder, record, word) for record, word in words.items()],
    )


def folders(db: Database) -> list[dict[str, Any]]:
    """Answer the folders that were loaded, the latest first, with their words."""
    found = []
    for folder, name, at in db.conn.execute(
        "SELECT id, name, loaded_at FROM folder ORDER BY loaded_at DESC, id"
    ).fetchall():
        words = db.conn.execute(
            "SELECT record_id, word FROM folder_word WHERE folder_id = ?", (folder,)
        )
        found.append({"id": folder, "name": name, "loaded_at": at, "words": dict(words)})
    return found


# -- blobs


def blobs(db: Database) -> list[dict[str, Any]]:
    """Answer every blob that is known, whether its bytes have come or not."""
    names = "sha256, size_bytes, media_type, completed_at, checked_at, backed_up_at, damaged_at"
    rows = db.conn.execute(f"SELECT {names} FROM blob ORDER BY sha256")
    return [dict(zip(names.split(", "), row, strict=True)) for row in rows]


def store_blob(db: Database, sha256: str, size_bytes: int, media_type: str | None, at: str) -> None:
    """Write down that a blob's bytes are here, whole and verified."""
    db.conn.execute(
        "INSERT INTO blob (sha256, size_bytes, media_type, completed_at, checked_at)"
        " VALUES (?,?,?,?,?)"
        " ON CONFLICT (sha256) DO UPDATE SET size_bytes = excluded.size_bytes,"
        " media_type = coalesce(excluded.media_type, media_type),"
        " completed_at = coalesce(completed_at, excluded.completed_at),"
        " checked_at = excluded.checked_at, damaged_at = NULL",
        (sha256, size_bytes, media_type, at, at),
    )


def mark_blobs_checked(db: Database, hashes: list[str], at: str) -> None:
    """Write down that these blobs' bytes were hashed again and are right."""
    db.conn.executemany(
        "UPDATE blob SET checked_at = ?, damaged_at = NULL WHERE sha256 = ?",
        [(at, sha256) for sha256 in hashes],
    )


def mark_blobs_damaged(db: Database, hashes: list[str], at: str) -> None:
    """Write down that these blobs' bytes are gone or are not what their names say."""
    db.conn.executemany(
        "UPDATE blob SET damaged_at = coalesce(damaged_at, ?) WHERE sha256 = ?",
        [(at, sha256) for sha256 in hashes],
    )


def mark_blobs_backed_up(db: Database, hashes: list[str], at: str) -> None:
    """Write down that these blobs' bytes lie, verified, on another disk."""
    db.conn.executemany(
        "UPDATE blob SET backed_up_at = ? WHERE sha256 = ?", [(at, sha256) for sha256 in hashes]
    )
