"""What happened at the door, written down for the owners: who, what, when; no secret, no position.

Not for: what was written in the notebook (its journal), or the server's log (`errors`).
"""

from __future__ import annotations

import datetime as dt
from typing import Any, Final

from sqlite_utils import Database

from scout.notebook.clock import written
from scout.notebook.store import ledger, people

EVENTS: Final = {
    "pairing_asked": "asked to be paired",
    "pairing_printed": "was given a one-time code",
    "pairing_denied": "refused a device",
    "pairing_burnt": "a code was burnt by wrong tries",
    "wrong_code": "a wrong code was typed",
    "tries_paused": "too many wrong codes: nobody may try for a while",
    "paired": "was paired",
    "device_named": "got another name",
    "device_revoked": "was taken off",
    "device_left": "left by itself",
    "person_added": "added a person",
    "person_changed": "changed a person",
    "person_removed": "removed a person",
    "group_undone": "had its Saves undone",
    "backup_made": "a backup was made",
    "backup_failed": "a backup failed",
    "drill_done": "a restore was tried out",
    "exported": "something was exported",
}
"""Every event by its word, and what is said of it."""


def note(
    db: Database,
    now: dt.datetime,
    event: str,
    *,
    person: str | None = None,
    device: str | None = None,
    detail: str = "",
) -> None:
    """Write down one event, within a writing transaction."""
    if event not in EVENTS:
        raise ValueError(f"{event} is not an event of the audit log; add it to EVENTS")
    ledger.audit(db, written(now), event, detail[:200], device, person)


def listed(db: Database, before: int | None, limit: int) -> list[dict[str, Any]]:
    """Answer events for people, the latest first, with names in the place of ids."""
    names = {one.id: one.name for one in people.persons(db)}
    devices = {one.id: one.name for one in people.devices(db)}
    return [
        {
            "number": row["number"],
            "at": row["at"],
            "event": row["what"],
            "says": EVENTS.get(row["what"], row["what"]),
            "person": names.get(row["person_id"]),
            "device": devices.get(row["device_id"]),
            "detail": row["detail"],
        }
        for row in ledger.audited(db, before, limit)
    ]
