"""The journal's rows, in the order they came, each chained to all before it; the quarantine.

Rows are only ever added. Not for: what they mean (`heads`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import attrs
from sqlite_utils import Database

from scout.notebook.canonical import FIRST_CHAIN, link, plain
from scout.notebook.judging import Fault, Written

_AT_ONCE = 500  # places in one IN (…)

_BODY_COLUMNS = (
    "seq, change_id, device_id, device_seq, record_id, kind, set_json, base_json, seen_json,"
    " hlc, wall, tz_min, schema, group_id"
)
_INSERT = """INSERT INTO journal (seq, change_id, device_id, device_seq, record_id, kind, set_json,
 base_json, seen_json, hlc, wall, tz_min, schema, group_id, received_at, received_via, body_sha256,
 chain) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)"""


@attrs.frozen
class Place:
    """A place in the journal: its number and the chain up to it."""

    seq: int
    chain: str


@attrs.frozen
class Kept:
    """One row of the journal with its change as canonical text."""

    seq: int
    id: str
    body: str
    body_sha256: str
    chain: str
    record: str


def chunks(items: Iterable[str]) -> Iterator[tuple[list[str], str]]:
    """Cut ids into pieces that fit a statement; with each the places for it."""
    held = sorted(set(items))
    for start in range(0, len(held), _AT_ONCE):
        piece = held[start : start + _AT_ONCE]
        yield piece, ",".join("?" * len(piece))


def end(db: Database) -> Place:
    """Answer the last place in the journal; number 0 for an empty one."""
    row = db.conn.execute("SELECT seq, chain FROM journal ORDER BY seq DESC LIMIT 1").fetchone()
    return Place(0, FIRST_CHAIN) if row is None else Place(*row)


def place(db: Database, seq: int) -> Place | None:
    """Answer the place of a number, or None where the journal has not come to it."""
    if seq == 0:
        return Place(0, FIRST_CHAIN)
    row = db.conn.execute("SELECT seq, chain FROM journal WHERE seq = ?", (seq,)).fetchone()
    return None if row is None else Place(*row)


def add(db: Database, written: Written, after: Place, at: str, via: str) -> Place:
    """Add one change after the last one; answer its place."""
    change = written.change
    seq, chain = after.seq + 1, link(after.chain, change["id"], written.sha256)
    db.conn.execute(
        _INSERT,
        (
            seq,
            change["id"],
            change["device"],
            int(change["device_seq"]),
            change["record"],
            change["kind"],
            written.set_json,
            written.base_json,
            written.seen_json,
            change["hlc"],
            int(change["wall"]),
            int(change["tz_min"]),
            int(change["schema"]),
            change.get("group"),
            at,
            via,
            written.sha256,
            chain,
        ),
    )
    return Place(seq, chain)


def present(db: Database, ids: Iterable[str]) -> dict[str, tuple[int, str]]:
    """Answer number and body hash of those ids that the journal has."""
    found: dict[str, tuple[int, str]] = {}
    for piece, places in chunks(ids):
        for change_id, seq, sha256 in db.conn.execute(
            f"SELECT change_id, seq, body_sha256 FROM journal WHERE change_id IN ({places})", piece
        ):
            found[change_id] = (seq, sha256)
    return found


def records_of(db: Database, ids: Iterable[str]) -> dict[str, str]:
    """Answer which record each of these changes is of, for those that the journal has."""
    found: dict[str, str] = {}
    for piece, places in chunks(ids):
        found.update(
            db.conn.execute(
                f"SELECT change_id, record_id FROM journal WHERE change_id IN ({places})", piece
            )
        )
    return found


def body_of(row: Sequence[Any]) -> str:
    """Join a row to its change, in canonical form: the very text that its hash was drawn from."""
    (_, change_id, device, device_seq, record, kind, set_, base, seen, *rest) = row
    hlc, wall, tz_min, schema, group = rest
    in_group = "" if group is None else f'"group":"{group}",'
    with_seen = "" if seen is None else f'"seen":{seen},'
    return (
        f'{{"base":{base},"device":"{device}","device_seq":{device_seq},{in_group}"hlc":"{hlc}",'
        f'"id":"{change_id}","kind":"{kind}","record":"{record}","schema":{schema},{with_seen}'
        f'"set":{set_},"tz_min":{tz_min},"wall":{wall}}}'
    )


def after(db: Database, seq: int, limit: int) -> list[Kept]:
    """Answer at most `limit` changes after a number, in order."""
    rows = db.conn.execute(
        f"SELECT {_BODY_COLUMNS}, body_sha256, chain FROM journal"
        " WHERE seq > ? ORDER BY seq LIMIT ?",
        (seq, limit),
    )
    return [Kept(row[0], row[1], body_of(row[:14]), row[14], row[15], row[4]) for row in rows]


def of_record(db: Database, record: str) -> list[dict[str, Any]]:
    """Answer the history of a record: every change with its number, when and how it came."""
    return _with_bodies(db, "record_id = ?", record)


def of_group(db: Database, group: str) -> list[dict[str, Any]]:
    """Answer the changes of one Save."""
    return _with_bodies(db, "group_id = ?", group)


def of_ids(db: Database, ids: Iterable[str]) -> dict[str, dict[str, Any]]:
    """Answer the changes of these ids that are here, by id."""
    found: dict[str, dict[str, Any]] = {}
    for piece, places in chunks(ids):
        for row in db.conn.execute(
            f"SELECT {_BODY_COLUMNS} FROM journal WHERE change_id IN ({places})", piece
        ):
            found[row[1]] = plain(body_of(row))
    return found


def _with_bodies(db: Database, where: str, value: str) -> list[dict[str, Any]]:
    rows = db.conn.execute(
        f"SELECT {_BODY_COLUMNS}, received_at, received_via FROM journal"
        f" WHERE {where} ORDER BY seq",
        (value,),
    )
    return [
        {
            "seq": row[0],
            "received_at": row[14],
            "received_via": row[15],
            "change": plain(body_of(row[:14])),
        }
        for row in rows
    ]


def last_device_seq(db: Database, device: str) -> int:
    """Answer the highest number that a device has given, 0 if none."""
    row = db.conn.execute("SELECT max(device_seq) FROM journal WHERE device_id = ?", (device,))
    return int(row.fetchone()[0] or 0)


def written_by(db: Database, device: str) -> int:
    """Answer how many changes of a device are here."""
    row = db.conn.execute("SELECT count(*) FROM journal WHERE device_id = ?", (device,))
    return int(row.fetchone()[0])


def saves_of(db: Database, device: str, limit: int | None) -> list[dict[str, Any]]:
    """Answer a device's Saves, the latest first: group, when it came, changes, kinds."""
    rows = db.conn.execute(
        "SELECT group_id, max(received_at), count(*), group_concat(DISTINCT kind) FROM journal"
        " WHERE device_id = ? AND group_id IS NOT NULL GROUP BY group_id"
        " ORDER BY max(seq) DESC LIMIT ?",
        (device, -1 if limit is None else limit),
    )
    return [
        {"group": group, "received_at": at, "changes": changes, "kinds": sorted(kinds.split(","))}
        for group, at, changes, kinds in rows
    ]


