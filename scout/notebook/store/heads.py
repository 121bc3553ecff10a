"""What the journal means, kept beside it: heads, what is awaited, and the tables of records.

Brought up to date with every batch, and made again from the journal row for row. Two roads, one
rule (`merge`). Not for: adding to the journal (`journal`).
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from sqlite_utils import Database

from scout.notebook.canonical import plain
from scout.notebook.judging import edit_again
from scout.notebook.merge import Edit, Head, Key, Record, State, state_of
from scout.notebook.store import journal, kind_tables
from scout.records.kinds import KINDS

Records = dict[Key, Record]
Progress = Callable[[int, int, str], None]

_PAGE = 5000


def apply(db: Database, edits: list[Edit], before: int) -> None:
    """Take newly added changes into account; `before`: the journal's last number before them."""
    if not edits:
        return
    arrived = {edit.id for edit in edits}
    records, stored = _load(db, edits)
    for change_id, record, kind, register in _awaited(db, arrived):
        held = records.get((kind, record))
        if held is not None:
            held.awaited.setdefault(register, set()).add(change_id)
    known = _known(db, edits, records, before)
    for edit in edits:
        records[edit.key].apply(edit, known)
        known.add(edit.id)
    _store_heads(db, records, stored)
    db.conn.executemany(
        "DELETE FROM awaited WHERE change_id = ?", [(change_id,) for change_id in sorted(arrived)]
    )
    _store_awaited(db, records, arrived)
    _show(db, records)


def rebuild(db: Database, progress: Progress | None = None) -> None:
    """Make heads, awaited and the tables of records again from the journal alone."""
    records = from_journal(db, progress)
    remake_tables(db)
    db.conn.execute("DELETE FROM head")
    db.conn.execute("DELETE FROM awaited")
    _store_heads(db, records, set())
    _store_awaited(db, records, _all_ids(db))
    _show(db, records)


def remake_tables(db: Database) -> None:
    """Drop the tables of records and make them as the fields are now; they are left empty."""
    for kind in KINDS:
        db.conn.execute(f'DROP TABLE IF EXISTS "{kind}"')
        db.conn.execute(kind_tables.definition(kind))


def from_journal(db: Database, progress: Progress | None = None) -> Records:
    """Answer every record from the journal alone, in memory."""
    records: Records = {}
    known: set[str] = set()
    last = journal.end(db).seq
    for done, kept in enumerate(walk(db), 1):
        edit = edit_again(plain(kept.body))
        records.setdefault(edit.key, Record()).apply(edit, known)
        known.add(edit.id)
        if progress is not None and (done % _PAGE == 0 or done == last):
            progress(done, last, "records")
    return records


def walk(db: Database) -> Iterator[journal.Kept]:
    """Answer every row of the journal in order, a page at a time."""
    seq = 0
    while page := journal.after(db, seq, _PAGE):
        yield from page
        seq = page[-1].seq


def differences(db: Database, records: Records) -> Iterator[str]:
    """Say where heads, awaited and the tables of records are not what the journal means."""
    stored = {tuple(row) for row in db.conn.execute(f"SELECT {_HEAD} FROM head")}
    meant = set(_head_rows(records))
    for row in sorted(stored ^ meant, key=str):
        yield f"head of {row[1]} {row[0]}, {row[2]}: {_off(row in stored)}"
    awaited = {tuple(row) for row in db.conn.execute(f"SELECT {_AWAITED} FROM awaited")}
    meant_awaited = set(_awaited_rows(records, _all_ids(db)))
    for one in sorted(awaited ^ meant_awaited):
        yield f"awaited change {one[0]} of {one[2]} {one[1]}: {_off(one in awaited)}"
    rows = _rows(records)
    for kind in KINDS:
        wanted = rows.get(kind, {})
        for row in db.conn.execute(f'SELECT * FROM "{kind}" ORDER BY id'):
            right = wanted.pop(row[0], None)
            if right is None:
                yield f"{kind} {row[0]}: stands in the table and not in the journal"
            elif right != tuple(row):
                yield f"{kind} {row[0]}: the table shows something else than the journal means"
        yield from (f"{kind} {record}: is missing in the table" for record in wanted)


def _off(stored: bool) -> str:
    return "is one too many" if stored else "is missing"


def state(db: Database, kind: str, record: str) -> State:
    """Answer the state of one record; one without heads if there is no such record."""
    return states(db, [(kind, record)]).get((kind, record)) or state_of({})


def states(db: Database, keys: Iterable[Key]) -> dict[Key, State]:
    """Answer the states of these records, those that have heads."""
    wanted = set(keys)
    return {
        key: state_of({name: list(heads.values()) for name, heads in registers.items()})
        for key, registers in _heads_of(db, {record for _, record in wanted}).items()
        if key in wanted
    }


