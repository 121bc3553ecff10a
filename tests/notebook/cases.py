"""The cases in tests/reference/merge, which Python and JavaScript must both answer."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

_FOLDER = Path(__file__).parent.parent / "reference" / "merge"


def read(name: str) -> dict[str, Any]:
    """Read one file of cases."""
    kept: dict[str, Any] = json.loads((_FOLDER / name).read_text("utf-8"))
    return kept


def named(cases: list[dict[str, Any]]) -> list[Any]:
    """Make parameters of cases that have a name."""
    return [pytest.param(case, id=case["name"]) for case in cases]
