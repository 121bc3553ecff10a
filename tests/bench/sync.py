"""The figures that sync must reach, measured and printed as one table.

Run: python tests/bench/sync.py [--quick] [name of a row ...]. The full sizes take about a quarter
of an hour on two cores. Servers are processes of their own on this machine, spoken to over sockets.
What a row is measured against, where it has a peer, is measured in the same run.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import random
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import attrs

from scout.notebook.notebook import open_notebook

sys.path.insert(0, str(Path(__file__).parents[2]))
from tests.bench import convergence, journal
from tests.server import served
from tests.server.killing import BROKEN, kill_once
from tests.server.linked import API, Line, digest, send_piece

CHUNK = 1 << 20
LOSS = 0.12


@attrs.frozen
class Sizes:
    """How much each row does."""

    phones: int
    edits: int
    kills: int
    pushed: int
    photo_mb: int
    checked: int


FULL = Sizes(phones=20, edits=10_000, kills=500, pushed=10_000, photo_mb=500, checked=200_000)
QUICK = Sizes(phones=6, edits=300, kills=10, pushed=2_000, photo_mb=40, checked=10_000)


@attrs.frozen
class Figure:
    """One row: what was done, what must be reached, what was, and whether that is enough."""

    what: str
    must: str
    got: str
    reached: bool


def converging(sizes: Sizes) -> Figure:
    """Let phones that hardly meet come to the same state."""
    said, began, fine = io.StringIO(), time.perf_counter(), True
    with contextlib.redirect_stdout(said):
        try:
            convergence.main(sizes.phones, sizes.edits)
        except SystemExit:
            fine = False
    took = time.perf_counter() - began
    lost = said.getvalue().splitlines()[1]
    return Figure(
        f"{sizes.phones} phones × {sizes.edits} edits over HTTP, clocks −3 d to +2 d",
        "converge, 0 lost",
        f"{lost}; {took:.0f} s",
        fine,
    )


def killing(sizes: Sizes) -> Figure:
    """Kill the server amid pushes and photos, again and again."""
    rng = random.Random(1)
    changes = pieces = lost = faults = cut = 0
    with tempfile.TemporaryDirectory() as name:
        for number in range(sizes.kills):
            home = Path(name) / str(number // 20)
            done = kill_once(home, number, rng.uniform(0.05, 0.4))
            changes += done.changes
            pieces += done.pieces
            lost += done.lost
            faults += len(done.faults)
            cut += done.cut_short
    return Figure(
        f"{sizes.kills} × kill -9 amid pushes and photos",
        "0 acknowledged lost",
        f"{lost} of {changes} changes and {pieces} pieces lost, {faults} faults,"
        f" {cut} rounds cut short",
        lost == 0 and faults == 0,
    )


def pushing(sizes: Sizes) -> Figure:
    """Push changes over HTTP, and the same ones straight into a notebook."""
    made = journal.changes(sizes.pushed)
    batches = [made[at : at + 500] for at in range(0, len(made), 500)]
    bodies = [json.dumps({"changes": batch}).encode() for batch in batches]
    with tempfile.TemporaryDirectory() as name:
        process, address = served.start(Path(name) / "served")
        line = Line(address)
        try:
            line.ask("GET", f"{API}ping")
            began = time.perf_counter()
            answers = [line.ask("POST", f"{API}push", body) for body in bodies]
            took = time.perf_counter() - began
        finally:
            line.close()
            served.kill(process)
        taken = sum(one["status"] == "ok" for said in answers for one in said.json["answers"])
        with open_notebook(Path(name) / "direct", lambda: datetime.now(UTC), create=True) as other:
            alone = journal.push(other, made)
    return Figure(
        f"{sizes.pushed} changes pushed over HTTP, FULL sync",
        f"≤ {5 * sizes.pushed / FULL.pushed:g} s",
        f"{took:.2f} s, {took / alone:.2f} × without HTTP",
        taken == len(made) and took <= 5 * sizes.pushed / FULL.pushed,
    )


def one_bad(_: Sizes) -> Figure:
    """Push one bad change among 500."""
    made = journal.changes(500)
    text = ["NaN" if place == 250 else json.dumps(one) for place, one in enumerate(made)]
    with tempfile.TemporaryDirectory() as name:
        process, address = served.start(Path(name))
        line = Line(address)
        try:
            body = f'{{"changes":[{",".join(text)}]}}'.encode()
            answers = line.ask("POST", f"{API}push", body).json["answers"]
        finally:
            line.close()
            served.kill(process)
    taken = sum(one["status"] == "ok" for one in answers)
    return Figure(
        "1 bad change among 500", "499 in the same answer", f"{taken} accepted", taken == 499
    )


class LosingLine:
    """A link that loses some requests: before they go, half-way, or their answer."""

    def __init__(self, address: str, rng: random.Random) -> None:
        self.line = Line(address)
        self.rng = rng
        self.sent_bytes = 0
        self.twice = 0

    def offset(self, sha256: str) -> int:
        while True:
            if self.rng.random() >= LOSS:
                said = self.line.ask("HEAD", f"{API}blobs/{sha256}")
                return int(said.headers["upload-offset"])

    def send(self, sha256: str, at: int, size: int, piece: bytes) -> int:
        """Send a piece; answers where to go on, having asked where the answer was lost."""
        fate = self.rng.random()
        if fate < LOSS / 3:
            return self.offset(sha256)
        if fate < 2 * LOSS / 3:
            part = piece[: self.rng.randrange(len(piece))]
            self.sent_bytes += len(part)
            self._break_off(sha256, at, size, piece, part)
            return self.offset(sha256)
        self.sent_bytes += len(piece)
        said = send_piece(self.line, sha256, at, size, piece)
        self.twice += said.status == 409
        if fate < LOSS:
            self.line.close()
            return self.offset(sha256)
        return int(said.headers["upload-offset"])

    def _break_off(self, sha256: str, at: int, size: int, piece: bytes, part: bytes) -> None:
        self.line.ask("GET", f"{API}ping")  # so that there is a connection to break
        held = self.line._line
        assert held is not None
        with contextlib.suppress(*BROKEN):
            held.putrequest("PATCH", f"{API}blobs/{sha256}")
            for name, value in {
                "X-Scout": "1",
                "Content-Type": "application/offset+octet-stream",
                "Content-Length": str(len(piece)),
                "Content-Digest": digest(piece),
                "Upload-Offset": str(at),
                "Upload-Length": str(size),
            }.items():
                held.putheader(name, value)
            held.endheaders()
            held.send(part)
        self.line.close()


def photos(sizes: Sizes) -> Figure:
    """Send photos over a link that loses requests."""
    rng = random.Random(2)
    sizes_bytes = [20_000_000] * (sizes.photo_mb // 20)
    with tempfile.TemporaryDirectory() as name:
        process, address = served.start(Path(name))
        link = LosingLine(address, rng)
        began = time.perf_counter()
        try:
            hashes = []
            for size in sizes_bytes:
                held = rng.randbytes(size)
                sha256 = hashlib.sha256(held).hexdigest()
                at = link.offset(sha256)
                while at < size:
                    at = link.send(sha256, at, size, held[at : at + CHUNK])
                hashes.append(sha256)
        finally:
            link.line.close()
            served.kill(process)
        took = time.perf_counter() - began
        with open_notebook(name, lambda: datetime.now(UTC)) as notebook:
            whole = sum(notebook.blobs.is_sound(sha256) for sha256 in hashes)
    over = link.sent_bytes / sum(sizes_bytes) - 1
    return Figure(
        f"{sizes.photo_mb} MB of photos, {LOSS:.0%} of requests lost",
        "0 chunks twice, ≤ 5 % over",
        f"{link.twice} twice, {over:.2%} over, {whole} of {len(hashes)} whole; {took:.0f} s",
        link.twice == 0 and over <= 0.05 and whole == len(hashes),
    )


def checking(sizes: Sizes) -> Figure:
    """Check a notebook of many changes."""
    made = journal.changes(sizes.checked)
    with (
        tempfile.TemporaryDirectory() as name,
        open_notebook(name, lambda: datetime.now(UTC), create=True) as notebook,
    ):
        pushed = journal.push(notebook, made)
        began = time.perf_counter()
        found = notebook.check()
        took = time.perf_counter() - began
    must_s = 60 * sizes.checked / FULL.checked
    return Figure(
        f"check on {sizes.checked} changes",
        f"≤ {must_s:g} s",
        f"{took:.1f} s, {took / pushed:.2f} × pushing them",
        found.sound and found.changes == len(made) and took <= must_s,
    )


ROWS: dict[str, Callable[[Sizes], Figure]] = {
    "converging": converging,
    "killing": killing,
    "pushing": pushing,
    "one_bad": one_bad,
    "photos": photos,
    "checking": checking,
}


def main(arguments: list[str]) -> None:
    """Print the table; ends with 1 where a figure is not reached."""
    sizes = QUICK if "--quick" in arguments else FULL
    names = [one for one in arguments if one != "--quick"] or list(ROWS)
    fine = True
    print(f"{'figure':<62}{'must reach':<30}reached")
    for name in names:
        row = ROWS[name](sizes)
        fine &= row.reached
        print(f"{row.what:<62}{row.must:<30}{'' if row.reached else 'NOT: '}{row.got}", flush=True)
    if not fine:
        raise SystemExit(1)


if __name__ == "__main__":
    main(sys.argv[1:])
