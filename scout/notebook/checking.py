"""The notebook examined: file, chain, tables against journal, what is not here, photos.

Reads only. Faults are damage; notices are what a person may want to know (a perch that has not come
yet). Not for: mending (`rebuild`, or restoring a backup).
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from typing import Any

import attrs
from sqlite_utils import Database

from scout.notebook.blobs import BlobFolder
from scout.notebook.canonical import FIRST_CHAIN, link, sha256_of
from scout.notebook.merge import Key, State
from scout.notebook.saving import raw_record
from scout.notebook.store import heads, integrity, ledger
from scout.notebook.store.heads import Progress
from scout.records.fields import Field
from scout.records.kinds import KINDS
from scout.records.reading import fields_of
from scout.records.visits import kept_trouble

_MOST_TOLD = 100
_PAGE = 5000


@attrs.define
class Findings:
    """What a check found. `sound` is true where nothing is damaged."""

    faults: list[str] = attrs.field(factory=list)
    notices: list[str] = attrs.field(factory=list)
    changes: int = 0
    records: int = 0
    blobs_hashed: list[str] = attrs.field(factory=list)
    blobs_damaged: list[str] = attrs.field(factory=list)

    @property
    def sound(self) -> bool:
        """Tell whether nothing is damaged."""
        return not self.faults


def check(
    db: Database,
    blobs: BlobFolder,
    progress: Progress | None = None,
    *,
    most_blobs: int | None = None,
) -> Findings:
    """Examine one state of the notebook.

    `progress` is called with how many are done, of how many, of what. `most_blobs`: hash only so
    many of the photos, those hashed longest ago first.
    """
    found = Findings()
    _tell(found.faults, (f"The file: {says}." for says in integrity.troubles(db)))
    try:
        _tell(found.faults, _chain(db, found, progress))
        records = heads.from_journal(db, progress)
        found.records = len(records)
        _tell(found.faults, (f"The tables: {says}." for says in heads.differences(db, records)))
        states = {key: record.state for key, record in records.items()}
        _tell(found.notices, _dangling(states))
        _tell(found.notices, _kept(states))
        _blobs(db, blobs, states, found, most_blobs, progress)
    except (sqlite3.DatabaseError, AttributeError, KeyError, TypeError, ValueError) as error:
        # A row so damaged that it cannot be read; what was found up to it is told above.
        found.faults.append(f"The file cannot be read on ({type(error).__name__}).")
    return found


def _chain(db: Database, found: Findings, progress: Progress | None) -> Iterator[str]:
    last = integrity.count(db)
    seq, chain = 0, FIRST_CHAIN
    for row in heads.walk(db):
        found.changes += 1
        if row.seq != seq + 1:
            yield f"The journal: between {seq} and {row.seq} rows are missing."
        seq = row.seq
        if sha256_of(row.body) != row.body_sha256:
            yield f"The journal: change {row.id} (number {seq}) is not what its hash says."
        if link(chain, row.id, row.body_sha256) != row.chain:
            yield f"The journal: the chain breaks at number {seq}."
        chain = row.chain
        if progress is not None and (found.changes % _PAGE == 0 or found.changes == last):
            progress(found.changes, last, "changes")


def _kept(states: dict[Key, State]) -> Iterator[str]:
    for (kind, record), state in sorted(states.items()):
        if kind == "visit" and not state.hidden:
            raw = raw_record(kind, record, state)
            says = kept_trouble(raw.get("frames"), raw.get("keepers"))
            if says is not None:
                yield f"visit {record}: keepers: {says}."


def _dangling(states: dict[Key, State]) -> Iterator[str]:
    kinds: dict[str, set[str]] = {}
    for kind, record in states:
        kinds.setdefault(record, set()).add(kind)
    for (kind, record), state in sorted(states.items()):
        if state.hidden:
            continue
        raw = raw_record(kind, record, state)
        for name, field in fields_of(KINDS[kind]).items():
            for named, wanted in references(field, raw.get(name)):
                here = kinds.get(named)
                if here is None:
                    yield f"{kind} {record}: {name} names {named}, which is not here (yet)."
                elif wanted and not here & set(wanted):
                    yield f"{kind} {record}: {name} names {named}, which is a {min(here)}."
        if kind == "tag" and isinstance(raw.get("record"), str) and raw["record"] not in kinds:
            yield f"{kind} {record}: record names {raw['record']}, which is not here (yet)."


def references(field: Field, value: Any) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Answer every id that a plain value names, however deep, with the kinds it may be of."""
    if field.refers_to and isinstance(value, str):
        yield value, field.refers_to
    elif field.item is not None and isinstance(value, list):
        for one in value:
            yield from references(field.item, one)
    elif field.group is not None and isinstance(value, dict):
        for name, inner in fields_of(field.group).items():
            yield from references(inner, value.get(name))


def _blobs(
    db: Database,
    blobs: BlobFolder,
    states: dict[Key, State],
    found: Findings,
    most: int | None,
    progress: Progress | None,
) -> None:
    kept = [row for row in ledger.blobs(db) if row["completed_at"] is not None]
    kept.sort(key=lambda row: (row["checked_at"] or "", row["sha256"]))
    here = {row["sha256"] for row in kept}
    for done, row in enumerate(kept, 1):
        sha256 = row["sha256"]
        trouble = None
        path = blobs.path_of(sha256)
        if not path.is_file():
            trouble = "are gone"
        elif most is None or done <= most:
            if blobs.is_sound(sha256):
                found.blobs_hashed.append(sha256)
            else:
                trouble = "have changed"
        elif row["damaged_at"] is not None or path.stat().st_size != row["size_bytes"]:
            trouble = "have changed"
        if trouble is not None:
            found.blobs_damaged.append(sha256)
            saved = " A backup holds them." if row["backed_up_at"] is not None else ""
            found.faults.append(
                f"The photos: the bytes of {sha256} {trouble}; a phone that still has the photo is "
                f"asked for it again.{saved}"
            )
        if progress is not None and (done % 50 == 0 or done == len(kept)):
            progress(done, len(kept), "photos")
    awaited = sorted(
        record
        for (kind, record), state in states.items()
        if kind in ("photo", "layer") and not state.hidden
        if str(state.shown("blob")).strip('"') not in here
    )
    _tell(found.notices, (f"photo {record}: its bytes have not come yet." for record in awaited))


def _tell(into: list[str], sentences: Iterator[str]) -> None:
    told = 0
    for sentence in sentences:
        told += 1
        if told <= _MOST_TOLD:
            into.append(sentence)
    if told > _MOST_TOLD:
        into.append(f"And {told - _MOST_TOLD} more of this kind.")
