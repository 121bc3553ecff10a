"""Changes taken in: judged one by one, kept or quarantined, answered in the order sent.

Not for: HTTP, or making changes (`saving`).
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Protocol

import attrs
from sqlite_utils import Database

from scout.notebook.canonical import plain
from scout.notebook.judging import Fault, Judged, judge
from scout.notebook.merge import Edit
from scout.notebook.store import heads, journal
from scout.notebook.store.trouble import in_words

_TAKEN = Fault(
    "id_taken", "id", "The id belongs to another change already; give this one an id of its own."
)
_UNKEEPABLE = Fault("shape", "", "The database cannot hold this change; mend its values.")


@attrs.frozen(kw_only=True)
class Answer:
    """What became of one change.

    `ok` or `duplicate` with its seq, `quarantined` with why, `retry` with a code.
    """

    status: str
    seq: int | None = None
    code: str | None = None
    field: str | None = None
    message: str | None = None

    def as_json(self) -> dict[str, object]:
        """Answer the parts that are there."""
        return attrs.asdict(self, filter=lambda _, value: value is not None)


def judge_all(changes: Iterable[object]) -> list[Judged]:
    """Judge changes as they came, save those that were judged on reading; needs no database."""
    return [raw if isinstance(raw, Judged) else judge(raw) for raw in changes]


class Gate(Protocol):
    """Who may write what: asked within the transaction, so that nothing comes in between."""

    def opened(self, db: Database) -> None:
        """Look whether the writer may write at all; what this raises refuses the whole batch."""

    def fault(self, one: Judged) -> Fault | None:
        """Say why a change that is not here yet may not enter, or None.

        What this raises refuses the whole batch.
        """

    def passed(self, db: Database, changes: Sequence[Mapping[str, Any]]) -> None:
        """Hear which changes entered."""


def take(
    db: Database,
    judged: Sequence[Judged],
    at: str,
    vias: Sequence[str],
    gate: Gate | None = None,
) -> list[Answer]:
    """Take judged changes into journal or quarantine, in a transaction that the caller holds.

    `vias`: how each came (push, relay, …). Answers one by one, in order.
    """
    if gate is not None:
        gate.opened(db)
    ids = [one.id for one in judged if one.id]
    here = journal.present(db, ids)
    parked = journal.in_quarantine(db, {one.id for one in judged})
    before = last = journal.end(db)
    edits: list[Edit] = []
    entered: list[Mapping[str, Any]] = []
    answers: list[Answer] = []
    for one, via in zip(judged, vias, strict=True):
        fault = one.fault
        if one.id in here:
            seq, sha256 = here[one.id]
            if sha256 == one.sha256:
                answers.append(Answer(status="duplicate", seq=seq))
                continue
            fault = _TAKEN
        if (one.id, one.sha256) in parked:
            answers.append(_quarantined(parked[one.id, one.sha256]))
            continue
        if gate is not None:
            fault = gate.fault(one) or fault
        if fault is None and one.written is None:
            answers.append(Answer(status="retry", code="server_older"))
            continue
        if fault is None and one.written is not None:
            added = _added(db, one, last, at, via)
            if added is not None:
                last = added
                here[one.id] = (last.seq, one.sha256)
                edits.append(one.written.edit)
                entered.append(one.written.change)
                answers.append(Answer(status="ok", seq=last.seq))
                continue
            fault = _UNKEEPABLE
        assert fault is not None
        journal.quarantine(db, one.id, one.sha256, one.body, fault, at, via)
        parked[one.id, one.sha256] = fault
        answers.append(_quarantined(fault))
    heads.apply(db, edits, before.seq)
    if gate is not None:
        gate.passed(db, entered)
    return answers


def retry_quarantine(db: Database, at: str) -> int:
    """Judge again what is in quarantine; what passes enters under its old id. Answers how many.

    For when the schema has risen: what this program did not know before it may know now.
    """
    entered: list[Edit] = []
    before = last = journal.end(db)
    rows = journal.quarantined(db)
    here = journal.present(db, (row["change_id"] for row in rows))
    for row in rows:
        one = judge(plain(row["body_json"]))
        if one.written is None or one.id in here:
            continue
        added = _added(db, one, last, at, row["received_via"])
        if added is not None:
            last = added
            here[one.id] = (last.seq, one.sha256)
            entered.append(one.written.edit)
            journal.release(db, row["number"])
    heads.apply(db, entered, before.seq)
    return len(entered)


def _added(
    db: Database, one: Judged, last: journal.Place, at: str, via: str
) -> journal.Place | None:
    """Add one change in a savepoint; None if the database cannot hold it: it delays no other."""
    assert one.written is not None
    db.conn.execute("SAVEPOINT one_change")
    try:
        added = journal.add(db, one.written, last, at, via)
    except (sqlite3.Error, OverflowError, UnicodeError, ValueError) as error:
        if isinstance(error, sqlite3.Error) and in_words(error) is not None:
            raise  # the file or the disk: no fault of the change's
        db.conn.execute("ROLLBACK TO one_change")
        added = None
    db.conn.execute("RELEASE one_change")
    return added


def _quarantined(fault: Fault) -> Answer:
    return Answer(status="quarantined", code=fault.code, field=fault.field, message=fault.message)
