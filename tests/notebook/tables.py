"""The notebook's tables read out for comparing, by plain SQL from outside."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from scout.records.kinds import KINDS

CACHE = "head awaited"


def rows_of(path: Path, *tables: str) -> dict[str, list[tuple[Any, ...]]]:
    """Read tables whole, in order; without names: heads, awaited and every table of records."""
    with closing(sqlite3.connect(path)) as conn:
        wanted = tables or (*CACHE.split(), *_record_tables(conn))
        return {name: sorted(conn.execute(f'SELECT * FROM "{name}"'), key=str) for name in wanted}


def _record_tables(conn: sqlite3.Connection) -> list[str]:
    names = {row[0] for row in conn.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    return [kind for kind in KINDS if kind in names]
