"""The short words that a writer uses in place of record ids, and the ids that they stand for.

A word always stands for the same id in one folder, so that reading twice makes nothing twice, and
never for the same id in two folders, so that two people's words do not clash.
Not for: names that people see (`name`, `code_name`).
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from scout.records.fields import Field
from scout.records.reading import fields_of
from scout.records.trouble import Refused, Step, Trouble, at_field, shown

_WORD = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")

Swap = Callable[[str], str]
Apply = Callable[[object, Swap], object]


def is_word(text: str) -> bool:
    """Tell whether a text may stand for an id: small letters, digits, hyphens, no UUID."""
    return bool(_WORD.fullmatch(text)) and not _UUID.fullmatch(text)


class Words:
    """One folder's words."""

    def __init__(self, folder_id: str, given: Mapping[str, str] | None = None) -> None:
        self._namespace = uuid.UUID(folder_id)
        self._ids: dict[str, str] = dict(given or {})
        self.by_id: dict[str, str] = {id_: word for word, id_ in self._ids.items()}

    def id_of(self, text: str) -> str:
        """Answer the id that a text stands for, a UUID for itself. Raises Refused for neither."""
        found = self._ids.get(text)
        if found is not None:
            return found
        if _UUID.fullmatch(text):
            return text
        if not _WORD.fullmatch(text):
            raise Refused.one(
                f"{shown(text)} is neither a UUID nor a short word "
                "(small letters, digits and hyphens, at most 40)"
            )
        made = self.derived(text)
        self._ids[text] = made
        self.by_id[made] = text
        return made

    def derived(self, word: str) -> str:
        """Answer the id of a word to which none was given (RFC 9562, version 5)."""
        return str(uuid.uuid5(self._namespace, word))

    def to_ids(self, cls: type, raw: dict[str, Any]) -> list[Trouble]:
        """Put ids in place of words throughout a record's JSON object; answer what is neither."""
        return _swap_in(cls, raw, self.id_of)

    def to_words(self, cls: type, raw: dict[str, Any]) -> None:
        """Put words in place of ids throughout a record's JSON object, where there are words."""
        _swap_in(cls, raw, lambda id_: self.by_id.get(id_, id_))


def _swap_in(cls: type, raw: dict[str, Any], swap: Swap) -> list[Trouble]:
    troubles: list[Trouble] = []
    for name, apply in _appliers(cls):
        if name in raw:
            try:
                raw[name] = apply(raw[name], swap)
            except Refused as refusal:
                troubles.extend(at_field(name, refusal.troubles))
    return troubles


@cache
def _appliers(cls: type) -> tuple[tuple[str, Apply], ...]:
    found = ((name, _applier(field)) for name, field in fields_of(cls).items())
    return tuple((name, apply) for name, apply in found if apply is not None)


def _applier(field: Field) -> Apply | None:
    if field.kind == "id":
        return lambda value, swap: swap(value) if isinstance(value, str) else value
    if field.item is not None:
        inner = _applier(field.item)
        return None if inner is None else _applier_to_all(inner)
    group = field.group
    if group is None or not _appliers(group):
        return None

    def apply(value: object, swap: Swap) -> object:
        if isinstance(value, dict):
            troubles = _swap_in(group, value, swap)
            if troubles:
                raise Refused(troubles)
        return value

    return apply


def _applier_to_all(inner: Apply) -> Apply:
    def apply(value: object, swap: Swap) -> object:
        if not isinstance(value, list):
            return value
        swapped: list[object] = []
        troubles: list[Trouble] = []
        for place, one in enumerate(value):
            try:
                swapped.append(inner(one, swap))
            except Refused as refusal:
                troubles.extend(at_field(place, refusal.troubles))
        if troubles:
            raise Refused(troubles)
        return swapped

    return apply


def references(record: Any) -> list[tuple[tuple[Step, ...], str, tuple[str, ...]]]:
    """Answer a record's references: path, id, and the kinds it may name (none: any kind)."""
    found: list[tuple[tuple[Step, ...], str, tuple[str, ...]]] = []
    cls: type = type(record)
    for name, _ in _appliers(cls):
        if name != "id":
            _collect(fields_of(cls)[name], getattr(record, name), (name,), found)
    return found


def _collect(
    field: Field,
    value: Any,
    path: tuple[Step, ...],
    found: list[tuple[tuple[Step, ...], str, tuple[str, ...]]],
) -> None:
    if value is None:
        return
    if field.kind == "id":
        found.append((path, value, field.refers_to))
    elif field.item is not None:
        for place, one in enumerate(value):
            _collect(field.item, one, (*path, place), found)
    elif field.group is not None:
        for name, _ in _appliers(field.group):
            _collect(fields_of(field.group)[name], getattr(value, name), (*path, name), found)
