"""Which sites each record belongs to, by what it names; read from the heads.

Kits, species and settings belong to the whole notebook. What names nothing that leads to a site
belongs nowhere, and is shown only to who sees everything. Not for: who may see a site (the
server's).
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from typing import Any

import attrs
from sqlite_utils import Database

from scout.records.fields import Field
from scout.records.kinds import KINDS
from scout.records.reading import fields_of

SHARED = ("kit", "species", "settings")
_BLOB_KINDS = ("layer", "photo")


@attrs.frozen
class Belonging:
    """Where every record belongs; `blobs`: which records show the bytes of a hash."""

    sites: dict[str, frozenset[str]]
    shared: frozenset[str]
    known: frozenset[str]
    blobs: dict[str, frozenset[str]]

    def is_seen(self, record: str, allowed: frozenset[str]) -> bool:
        """Tell whether a record belongs wholly to these sites, or to all of the notebook."""
        sites = self.sites.get(record, frozenset())
        return record in self.shared if not sites else sites <= allowed

    def is_elsewhere(self, record: str, allowed: frozenset[str]) -> bool:
        """Tell whether a record is known to belong to another site."""
        return bool(self.sites.get(record, frozenset()) - allowed)

    def is_blob_seen(self, sha256: str, allowed: frozenset[str]) -> bool:
        """Tell whether a record that is seen shows these bytes."""
        return any(self.is_seen(one, allowed) for one in self.blobs.get(sha256, ()))


def named_in(kind: str, register: str, value: object) -> set[str]:
    """Answer the ids of records that a register's value names."""
    cls = KINDS.get(kind)
    field = None if cls is None else fields_of(cls).get(register)
    return set() if field is None else set(_ids(field, value))


def belonging(db: Database) -> Belonging:
    """Work out where every record belongs, over all its heads."""
    names: dict[str, set[str]] = {}
    kinds: dict[str, set[str]] = {}
    blobs: dict[str, set[str]] = {}
    for record, kind in db.conn.execute("SELECT DISTINCT record_id, kind FROM head"):
        kinds.setdefault(record, set()).add(kind)
        names[record] = set()
    registers = sorted({*_naming(), "blob"})
    places = ",".join("?" * len(registers))
    for record, kind, register, value_json in db.conn.execute(
        f"SELECT record_id, kind, register, value_json FROM head WHERE register IN ({places})",
        registers,
    ):
        value = json.loads(value_json)
        if register == "blob" and kind in _BLOB_KINDS and isinstance(value, str):
            blobs.setdefault(value, set()).add(record)
        names[record] |= named_in(kind, register, value)
    return _resolved(names, kinds, blobs)


def _resolved(
    names: dict[str, set[str]], kinds: dict[str, set[str]], blobs: dict[str, set[str]]
) -> Belonging:
    sites = {record: {record} if "site" in of else set() for record, of in kinds.items()}
    shared = {record for record, of in kinds.items() if of <= set(SHARED)}
    naming: dict[str, set[str]] = {}
    for record, named in names.items():
        for one in named:
            naming.setdefault(one, set()).add(record)
    grown = [record for record, of in sites.items() if of]
    while grown:  # a record belongs wherever anything that it names belongs
        record = grown.pop()
        for other in naming.get(record, ()):
            if not sites[record] <= sites[other]:
                sites[other] |= sites[record]
                grown.append(other)
    shared |= {
        record
        for record, named in names.items()
        if named and named <= shared and kinds[record] == {"tag"}
    }
    return Belonging(
        sites={record: frozenset(of) for record, of in sites.items()},
        shared=frozenset(shared),
        known=frozenset(kinds),
        blobs={sha256: frozenset(of) for sha256, of in blobs.items()},
    )


@cache
def _naming() -> frozenset[str]:
    """The registers that may name a record."""
    return frozenset(
        name
        for cls in KINDS.values()
        for name, field in fields_of(cls).items()
        if name != "id" and _may_name(field)
    )


def _may_name(field: Field) -> bool:
    if field.kind == "id":
        return True
    if field.item is not None:
        return _may_name(field.item)
    return field.group is not None and any(
        _may_name(inner) for inner in fields_of(field.group).values()
    )


def _ids(field: Field, value: Any) -> Iterator[str]:
    if field.kind == "id":
        if isinstance(value, str):
            yield value
    elif field.item is not None:
        for one in value if isinstance(value, list) else ():
            yield from _ids(field.item, one)
    elif field.group is not None and isinstance(value, dict):
        for name, inner in fields_of(field.group).items():
            yield from _ids(inner, value.get(name))
