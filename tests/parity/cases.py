"""The fixed requests that every Python must answer alike, one file a subject in requests/.

A file is a JSON array of objects: `name` is the call, `request` what it is asked, `refused` is
true where a refusal in sentences is the right answer. To add some, add a file or a row.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, NamedTuple

_FOLDER = Path(__file__).parent / "requests"


class Case(NamedTuple):
    """One request: where it is written down, the call, what is asked, and whether it is refused."""

    title: str
    call: str
    request: Any
    refused: bool


def all_cases() -> list[Case]:
    """Return every request of every file, in the order of file names."""
    return [
        Case(
            title=f"{file.stem}-{number}",
            call=row["name"],
            request=row["request"],
            refused=row.get("refused", False),
        )
        for file in sorted(_FOLDER.glob("*.json"))
        for number, row in enumerate(json.loads(file.read_text("utf-8")), start=1)
    ]
