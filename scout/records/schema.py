"""The record kinds described as plain JSON, from the same fields: what forms are built from.

Not for: judging values (each field's reader does).
"""

from __future__ import annotations

from typing import Any

from scout.records.fields import Field
from scout.records.kinds import KINDS, SCHEMA
from scout.records.reading import fields_of

_PLAIN = (
    "help",
    "unit",
    "low",
    "above",
    "high",
    "longest",
    "most",
    "short_form",
    "needed",
    "last_writer_wins",
)


def describe() -> dict[str, object]:
    """Answer every kind with its fields: kind of value, label, help, unit, bounds, words, links.

    `low` and `high` are themselves allowed, `above` is not.
    """
    return {"schema": SCHEMA, "kinds": {name: _fields(cls) for name, cls in KINDS.items()}}


def _fields(cls: type) -> list[dict[str, object]]:
    return [{"name": name, **_field(field)} for name, field in fields_of(cls).items()]


def _field(field: Field) -> dict[str, Any]:
    described: dict[str, Any] = {"kind": field.kind, "label": field.label}
    for name in _PLAIN:
        value = getattr(field, name)
        if value is not None and value is not False and value != "":  # a bound may be 0
            described[name] = value
    if field.choices:
        described["choices"] = list(field.choices)
    if field.refers_to:
        described["refers_to"] = list(field.refers_to)
    if field.group is not None:
        described["fields"] = _fields(field.group)
    if field.item is not None:
        described["item"] = _field(field.item)
    return described