def first_seqs(db: Database) -> dict[str, int]:
    """Answer where in the journal each record first stands: the order they were made in."""
    return dict(db.conn.execute("SELECT record_id, min(seq) FROM journal GROUP BY record_id"))


# -- quarantine


def in_quarantine(db: Database, ids: Iterable[str]) -> dict[tuple[str, str], Fault]:
    """Answer the faults of these ids that are in quarantine, by id and body hash."""
    found: dict[tuple[str, str], Fault] = {}
    for piece, places in chunks(ids):
        for change_id, sha256, code, field, message in db.conn.execute(
            "SELECT change_id, body_sha256, code, field, message FROM quarantine"
            f" WHERE change_id IN ({places})",
            piece,
        ):
            found[change_id, sha256] = Fault(code, field, message)
    return found


def quarantine(
    db: Database, change_id: str, sha256: str, body: str, fault: Fault, at: str, via: str
) -> None:
    """Keep a change that may not enter, with all its content."""
    db.conn.execute(
        "INSERT INTO quarantine (change_id, body_sha256, body_json, code, field, message,"
        " received_at, received_via) VALUES (?,?,?,?,?,?,?,?)",
        (change_id, sha256, body, fault.code, fault.field, fault.message, at, via),
    )


def release(db: Database, number: int) -> None:
    """Take out of quarantine a change that has entered the journal."""
    db.conn.execute("DELETE FROM quarantine WHERE number = ?", (number,))


def quarantined(db: Database) -> list[dict[str, Any]]:
    """Answer everything in quarantine, in the order it came."""
    names = (
        "number, change_id, body_sha256, body_json, code, field, message, received_at, received_via"
    )
    rows = db.conn.execute(f"SELECT {names} FROM quarantine ORDER BY number")
    return [dict(zip(names.split(", "), row, strict=True)) for row in rows]
