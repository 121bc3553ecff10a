"""Lifting old changes, by the shared cases with their made-up table."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from scout.notebook.canonical import canonical
from scout.notebook.upcast import present_table, upcast

from .cases import named, read

CASES = read("upcast.json")


@pytest.mark.parametrize("case", named(CASES["cases"]))
def test_upcast(case: dict[str, Any]) -> None:
    before = copy.deepcopy(case["change"])
    lifted = upcast(case["change"], CASES["table"], CASES["schema"])
    assert canonical(lifted) == canonical(case["expect"])
    assert case["change"] == before, "what was written is left as it was"
    assert canonical(upcast(lifted, CASES["table"], CASES["schema"])) == canonical(lifted)


@pytest.mark.parametrize(
    "raw",
    [
        {},
        {"schema": "1"},
        {"schema": True},
        {"schema": 0},
        {"schema": 1, "set": []},
        {"schema": 1, "kind": "perch", "set": {"label": 1}, "base": 7},
        {"schema": 9, "set": {}},
    ],
)
def test_what_is_malformed_passes_to_its_reader(raw: dict[str, Any]) -> None:
    assert upcast(raw, CASES["table"], CASES["schema"]) == raw


def test_the_present_table_leads_to_the_present_schema() -> None:
    assert isinstance(present_table(), tuple)