def all_states(db: Database) -> dict[Key, State]:
    """Answer the state of every record that has heads."""
    found = _gather(db.conn.execute(f"SELECT {_HEAD} FROM head"))
    return {
        key: state_of({name: list(heads.values()) for name, heads in registers.items()})
        for key, registers in found.items()
    }


def conflicted(db: Database) -> list[Key]:
    """Answer the records that have a register in conflict, in order."""
    rows = db.conn.execute("SELECT DISTINCT kind, record_id FROM conflict ORDER BY kind, record_id")
    return [(kind, record) for kind, record in rows]


# -- rows

_HEAD = "record_id, kind, register, change_id, hlc, value_json, seen_json"
_AWAITED = "change_id, record_id, kind, register"
_HeadRow = tuple[str, str, str, str, str, str, str | None]
_Registers = dict[str, dict[str, Head]]


def _load(db: Database, edits: list[Edit]) -> tuple[Records, set[_HeadRow]]:
    records: Records = {edit.key: Record() for edit in edits}
    stored: set[_HeadRow] = set()
    for key, registers in _heads_of(db, {edit.record for edit in edits}).items():
        if key in records:
            records[key].heads = registers
            stored.update(_rows_of(key, records[key]))
    return records, stored


def _heads_of(db: Database, records: Iterable[str]) -> dict[Key, _Registers]:
    found: dict[Key, _Registers] = {}
    for piece, places in journal.chunks(records):
        rows = db.conn.execute(f"SELECT {_HEAD} FROM head WHERE record_id IN ({places})", piece)
        found.update(_gather(rows))
    return found


def _gather(rows: Iterable[Any]) -> dict[Key, _Registers]:
    found: dict[Key, _Registers] = {}
    for record, kind, register, change_id, hlc, value, seen in rows:
        head = Head(change_id, hlc, value, None if seen is None else _seen(seen))
        found.setdefault((kind, record), {}).setdefault(register, {})[change_id] = head
    return found


def _seen(text: str) -> dict[str, tuple[str, ...]]:
    return {name: tuple(ids) for name, ids in json.loads(text).items()}


def _rows_of(key: Key, record: Record) -> Iterator[_HeadRow]:
    kind, record_id = key
    for register, heads in record.heads.items():
        for head in heads.values():
            seen = None if head.seen is None else json.dumps(head.seen, sort_keys=True)
            yield record_id, kind, register, head.id, head.hlc, head.value, seen


def _head_rows(records: Records) -> Iterator[_HeadRow]:
    for key, record in records.items():
        yield from _rows_of(key, record)


def _store_heads(db: Database, records: Records, stored: set[_HeadRow]) -> None:
    now = set(_head_rows(records))
    db.conn.executemany(
        "DELETE FROM head WHERE record_id = ? AND kind = ? AND register = ? AND change_id = ?",
        [row[:4] for row in sorted(stored - now, key=str)],
    )
    db.conn.executemany(
        f"INSERT INTO head ({_HEAD}) VALUES (?,?,?,?,?,?,?)", sorted(now - stored, key=str)
    )


def _awaited(db: Database, ids: Iterable[str]) -> Iterator[tuple[str, str, str, str]]:
    for piece, places in journal.chunks(ids):
        yield from db.conn.execute(
            f"SELECT {_AWAITED} FROM awaited WHERE change_id IN ({places})", piece
        )


def _awaited_rows(records: Records, here: set[str]) -> Iterator[tuple[str, str, str, str]]:
    for (kind, record_id), record in records.items():
        for register, ids in record.awaited.items():
            for change_id in ids:
                if change_id not in here:
                    yield change_id, record_id, kind, register


def _store_awaited(db: Database, records: Records, here: set[str]) -> None:
    db.conn.executemany(
        f"INSERT OR IGNORE INTO awaited ({_AWAITED}) VALUES (?,?,?,?)",
        sorted(_awaited_rows(records, here)),
    )


def _known(db: Database, edits: list[Edit], records: Records, before: int) -> set[str]:
    """Answer which of the changes named as a base were here before; heads need no look."""
    known = {
        change_id
        for record in records.values()
        for heads in record.heads.values()
        for change_id in heads
    }
    asked = {base for edit in edits for bases in edit.base.values() for base in bases} - known
    known |= {id_ for id_, (seq, _) in journal.present(db, asked).items() if seq <= before}
    return known


def _all_ids(db: Database) -> set[str]:
    return {row[0] for row in db.conn.execute("SELECT change_id FROM journal")}


def _rows(records: Records) -> dict[str, dict[str, kind_tables.Row]]:
    rows: dict[str, dict[str, kind_tables.Row]] = {}
    for (kind, record_id), record in records.items():
        rows.setdefault(kind, {})[record_id] = kind_tables.row_of(kind, record_id, record.state)
    return rows


def _show(db: Database, records: Records) -> None:
    for kind, rows in sorted(_rows(records).items()):
        db.conn.executemany(kind_tables.insertion(kind), list(rows.values()))
