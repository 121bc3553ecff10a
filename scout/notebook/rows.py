"""Records as rows of CSV (RFC 4180): a header of field names, an empty cell for "not known".

A group has a column for each of its parts (`position.lat`), or one column for its short form
(`start`). A cell is data: it is never run, escaped or trimmed where it holds text, so that what was
written comes back to the byte.
Not for: judging values (each field's reader does), files, or a spreadsheet's formulas.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from scout.records.fields import Field
from scout.records.reading import fields_of
from scout.records.trouble import Refused, Trouble, at_field, shown

Cell = Callable[[str], object]

_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]{0,17})(\.[0-9]{1,30})?([eE][+-]?[0-9]{1,3})?")
_NEEDS_QUOTES = re.compile(r'[",\r\n]')
_BETWEEN = ";"


class Row:
    """One row: the line where it begins, its record as a JSON object, what its cells got wrong."""

    __slots__ = ("faults", "line", "raw")

    def __init__(self, line: int, raw: dict[str, Any], faults: list[Trouble]) -> None:
        self.line = line
        self.raw = raw
        self.faults = faults


class NotRows(ValueError):
    """A file that is no table of these records: the line and the trouble in words."""

    def __init__(self, says: str, line: int) -> None:
        self.says = says
        self.line = line
        super().__init__(f"Line {line}: {says}.")


def columns_of(cls: type) -> dict[str, Cell]:
    """Answer the columns of a kind by name, each with what turns its cell into a JSON value."""
    columns: dict[str, Cell] = {}
    for name, field in fields_of(cls).items():
        columns[name] = _cell(field)
        if field.group is not None:
            for part, inner in fields_of(field.group).items():
                columns[f"{name}.{part}"] = _cell(inner)
    return columns


def read_rows(cls: type, text: str) -> Iterator[Row]:
    """Read the rows of a CSV file of one kind. Blank rows are passed over.

    Raises NotRows for a header or a quotation that makes the rest unreadable.
    """
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        header = next(reader, None)
        if header is None:
            return
        columns = _header(cls, header)
        end = reader.line_num
        for cells in reader:
            line, end = end + 1, reader.line_num
            if any(cells):
                yield _row(line, cells, columns)
    except csv.Error as error:
        raise NotRows(
            f"is not a CSV table from this row on ({error}); look for a quotation mark too many",
            max(1, reader.line_num),
        ) from None


def write_rows(cls: type, raws: Sequence[Mapping[str, Any]]) -> str:
    """Write the JSON objects of one kind's records as CSV text, with the columns that any fills."""
    long_groups = {
        name for raw in raws for name, value in raw.items() if isinstance(value, dict)
    }  # one record with a source makes every row's moment long
    flat = [_flat(raw, long_groups, cls) for raw in raws]
    used = {name for row in flat for name in row}
    names = [name for name in columns_of(cls) if name in used]
    lines = [",".join(names)]
    lines += [",".join(_quoted(row.get(name, "")) for name in names) for row in flat]
    return "".join(f"{line}\n" for line in lines)


def _header(cls: type, header: list[str]) -> list[tuple[tuple[str, ...], Cell]]:
    known = columns_of(cls)
    names = [name.strip() for name in header]
    for name in names:
        if name not in known:
            raise NotRows(
                f"{shown(name)} is not a column here; the columns are: {', '.join(known)}", 1
            )
        if names.count(name) > 1:
            raise NotRows(f"the column {name} stands twice; keep one of them", 1)
    for name, field in fields_of(cls).items():
        if field.needed and not any(one.split(".")[0] == name for one in names):
            raise NotRows(f"the column {name} is missing; every record needs it", 1)
    return [(tuple(name.split(".")), known[name]) for name in names]


def _row(line: int, cells: list[str], columns: list[tuple[tuple[str, ...], Cell]]) -> Row:
    raw: dict[str, Any] = {}
    faults: list[Trouble] = []
    if len(cells) != len(columns):
        faults.append(
            Trouble(
                (),
                f"the row has {len(cells)} cells and the header {len(columns)}; "
                "give every column a cell, and put a text with a comma in quotes",
            )
        )
        return Row(line, raw, faults)
    for (path, read), cell in zip(columns, cells, strict=True):
        if not cell:
            continue
        name = path[0]
        try:
            value = read(cell)
        except Refused as refusal:
            inside = refusal.troubles if len(path) == 1 else at_field(path[1], refusal.troubles)
            faults.extend(at_field(name, inside))
            continue
        if len(path) == 1 and name not in raw:
            raw[name] = value
        elif len(path) == 2 and isinstance(inner := raw.setdefault(name, {}), dict):
            inner[path[1]] = value
        else:
            says = "is given both in one cell and in parts; keep one of the two"
            faults.append(Trouble((name,), says))
    return Row(line, raw, faults)


def _cell(field: Field) -> Cell:
    if field.kind in ("number", "whole"):
        return _number
    if field.kind == "flag":
        return _flag
    if field.kind == "list":
        item = _cell(field.item) if field.item is not None else _trimmed
        return lambda cell: [item(part.strip()) for part in cell.split(_BETWEEN) if part.strip()]
    return _as_is if field.kind == "text" else _trimmed


def _as_is(cell: str) -> object:
    return cell


def _trimmed(cell: str) -> object:
    return cell.strip()


def _number(cell: str) -> object:
    found = _NUMBER.fullmatch(cell.strip())
    if found is None:
        raise Refused.one(f"{shown(cell)} is not a number; write digits and a point, like 12.5")
    return float(cell) if found[1] or found[2] else int(cell)


def _flag(cell: str) -> object:
    words = {"true": True, "false": False}  # spreadsheets write them in capitals
    answer = words.get(cell.strip().lower())
    if answer is None:
        raise Refused.one(f"{shown(cell)} is neither true nor false; write one of the two")
    return answer


def _flat(raw: Mapping[str, Any], long_groups: set[str], cls: type) -> dict[str, str]:
    row: dict[str, str] = {}
    for name, value in raw.items():
        if name not in long_groups:
            row[name] = _written(value)
            continue
        # The short form of a group is that of its one part that is always there.
        parts = value if isinstance(value, dict) else {_needed_part(cls, name): value}
        for part, inner in parts.items():
            row[f"{name}.{part}"] = _written(inner)
    return row


def _needed_part(cls: type, name: str) -> str:
    group = fields_of(cls)[name].group
    if group is None:
        raise TypeError(f"{name} is not a group")
    return next(part for part, field in fields_of(group).items() if field.needed)


def _written(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return _BETWEEN.join(_written(one) for one in value)
    return value if isinstance(value, str) else repr(value)


def _quoted(cell: str) -> str:
    return '"' + cell.replace('"', '""') + '"' if _NEEDS_QUOTES.search(cell) else cell
