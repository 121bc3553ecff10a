"""Elevation models are in no backup and no export: which stand here, so that they can be got again.

They are large and somebody else's data. Beside each backup a list of them is written, by which a
restore says what is missing. Not for: the models themselves (`shelf`).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from scout.records.sizes import size_words
from scout.terrain.model import Model
from scout.terrain.shelf import Shelf

SUFFIX: Final = ".land.json"
_AGAIN: Final = "scout land add takes each in again."


def aside_words(models: Sequence[Model]) -> str | None:
    """Say that the models are not in what was written, with sizes and files; None without any."""
    if not models:
        return None
    whole = size_words(sum(one.size_bytes for one in models))
    count = "1 elevation model" if len(models) == 1 else f"{len(models)} elevation models"
    each = "; ".join(_told(one.words, one.size_bytes, one.came_from) for one in models)
    return f"Not in it: {count}, {whole} in all. Keep their files; {_AGAIN} {each}."


def write_list(models: Sequence[Model], backup: Path) -> None:
    """Write beside a backup which models stood beside the notebook; nothing where none did."""
    if not models:
        return
    rows = [
        {
            "id": one.id,
            "words": one.words,
            "size_bytes": one.size_bytes,
            "came_from": one.came_from,
        }
        for one in models
    ]
    text = json.dumps({"format": 1, "models": rows}, ensure_ascii=False, indent=1)
    path = backup.with_suffix(SUFFIX)
    path.touch(0o600)  # a model's name may give its place away
    path.write_text(text + "\n", encoding="utf-8")


def missing_words(shelf: Shelf, backup: Path) -> str | None:
    """Say which models of a backup's list are not on a shelf; None where none is missing."""
    try:
        said: Any = json.loads(backup.with_suffix(SUFFIX).read_text(encoding="utf-8"))
        told = {
            str(one["id"]): _told(str(one["words"]), int(one["size_bytes"]), str(one["came_from"]))
            for one in said["models"]
        }
    except (OSError, ValueError, TypeError, KeyError):
        return None
    here = {one.id for one in shelf.models()}
    gone = [words for mark, words in told.items() if mark not in here]
    if not gone:
        return None
    return f"Elevation models are in no backup; missing here: {'; '.join(gone)}. {_AGAIN}"


def _told(words: str, size_bytes: int, came_from: str) -> str:
    source = f", from {came_from}" if came_from else ""
    return f"{words}, {size_words(size_bytes)}{source}"
