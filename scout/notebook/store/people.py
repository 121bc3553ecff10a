"""Who may ask: persons and their devices.

Not for: deciding what a role may do (the server's).
"""

from __future__ import annotations

from sqlite_utils import Database


def owner(db: Database) -> str | None:
    """Answer the id of the notebook's first owner, or None."""
    row = db.conn.execute(
        "SELECT id FROM person WHERE role = 'owner' AND removed_at IS NULL ORDER BY added_at, id"
    ).fetchone()
    return None if row is None else str(row[0])


def store_owner(db: Database, person: str, name: str, at: str) -> str:
    """Make a person the owner where there is none yet; answer who is."""
    found = owner(db)
    if found is not None:
        return found
    db.conn.execute(
        "INSERT INTO person (id, name, role, added_at) VALUES (?,?,'owner',?)", (person, name, at)
    )
    return person
