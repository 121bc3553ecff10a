"""The schema from which forms are built says everything that the readers hold to."""

from __future__ import annotations

import json
from typing import Any

import attrs
import pytest

from scout.records.fields import field_of
from scout.records.kinds import KINDS, SCHEMA
from scout.records.schema import describe


def every_field(cls: type, described: list[dict[str, Any]]) -> list[tuple[Any, dict[str, Any]]]:
    """Answer each attribute's field with its description, at any depth."""
    attributes = attrs.fields(cls)
    assert [attribute.name for attribute in attributes] == [one["name"] for one in described]
    found: list[tuple[Any, dict[str, Any]]] = []
    for attribute, one in zip(attributes, described, strict=True):
        field = field_of(attribute)
        found.append((field, one))
        while field.item is not None:
            field, one = field.item, one["item"]
            found.append((field, one))
        if field.group is not None:
            found += every_field(field.group, one["fields"])
    return found


def test_it_is_plain_json_for_every_kind() -> None:
    described = describe()
    assert json.loads(json.dumps(described, allow_nan=False)) == described
    assert described["schema"] == SCHEMA
    assert list(described["kinds"]) == list(KINDS)  # type: ignore[call-overload]


@pytest.mark.parametrize("kind", KINDS)
def test_it_covers_every_field_and_all_that_bounds_it(kind: str) -> None:
    kinds: Any = describe()["kinds"]
    for field, one in every_field(KINDS[kind], kinds[kind]):
        assert one["label"] == field.label != ""
        assert one["kind"] == field.kind
        for name in ("low", "above", "high", "longest", "most"):
            assert one.get(name) == getattr(field, name)
        assert bool(one.get("needed")) == field.needed
        assert tuple(one.get("choices", ())) == field.choices
        assert tuple(one.get("refers_to", ())) == field.refers_to
        if field.kind in ("number", "whole"):
            assert "high" in one
            assert ("low" in one) != ("above" in one)
        if field.kind == "text":
            assert one["longest"] > 0
        assert all(target in KINDS for target in field.refers_to)


@pytest.mark.parametrize("kind", KINDS)
def test_the_example_of_a_short_form_is_one(kind: str) -> None:
    kinds: Any = describe()["kinds"]
    for field, one in every_field(KINDS[kind], kinds[kind]):
        if "short_form" in one:
            assert isinstance(field.read(one["short_form"]), field.group)
