"""One table per kind of record, made from its fields: what is shown now, plain to query.

Numbers are REAL or INTEGER; groups and lists are JSON text; `deleted` is 1 for a hidden record,
`badge` 1 for one that was deleted and edited without knowing, `conflict_count` the number of
registers in conflict. A cache of the journal: never edited, always made again from it.
"""

from __future__ import annotations

import hashlib
from functools import cache

from scout.notebook.canonical import canonical, plain
from scout.notebook.merge import State
from scout.records.fields import Field
from scout.records.kinds import KINDS
from scout.records.reading import fields_of, write_object
from scout.records.trouble import Refused

Cell = str | int | float | None
Row = tuple[Cell, ...]

_AFFINITY = {"number": "REAL", "whole": "INTEGER", "flag": "INTEGER"}


@cache
def _columns(kind: str) -> tuple[tuple[str, Field], ...]:
    return tuple((name, field) for name, field in fields_of(KINDS[kind]).items() if name != "id")


@cache
def definition(kind: str) -> str:
    """Answer the statement that makes a kind's table."""
    lines = ['"id" TEXT PRIMARY KEY']
    lines += [f'"{name}" {_AFFINITY.get(field.kind, "TEXT")}' for name, field in _columns(kind)]
    lines += [f'"{name}" INTEGER NOT NULL' for name in ("deleted", "badge", "conflict_count")]
    body = ",\n  ".join(lines)
    return f'CREATE TABLE "{kind}" (\n  {body}\n) STRICT, WITHOUT ROWID'


@cache
def fingerprint() -> str:
    """Answer a hash of all tables, to notice that the fields have changed since they were made."""
    return hashlib.sha256("\n".join(definition(kind) for kind in KINDS).encode()).hexdigest()


@cache
def insertion(kind: str) -> str:
    """Answer the statement that puts one row into a kind's table, in the place of an older one."""
    places = ", ".join("?" * (len(_columns(kind)) + 4))
    return f'INSERT OR REPLACE INTO "{kind}" VALUES ({places})'


def row_of(kind: str, record: str, state: State) -> Row:
    """Answer the row that shows a record's state."""
    cells: list[Cell] = [record]
    for name, field in _columns(kind):
        value = state.shown(name)
        cells.append(None if value is None or value == "null" else _cell(field, value))
    cells += [int(state.hidden), int(state.badge), len(state.conflicts)]
    return tuple(cells)


def _cell(field: Field, value: str) -> Cell:
    if field.kind == "flag":
        return int(value == "true")
    if field.kind == "group" and not value.startswith("{"):
        return _in_full(field, value)  # so that json_extract finds the same names in every row
    if field.kind in ("group", "list"):
        return value
    cell: Cell = plain(value)
    return float(cell) if field.kind == "number" and isinstance(cell, int) else cell


def _in_full(field: Field, value: str) -> str:
    try:
        return canonical(write_object(field.read(plain(value))))
    except Refused:
        return value
