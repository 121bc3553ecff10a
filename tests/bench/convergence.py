"""Many phones that hardly meet, clocks from three days slow to two days fast: nothing lost, all
alike.

Run: python tests/bench/convergence.py [phones, 20] [edits a phone, 10000]. No link but the notebook
itself. Afterwards every phone must show what the whole journal means, worked out from scratch, and
every change ever written must be in the journal. The peer is that working out, in the same run.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from scout.notebook import merge
from scout.notebook.canonical import plain
from scout.notebook.notebook import Notebook, open_notebook

sys.path.insert(0, str(Path(__file__).parents[2]))
from tests.notebook.phone import Change, Direct, Phone

START_MS = 1_778_557_500_000
DAY_MS = 86_400_000


class Sharing(Direct):
    """The notebook, with every pulled change read once and shared by all phones of this process."""

    def __init__(self, notebook: Notebook) -> None:
        super().__init__(notebook)
        self.read: dict[str, Change] = {}

    def pull(
        self, cursor: str | None, furthest: str | None, limit: int
    ) -> tuple[list[tuple[int, Change]], str, bool]:
        page = self.notebook.pull(cursor, furthest, limit)
        rows = []
        for row in page.rows:
            if row.id not in self.read:
                self.read[row.id] = plain(row.body)
            rows.append((row.seq, self.read[row.id]))
        return rows, page.cursor, page.more


def write(phone: Phone, records: Sequence[str], rng: random.Random) -> Change:
    """Write one edit, delete or undo."""
    record, draw = rng.choice(records), rng.random()
    if draw < 0.01:
        return phone.delete("perch", record)
    if draw < 0.02:
        return phone.undelete("perch", record)
    values: dict[str, Any] = {"name": f"n{rng.randrange(50)}", "height_m": rng.randrange(9)}
    name = rng.choice(sorted(values))
    return phone.edit("perch", record, {name: values[name]}, resolve=draw > 0.97)


def main(phones: int = 20, edits: int = 10_000) -> None:
    """Print what was lost (nothing may be) and the seconds."""
    rng = random.Random(1)
    everybody = [
        Phone(random.Random(rng.random()), START_MS + rng.randint(-3 * DAY_MS, 2 * DAY_MS))
        for _ in range(phones)
    ]
    records = [everybody[0].new_id() for _ in range(max(phones * edits // 100, 1))]
    left = dict.fromkeys(range(phones), edits)
    written = 0
    with (
        tempfile.TemporaryDirectory() as name,
        open_notebook(name, lambda: datetime.now(UTC), create=True) as notebook,
    ):
        server = Sharing(notebook)
        began = time.perf_counter()
        while left:
            number = rng.choice(sorted(left))
            phone = everybody[number]
            for _ in range(min(left[number], rng.randint(1, 300))):  # out of reach for so long
                write(phone, records, rng)
                written += 1
                left[number] -= 1
            if not left[number]:
                del left[number]
            if rng.random() < 0.5:
                phone.push(server, answer_lost=rng.random() < 0.1)
            if rng.random() < 0.5:
                phone.sync(server)
        for _ in range(2):
            for phone in everybody:
                phone.sync(server)
        took = time.perf_counter() - began
        began = time.perf_counter()
        wanted = merge.states(map(merge.edit_of, server.read.values()))
        alone = time.perf_counter() - began
        alike = sum(phone.states() == wanted for phone in everybody)
        found = notebook.check()
    print(f"{phones} phones, {written} changes, {len(records)} records")
    print(f"lost {written - len(server.read)}; {alike} of {phones} phones show the same")
    print(f"tables sound: {found.sound}")
    print(f"{took:.1f} s, {took / alone / phones:.1f} × working the set out once a phone")
    if written != len(server.read) or alike != phones or not found.sound:
        raise SystemExit("the phones did not converge")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
