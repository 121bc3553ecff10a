"""The journal's figures: pushing, pulling, checking and rebuilding, against plain rows of the same
text.

Run: python tests/bench/journal.py [changes to push, 10000] [changes to check, 200000].
The peer is SQLite alone, in the same run: the same bodies as rows of one table, batch by batch,
with the same settings; what is left is the price of judging, chaining, heads and the tables of
records.
"""

from __future__ import annotations

import random
import sqlite3
import sys
import tempfile
import time
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from scout.notebook.canonical import canonical
from scout.notebook.clock import new_id, stamp_after
from scout.notebook.notebook import Notebook, open_notebook
from scout.notebook.store.database import wal_is_sound

BATCH = 500
START_MS = 1_778_557_500_000


def changes(count: int) -> list[dict[str, Any]]:
    """Return edits by 20 devices, 40 to a record, 3 % of them not having seen the last."""
    rng = random.Random(1)
    devices = [new_id(START_MS) for _ in range(20)]
    records = [new_id(START_MS) for _ in range(max(count // 40, 1))]
    heads: dict[tuple[str, str], str] = {}
    made = []
    for number in range(count):
        device, record, ms = rng.choice(devices), rng.choice(records), START_MS + number
        register, value = rng.choice(
            [
                ("name", f"Perch {number}"),
                ("height_m", round(rng.random() * 9, 2)),
                ("position", {"lat": round(57 + rng.random(), 6), "lon": -3.8, "accuracy_m": 8}),
                ("kind", "rock"),
            ]
        )
        before = heads.get((record, register))
        change = {
            "id": new_id(ms),
            "device": device,
            "device_seq": number + 1,
            "record": record,
            "kind": "perch",
            "set": {register: value},
            "base": {register: [before] if before and rng.random() < 0.97 else []},
            "hlc": stamp_after(ms, 0, [], device),
            "wall": ms,
            "tz_min": 60,
            "schema": 1,
            "group": new_id(ms),
        }
        heads[record, register] = str(change["id"])
        made.append(change)
    return made


def push(notebook: Notebook, made: list[dict[str, Any]]) -> float:
    """Return the seconds that pushing took."""
    began = time.perf_counter()
    for start in range(0, len(made), BATCH):
        answers = notebook.push(made[start : start + BATCH]).answers
        if any(answer.status != "ok" for answer in answers):
            raise SystemExit("a change was refused; the bench is wrong")
    return time.perf_counter() - began


def plain_rows(path: Path, made: list[dict[str, Any]]) -> float:
    """Return the seconds that SQLite alone needs for the same text."""
    bodies = [(change["id"], canonical(change)) for change in made]
    with closing(sqlite3.connect(path, isolation_level=None)) as conn:
        log = "WAL" if wal_is_sound(sqlite3.sqlite_version_info[:3]) else "TRUNCATE"
        conn.execute(f"PRAGMA journal_mode={log}")
        conn.execute("PRAGMA synchronous=FULL")
        conn.execute("CREATE TABLE plain (seq INTEGER PRIMARY KEY, id TEXT UNIQUE, body TEXT)")
        began = time.perf_counter()
        for start in range(0, len(bodies), BATCH):
            conn.execute("BEGIN IMMEDIATE")
            conn.executemany(
                "INSERT INTO plain (id, body) VALUES (?,?)", bodies[start : start + BATCH]
            )
            conn.execute("COMMIT")
        return time.perf_counter() - began


def timed(what: str, run: Any) -> Any:
    """Run something and print the seconds it took."""
    began = time.perf_counter()
    result = run()
    print(f"{what:<34}{time.perf_counter() - began:8.2f} s")
    return result


def pull_all(notebook: Notebook) -> int:
    """Return how many characters a phone is given from the start."""
    cursor, more, size = None, True, 0
    while more:
        page = notebook.pull(cursor)
        size += len(page.text)
        cursor, more = page.cursor, page.more
    return size


def main(pushed: int = 10_000, checked: int = 200_000) -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for count in (pushed, checked):
            made = changes(count)
            peer = plain_rows(folder / f"plain{count}.db", made)
            with open_notebook(
                folder / str(count), lambda: datetime.now(UTC), create=True
            ) as notebook:
                took = push(notebook, made)
                print(f"{count} changes, {BATCH} a batch, synchronous=FULL")
                print(f"{'push':<34}{took:8.2f} s   {took / peer:.1f} × plain rows ({peer:.2f} s)")
                timed("pull from the start", lambda n=notebook: pull_all(n))
                found = timed("check", lambda n=notebook: n.check())
                timed("rebuild", notebook.rebuild)
                print(
                    f"{'sound, records, registers in conflict':<34} {found.sound}, {found.records},"
                    f" {len(notebook.conflicts())}"
                )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
