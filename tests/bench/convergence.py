"""Many phones that hardly meet, clocks from three days slow to two days fast: nothing lost, all
alike.

Run: python tests/bench/convergence.py [phones, 20] [edits a phone, 10000] [--direct]. The server is
a process of its own, spoken to over HTTP; `--direct`: no link but the notebook itself. Afterwards
every phone must show what the whole journal means, worked out from scratch, and every change ever
written must be in the journal. The peer is that working out, in the same run.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from scout.notebook import merge
from scout.notebook.canonical import plain
from scout.notebook.notebook import Notebook, open_notebook

sys.path.insert(0, str(Path(__file__).parents[2]))
from tests.notebook.phone import Change, Direct, Phone
from tests.server import served
from tests.server.linked import Line, OverHttp, Said

START_MS = 1_778_557_500_000
DAY_MS = 86_400_000
_PAUSE_S = 5.0


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


class PatientLine(Line):
    """A connection that is opened anew after a pause, for a server drops those that say nothing."""

    def __init__(self, address: str) -> None:
        super().__init__(address)
        self.at = time.monotonic()

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> Said:
        if time.monotonic() - self.at > _PAUSE_S:
            self.close()
        said = super().ask(method, path, body, **headers)
        self.at = time.monotonic()
        return said


class SharingOverHttp(OverHttp):
    """A server over HTTP; what it sends is compared with what it sent before, and kept once."""

    def __init__(self, address: str) -> None:
        super().__init__(PatientLine(address))
        self.read: dict[str, Change] = {}

    def pull(
        self, cursor: str | None, furthest: str | None, limit: int
    ) -> tuple[list[tuple[int, Change]], str, bool]:
        rows, cursor, more = super().pull(cursor, furthest, 1000)
        shared = []
        for seq, change in rows:
            kept = self.read.setdefault(change["id"], change)
            if kept != change:
                raise SystemExit(f"the server sent {change['id']} with two contents")
            shared.append((seq, kept))
        return shared, cursor, more


@contextmanager
def served_over_http(folder: str) -> Iterator[SharingOverHttp]:
    """Serve a notebook from another process for a while."""
    process, address = served.start(Path(folder))
    server = SharingOverHttp(address)
    try:
        yield server
    finally:
        assert isinstance(server.link, Line)
        server.link.close()
        served.kill(process)


@contextmanager
def served_directly(folder: str) -> Iterator[Sharing]:
    """Hand a notebook to the phones as it is."""
    with open_notebook(folder, lambda: datetime.now(UTC), create=True) as notebook:
        yield Sharing(notebook)


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


def main(phones: int = 20, edits: int = 10_000, *, direct: bool = False) -> None:
    """Print what was lost (nothing may be) and the seconds."""
    rng = random.Random(1)
    everybody = [
        Phone(random.Random(rng.random()), START_MS + rng.randint(-3 * DAY_MS, 2 * DAY_MS))
        for _ in range(phones)
    ]
    records = [everybody[0].new_id() for _ in range(max(phones * edits // 100, 1))]
    left = dict.fromkeys(range(phones), edits)
    written = 0
    serving = served_directly if direct else served_over_http
    with tempfile.TemporaryDirectory() as name, serving(name) as server:
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
        with open_notebook(name, lambda: datetime.now(UTC)) as notebook:
            found = notebook.check()
    way = "directly" if direct else "over HTTP"
    print(f"{phones} phones, {written} changes, {len(records)} records, {way}")
    print(f"lost {written - len(server.read)}; {alike} of {phones} phones show the same")
    print(f"tables sound: {found.sound}")
    print(f"{took:.1f} s, {took / alone / phones:.1f} × working the set out once a phone")
    if written != len(server.read) or alike != phones or not found.sound:
        raise SystemExit("the phones did not converge")


if __name__ == "__main__":
    typed = [one for one in sys.argv[1:] if one != "--direct"]
    main(*map(int, typed[:2]), direct="--direct" in sys.argv)
