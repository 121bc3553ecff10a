"""The notebook's own writes: edits made here turned into changes, as a phone would write them.

One Save is one group of changes by the server's own device. Each names what is shown now as its
base. Not for: changes that others made (`intake`).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import attrs
from sqlite_utils import Database

from scout.notebook import clock as clocks
from scout.notebook.canonical import plain
from scout.notebook.intake import judge_all, take
from scout.notebook.merge import DELETED, State, base_of_edit, seen_by_delete, state_of
from scout.notebook.store import heads, journal
from scout.notebook.upcast import upcast
from scout.records.kinds import KINDS, SCHEMA, kind_named
from scout.records.reading import fields_of
from scout.records.trouble import Refused


@attrs.frozen(kw_only=True)
class Edit:
    """What a person wants of one record: registers set to plain JSON values, or the record deleted.

    `record` None makes a new one. `resolve`: stand in the place of every head, not only of the one
    shown.
    """

    kind: str
    record: str | None = None
    set: Mapping[str, object] = attrs.field(factory=dict)
    delete: bool = False
    restore: bool = False
    resolve: bool = False


@attrs.frozen(kw_only=True)
class Saved:
    """What a Save wrote: its group and, edit by edit, ids of record and change, and seq."""

    group: str
    records: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    seqs: tuple[int, ...] = ()


def save(db: Database, edits: Sequence[Edit], device: str, now: dt.datetime, via: str) -> Saved:
    """Write edits as one Save, in a transaction that the caller holds: all of them or none.

    Raises Refused with the first refused edit's sentences.
    """
    writer = _Writer(db, device, now)
    writer.look_up(edits)
    changes = [writer.change(edit) for edit in edits]
    at = clocks.written(now)
    answers = take(db, judge_all(changes), at, [via] * len(changes))
    for answer in answers:
        if answer.status != "ok":
            field, message = answer.field or "", answer.message or "was not taken"
            says = message.removeprefix(f"{field}: ").removesuffix(".")
            raise Refused.one(says, *([field.removeprefix("set.")] if field else []))
    return Saved(
        group=writer.group,
        records=tuple(change["record"] for change in changes),
        changes=tuple(change["id"] for change in changes),
        seqs=tuple(answer.seq for answer in answers if answer.seq is not None),
    )


class _Writer:
    """One Save in the making. A record edited twice in it sees its own first edit."""

    def __init__(self, db: Database, device: str, now: dt.datetime) -> None:
        self._db = db
        self._device = device
        self._ms = clocks.milliseconds(now)
        offset = now.utcoffset() or dt.timedelta()
        self._tz_min = round(offset.total_seconds() / 60)
        self._seq = journal.last_device_seq(db, device)
        self.group = clocks.new_id(self._ms)
        self._states: dict[tuple[str, str], State] = {}

    def look_up(self, edits: Iterable[Edit]) -> None:
        """Read what is shown now of every record that is edited."""
        keys = [(edit.kind, edit.record) for edit in edits if edit.record is not None]
        if len(keys) != len(set(keys)):
            raise Refused.one("the same record stands twice in one Save; put its edits together")
        self._states = heads.states(self._db, keys)

    def change(self, edit: Edit) -> dict[str, Any]:
        """Answer the change that an edit is."""
        fields = fields_of(kind_named(edit.kind))
        record = edit.record or clocks.new_id(self._ms)
        state = self._states.get((edit.kind, record)) or state_of({})
        values = dict(edit.set)
        if edit.delete or edit.restore:
            values[DELETED] = edit.delete
        if not values:
            raise Refused.one("nothing is set; change at least one register")
        base = {}
        for name in values:
            field = fields.get(name)
            every = edit.resolve or (field is not None and field.last_writer_wins)
            base[name] = base_of_edit(state.heads.get(name, ()), {}, every=every)
        stamps = [head.hlc for name in values for head in state.heads.get(name, ())]
        self._seq += 1
        change = {
            "id": clocks.new_id(self._ms),
            "device": self._device,
            "device_seq": self._seq,
            "record": record,
            "kind": edit.kind,
            "set": values,
            "base": base,
            "hlc": clocks.stamp_after(self._ms, 0, stamps, self._device),
            "wall": max(self._ms, 0),
            "tz_min": self._tz_min,
            "schema": SCHEMA,
            "group": self.group,
        }
        if edit.delete:
            change["seen"] = seen_by_delete(state, {})
        return change


@attrs.frozen(kw_only=True)
class Undoing:
    """What taking back a Save asks for: the edits, and what is left for it was edited since."""

    edits: tuple[Edit, ...]
    left: tuple[str, ...]


def undoing(db: Database, group: str) -> Undoing:
    """Work out the edits that take back one Save.

    A record that the Save made is deleted; a register gets back the value that stood before. A
    register in which the Save's change is not shown any more is left alone, and said. Raises
    Refused for a group that is
    not here.
    """
    rows = journal.of_group(db, group)
    if not rows:
        raise Refused.one("there is no Save of that id here; look it up in the history")
    changes = {row["change"]["id"]: upcast(row["change"]) for row in rows}
    keys = {(change["kind"], change["record"]) for change in changes.values()}
    states = heads.states(db, keys)
    edits: list[Edit] = []
    left: list[str] = []
    for kind, record in sorted(keys):
        mine = {id_: c for id_, c in changes.items() if (c["kind"], c["record"]) == (kind, record)}
        state = states.get((kind, record)) or state_of({})
        if _made_here(db, kind, record, mine):
            if not state.hidden:
                edits.append(Edit(kind=kind, record=record, delete=True))
            continue
        back: dict[str, object] = {}
        for name in sorted({name for change in mine.values() for name in change["set"]}):
            shown = state.heads.get(name, ())
            if not shown or shown[0].id not in mine:
                left.append(f"{kind} {record}: {name} was edited since and stays as it is.")
                continue
            back[name] = _before(db, name, shown[0].id, mine)
        deleted = back.pop(DELETED, None)
        if back or deleted is not None:
            edits.append(
                Edit(
                    kind=kind,
                    record=record,
                    set=back,
                    delete=deleted is True,
                    restore=deleted is False,
                )
            )
    return Undoing(edits=tuple(edits), left=tuple(left))


def _made_here(db: Database, kind: str, record: str, mine: Mapping[str, Any]) -> bool:
    """Tell whether a record has its first change in this Save, and none that stood before."""
    rows = [row["change"] for row in journal.of_record(db, record) if row["change"]["kind"] == kind]
    first = bool(rows) and rows[0]["id"] in mine
    return first and not any(
        base not in mine
        for change in mine.values()
        for ids in change["base"].values()
        for base in ids
    )


def _before(db: Database, name: str, change_id: str, mine: Mapping[str, Any]) -> object:
    """Answer a register's value before a Save: the highest of what its first change named."""
    bases: set[str] = set()
    ways = [change_id]
    while ways:
        for base in mine[ways.pop()]["base"].get(name, ()):
            if base in mine and base not in bases:
                ways.append(base)
            bases.add(base)
    stood = [upcast(change) for id_, change in journal.of_ids(db, bases - set(mine)).items()]
    stood = [change for change in stood if name in change["set"]]
    if not stood:
        return False if name == DELETED else None
    highest: object = max(stood, key=lambda change: (change["hlc"], change["id"]))["set"][name]
    return highest


def value_of(canonical_value: str | None) -> object:
    """Answer the plain JSON value of a shown one."""
    return None if canonical_value is None else plain(canonical_value)


def raw_record(kind: str, record: str, state: State) -> dict[str, object]:
    """Answer a record as a plain JSON object: its id and every value shown that is not empty."""
    raw: dict[str, object] = {"id": record}
    for name in fields_of(KINDS[kind]):
        value = value_of(state.shown(name))
        if name != "id" and value is not None:
            raw[name] = value
    return raw
