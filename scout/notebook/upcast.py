"""Lifting a change of an older schema to the present one, by a table of data that phones read too.

A step sees one change alone. It may rename a register, convert it, split it (each part inherits the
base), or rename a kind; it never merges two registers, for their bases could not be merged. The
journal keeps what was written. Not for: judging the result (`judging`), or moving database tables
(`store`).
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import Any

from scout.records.kinds import SCHEMA

Step = Mapping[str, Any]
Raw = dict[str, Any]


@cache
def present_table() -> tuple[Step, ...]:
    """Answer the steps to the present schema; raises ValueError if the table lags behind."""
    text = resources.files("scout.notebook").joinpath("upcasts.json").read_text("utf-8")
    kept = json.loads(text)
    if kept["schema"] != SCHEMA:
        raise ValueError(
            f"upcasts.json leads to schema {kept['schema']}, the records are at {SCHEMA};"
            " add the steps between"
        )
    return tuple(kept["table"])


def upcast(change: Raw, table: Sequence[Step] | None = None, schema: int = SCHEMA) -> Raw:
    """Answer a change as it would be written today; the one handed in stays as it is.

    What is malformed passes unchanged, for its reader to refuse. A change at or above `schema` is
    answered as it is.
    """
    written = change.get("schema")
    if not isinstance(written, int) or isinstance(written, bool) or not 1 <= written < schema:
        return change
    if not all(isinstance(change.get(part, {}), dict) for part in ("set", "base", "seen")):
        return change
    lifted: Raw = {
        key: dict(value) if key in ("set", "base", "seen") else value
        for key, value in change.items()
    }
    steps = present_table() if table is None else table
    for version in range(written, schema):
        for step in steps:
            if step["from"] == version and step["kind"] == lifted.get("kind"):
                _apply(step, lifted)
    lifted["schema"] = schema
    return lifted


def _apply(step: Step, change: Raw) -> None:
    if "becomes" in step:
        change["kind"] = step["becomes"]
    elif "rename" in step:
        _move(change, step["rename"], {step["to"]: lambda value: value})
    elif "convert" in step:
        old = step["convert"]
        _move(change, old, {step.get("to", old): lambda value: _converted(step, value)})
    elif "split" in step:
        members: dict[str, str] = step["into"]
        _move(
            change,
            step["split"],
            {
                name: lambda whole, member=member: _part(whole, member)
                for name, member in members.items()
            },
            splits=True,
        )


def _move(change: Raw, old: str, parts: Mapping[str, Any], *, splits: bool = False) -> None:
    """Put the new registers where the old one stood, in the set, the base and the seen."""
    if any(new != old and new in change.get("set", {}) for new in parts):
        return
    values: Raw = change.get("set", {})
    if old in values:
        value = values[old]
        if splits and not (value is None or isinstance(value, dict)):
            return
        del values[old]
        for new, made in parts.items():
            values[new] = made(value)
    for names in (change.get("base", {}), change.get("seen", {})):
        if old in names:
            ids = names.pop(old)
            for new in parts:
                names[new] = list(ids) if isinstance(ids, list) else ids


def _converted(step: Step, value: Any) -> Any:
    if "words" in step:
        return step["words"].get(value, value) if isinstance(value, str) else value
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return value
    return value * step.get("times", 1) + step.get("plus", 0)


def _part(whole: Any, member: str) -> Any:
    return None if whole is None else whole.get(member)
