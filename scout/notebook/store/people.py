"""Persons with their roles and sites, and the devices that are theirs.

Not for: deciding what a role may do (the server's), or tokens and codes (`door`).
"""

from __future__ import annotations

from collections.abc import Iterable

import attrs
from sqlite_utils import Database


@attrs.frozen(kw_only=True)
class Person:
    """A person: `sites` are the ids of those they may see, None for all."""

    id: str
    name: str
    role: str
    added_at: str
    removed_at: str | None
    sites: frozenset[str] | None


@attrs.frozen(kw_only=True)
class Device:
    """A device: whose it is, when it was seen, revoked, asked to wipe itself.

    `sight` is what its person could see when it last began to pull from the start.
    """

    id: str
    person_id: str | None
    name: str
    paired_at: str
    seen_at: str | None
    revoked_at: str | None
    wipe_asked_at: str | None
    sight: str | None


_PERSON = "id, name, role, added_at, removed_at, all_sites"
_DEVICE = "id, person_id, name, paired_at, seen_at, revoked_at, wipe_asked_at, sight"


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


def person(db: Database, person_id: str) -> Person | None:
    """Answer a person, also one removed; None where there is no such one."""
    row = db.conn.execute(f"SELECT {_PERSON} FROM person WHERE id = ?", (person_id,)).fetchone()
    return None if row is None else _person(db, row)


def persons(db: Database) -> list[Person]:
    """Answer everybody, also those removed, in the order in which they came."""
    rows = db.conn.execute(f"SELECT {_PERSON} FROM person ORDER BY added_at, id").fetchall()
    return [_person(db, row) for row in rows]


def _person(db: Database, row: tuple[str, str, str, str, str | None, int]) -> Person:
    id_, name, role, added_at, removed_at, all_sites = row
    listed = db.conn.execute("SELECT site_id FROM person_site WHERE person_id = ?", (id_,))
    return Person(
        id=id_,
        name=name,
        role=role,
        added_at=added_at,
        removed_at=removed_at,
        sites=None if all_sites else frozenset(site for (site,) in listed),
    )


def store_person(db: Database, one: Person) -> None:
    """Keep a person as they are now."""
    db.conn.execute(
        f"INSERT INTO person ({_PERSON}) VALUES (?,?,?,?,?,?) ON CONFLICT (id) DO UPDATE SET"
        " name = excluded.name, role = excluded.role, removed_at = excluded.removed_at,"
        " all_sites = excluded.all_sites",
        (one.id, one.name, one.role, one.added_at, one.removed_at, int(one.sites is None)),
    )
    db.conn.execute("DELETE FROM person_site WHERE person_id = ?", (one.id,))
    db.conn.executemany(
        "INSERT INTO person_site VALUES (?,?)", [(one.id, site) for site in sorted(one.sites or ())]
    )


def device(db: Database, device_id: str) -> Device | None:
    """Answer a device; None where there is no such one."""
    row = db.conn.execute(f"SELECT {_DEVICE} FROM device WHERE id = ?", (device_id,)).fetchone()
    return None if row is None else _device(row)


def devices(db: Database) -> list[Device]:
    """Answer every device that was ever paired, the latest first."""
    rows = db.conn.execute(
        f"SELECT {_DEVICE} FROM device WHERE person_id IS NOT NULL ORDER BY paired_at DESC, id"
    )
    return [_device(row) for row in rows]


def _device(row: Iterable[str | None]) -> Device:
    values = dict(zip(_DEVICE.split(", "), row, strict=True))
    return Device(**values)  # type: ignore[arg-type]


def store_paired(db: Database, device_id: str, person_id: str, name: str, at: str) -> None:
    """Make a device a person's, whatever it was before; `sight` stays, to notice another scope."""
    db.conn.execute(
        "INSERT INTO device (id, person_id, name, paired_at) VALUES (?,?,?,?)"
        " ON CONFLICT (id) DO UPDATE SET person_id = excluded.person_id, name = excluded.name,"
        " paired_at = excluded.paired_at, revoked_at = NULL, wipe_asked_at = NULL",
        (device_id, person_id, name, at),
    )


def store_device_name(db: Database, device_id: str, name: str) -> None:
    """Give a device another name."""
    db.conn.execute("UPDATE device SET name = ? WHERE id = ?", (name, device_id))


def store_seen(db: Database, device_id: str, at: str) -> None:
    """Write down when a device last asked."""
    db.conn.execute("UPDATE device SET seen_at = ? WHERE id = ?", (at, device_id))


def store_sight(db: Database, device_id: str, sight: str) -> None:
    """Write down what a device's person can see as it begins to pull from the start."""
    db.conn.execute("UPDATE device SET sight = ? WHERE id = ?", (sight, device_id))


def revoke(db: Database, device_id: str, at: str, *, wipe: bool) -> None:
    """Take a device's right away, from this moment on."""
    db.conn.execute(
        "UPDATE device SET revoked_at = coalesce(revoked_at, ?),"
        " wipe_asked_at = CASE WHEN ? THEN coalesce(wipe_asked_at, ?) ELSE wipe_asked_at END"
        " WHERE id = ?",
        (at, int(wipe), at, device_id),
    )
