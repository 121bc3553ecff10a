"""The choice table in the terminal: sites and sessions against days, in as many parts as fit.

Not for: what a cell says (the engine writes it).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from scout.terminal.page import Page

_CELL = 13
_FIRST = 28


def print_choice(page: Page, table: Mapping[str, Any], animals: Sequence[str]) -> None:
    """Print the table; `animals` names each row's animal."""
    at_once = max(1, (page.width - _FIRST) // _CELL)
    days = table["day_words"]
    for first in range(0, len(days), at_once):
        if first:
            page.line()
        part = slice(first, first + at_once)
        page.table(
            ("site and session", *days[part]),
            (
                (
                    f"{row['site_name']}\n{row['session']} · {animal}",
                    *(_cell(cell) for cell in row["cells"][part]),
                )
                for row, animal in zip(table["rows"], animals, strict=True)
            ),
            whole=range(1, at_once + 1),
        )


def _cell(cell: Mapping[str, Any]) -> str:
    return "\n".join(cell["words"].split(" · "))
