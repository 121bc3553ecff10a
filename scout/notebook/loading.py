"""A folder of records loaded as one Save, and the whole notebook answered for writing out again.

Loading twice writes nothing twice. A value that the notebook has held before is not news: a folder
that lies about while the notebook goes on must not take it back. What a folder lacks is left alone.
Not for: reading or writing the folder's files (`folder`, `folder_writing`).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, Protocol

import attrs
from sqlite_utils import Database

from scout.notebook import clock as clocks
from scout.notebook.canonical import canonical
from scout.notebook.saving import Edit, raw_record, save
from scout.notebook.store import heads, journal, ledger
from scout.notebook.upcast import upcast
from scout.records.kinds import KINDS, read_record, write_record
from scout.records.trouble import Refused


class Loadable(Protocol):
    """What loading needs of a folder that was read."""

    @property
    def name(self) -> str: ...
    @property
    def folder_id(self) -> str: ...
    @property
    def records(self) -> Mapping[str, Mapping[str, Any]]: ...
    @property
    def words(self) -> Mapping[str, str]: ...


@attrs.frozen(kw_only=True)
class Loaded:
    """What loading did: records new, changed, the same; values older than the notebook's."""

    new: int
    changed: int
    same: int
    older: tuple[str, ...]
    group: str | None


@attrs.frozen(kw_only=True)
class Contents:
    """All records that are not deleted, in the order in which they were made (kind → id → record).

    `incomplete`: sentences on records that lack what they need, or whose parts contradict each
    other; they are in
    `raw` only.
    """

    records: dict[str, dict[str, Any]]
    raw: dict[str, dict[str, dict[str, object]]]
    incomplete: tuple[str, ...]


def load(db: Database, folder: Loadable, device: str, now: dt.datetime) -> Loaded:
    """Write a folder's records into the notebook, within a transaction that the caller holds."""
    keys = [(kind, record) for kind, records in folder.records.items() for record in records]
    states = heads.states(db, keys)
    edits: list[Edit] = []
    older: list[str] = []
    new = same = 0
    for kind, record in keys:
        raw = write_record(folder.records[kind][record])
        del raw["id"]
        state = states.get((kind, record))
        if state is None:
            new += 1
            edits.append(Edit(kind=kind, record=record, set=raw))
            continue
        differing = {n: v for n, v in raw.items() if state.shown(n) != canonical(v)}
        held = _held_before(db, kind, record) if differing else set()
        stale = sorted(name for name, v in differing.items() if (name, canonical(v)) in held)
        older += [f"{kind} {folder.words.get(record, record)}: {name}" for name in stale]
        news = {name: value for name, value in differing.items() if name not in stale}
        if news:
            edits.append(Edit(kind=kind, record=record, set=news))
        else:
            same += 1
    group = save(db, edits, device, now, "load").group if edits else None
    ledger.store_folder(db, folder.folder_id, folder.name, clocks.written(now), folder.words)
    return Loaded(new=new, changed=len(edits) - new, same=same, older=tuple(older), group=group)


def _held_before(db: Database, kind: str, record: str) -> set[tuple[str, str]]:
    changes = (upcast(row["change"]) for row in journal.of_record(db, record))
    return {
        (name, canonical(value))
        for change in changes
        if change["kind"] == kind
        for name, value in change["set"].items()
    }


def contents(db: Database) -> Contents:
    """Answer what the notebook holds now."""
    order = journal.first_seqs(db)
    shown = [(key, state) for key, state in heads.all_states(db).items() if not state.hidden]
    shown.sort(key=lambda one: (order.get(one[0][1], 0), one[0]))
    records: dict[str, dict[str, Any]] = {kind: {} for kind in KINDS}
    raws: dict[str, dict[str, dict[str, object]]] = {kind: {} for kind in KINDS}
    incomplete: list[str] = []
    for (kind, record), state in shown:
        raw = raws[kind][record] = raw_record(kind, record, state)
        try:
            records[kind][record] = read_record(kind, raw)
        except Refused as refusal:
            incomplete.append(f"{kind} {record}: {refusal}")
    return Contents(records=records, raw=raws, incomplete=tuple(incomplete))
