"""What fails under the notebook: a kill, any write, a full disk, a read-only file."""

from __future__ import annotations

import json
import os
import random
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, ClassVar

import pytest

from scout.notebook.notebook import FILE, Notebook, open_notebook
from scout.notebook.saving import Edit
from scout.notebook.store.trouble import StoreTrouble

from .conftest import NOW_MS, TurnedClock
from .phone import Phone
from .tables import rows_of

ROOT = Path(__file__).parent.parent.parent
KILLS = 50 if os.environ.get("SCOUT_FULL") == "1" else 4
PERCH = "01900000-0000-7000-8000-0000000000aa"


def everything(folder: Path) -> dict[str, list[tuple[Any, ...]]]:
    return rows_of(folder / FILE) | rows_of(folder / FILE, "journal", "quarantine", "meta")


def batch_of(phone: Phone) -> list[Any]:
    """Answer a batch in which everything occurs: edits, a delete, a bad one, one awaited."""
    first = phone.edit("perch", PERCH, {"name": "A"})
    rest = [
        phone.edit("perch", PERCH, {"name": "B", "height_m": 2}),
        phone.edit("visit", phone.new_id(), {"sky": "clear"}),
        phone.edit("perch", PERCH, {"height_m": -5}),
        phone.delete("perch", PERCH),
        phone.undelete("perch", PERCH),
    ]
    return [*rest, first] if phone.rng.random() < 0.5 else [first, *rest]


# -- I1: kill -9


@pytest.mark.parametrize("round_", range(KILLS))
def test_i1_what_was_acknowledged_survives_kill_9(
    tmp_path: Path, clock: TurnedClock, round_: int
) -> None:
    rng = random.Random(round_)
    command = [
        sys.executable,
        "-m",
        "tests.notebook.pushing",
        str(tmp_path),
        str(round_),
        "4000",
        "20",
    ]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, encoding="ascii")
    assert process.stdout is not None
    told = [process.stdout.readline()]  # it is at work; killed some time after
    time.sleep(rng.random() * 0.15)
    process.kill()
    told += process.stdout.readlines()
    process.stdout.close()
    assert process.wait() == -9
    acknowledged = dict(line.split() for line in told if line.endswith("\n") and " " in line)
    assert acknowledged
    with open_notebook(tmp_path, clock) as notebook:
        kept: dict[str, str] = {}
        cursor, more = None, True
        while more:
            page = notebook.pull(cursor)
            kept |= {row.id: str(row.seq) for row in page.rows}
            cursor, more = page.cursor, page.more
        assert acknowledged.items() <= kept.items()
        assert len(kept) % 20 == 0, "a batch is there whole or not at all"
        assert notebook.check().faults == []


# -- the k-th write fails, for every k


class FailingConnection(sqlite3.Connection):
    """A connection whose k-th statement that writes, begins or commits fails like a bad disk."""

    countdown: ClassVar[int | None] = None

    def _count(self, sql: str) -> None:
        cls = FailingConnection
        if cls.countdown is None or sql.lstrip().upper().startswith(
            ("SELECT", "PRAGMA", "ROLLBACK")
        ):
            return
        cls.countdown -= 1
        if cls.countdown == 0:
            error = sqlite3.OperationalError("disk I/O error")
            error.sqlite_errorcode = sqlite3.SQLITE_IOERR_WRITE
            raise error

    def execute(self, sql: str, *parameters: Any) -> sqlite3.Cursor:
        self._count(sql)
        return super().execute(sql, *parameters)

    def executemany(self, sql: str, rows: Any) -> sqlite3.Cursor:
        def counted() -> Iterator[Any]:
            for row in rows:
                self._count(sql)
                yield row

        return super().executemany(sql, counted())


@pytest.fixture
def failing() -> Iterator[type[FailingConnection]]:
    yield FailingConnection
    FailingConnection.countdown = None


def test_the_kth_write_of_a_push_fails_for_every_k(
    tmp_path: Path, clock: TurnedClock, failing: type[FailingConnection]
) -> None:
    phone = Phone(random.Random(1), NOW_MS)
    with open_notebook(tmp_path, clock, create=True, connection=failing) as notebook:
        notebook.push([phone.edit("perch", PERCH, {"name": "O"})])
        before = everything(tmp_path)
        batch = batch_of(phone)
        codes: set[str] = set()
        for k in range(1, 500):
            failing.countdown = k
            try:
                answers = notebook.push(batch).answers
            except StoreTrouble as trouble:
                codes.add(trouble.code)
            else:
                break
            finally:
                failing.countdown = None
            assert everything(tmp_path) == before, f"write {k} failed and something was kept"
        assert codes == {"disk"}
        assert k > 30, "every write of the batch was made to fail"
        assert [answer.status for answer in answers].count("ok") == 5
        again = [answer.status for answer in notebook.push(batch).answers]
        assert sorted(set(again)) == ["duplicate", "quarantined"]
        assert notebook.check().faults == []


@pytest.mark.parametrize("what", ["save", "undo", "rebuild", "open"])
def test_the_kth_write_of_anything_else_fails_for_every_k(
    tmp_path: Path, clock: TurnedClock, failing: type[FailingConnection], what: str
) -> None:
    folder = tmp_path / "made"
    group = ""
    if what != "open":
        with open_notebook(folder, clock, create=True) as notebook:
            notebook.save([Edit(kind="perch", record=PERCH, set={"name": "A"})])
            group = notebook.save([Edit(kind="perch", record=PERCH, set={"name": "B"})]).group
    before = everything(folder) if group else None

    def run(notebook: Notebook) -> None:
        if what == "save":
            notebook.save([Edit(kind="perch", record=PERCH, set={"name": "C"})])
        elif what == "undo":
            notebook.undo(group)
        elif what == "rebuild":
            notebook.rebuild()

    codes: set[str] = set()
    for k in range(1, 2000):
        failing.countdown = k if what == "open" else None
        try:
            with open_notebook(folder, clock, create=True, connection=failing) as notebook:
                failing.countdown = k
                run(notebook)
        except StoreTrouble as trouble:
            codes.add(trouble.code)
        else:
            break
        finally:
            failing.countdown = None
        if before is not None:
            assert everything(folder) == before
    assert k > 4
    assert codes == {"disk"}
    with open_notebook(folder, clock) as notebook:
        assert notebook.check().faults == []


# -- a full disk


def test_a_full_disk_is_said_in_words_and_nothing_is_half_kept(
    tmp_path: Path, clock: TurnedClock, phone: Phone
) -> None:
    with open_notebook(tmp_path, clock, create=True) as notebook:
        with notebook.store.writing() as db:
            pages = db.conn.execute("PRAGMA page_count").fetchone()[0]
            db.conn.execute(f"PRAGMA max_page_count={pages + 20}")
        kept = 0
        for _ in range(100):
            batch = [phone.edit("perch", phone.new_id(), {"name": "n" * 50}) for _ in range(20)]
            before = everything(tmp_path)
            try:
                notebook.push(batch)
            except StoreTrouble as trouble:
                said = trouble
                break
            kept += 20
        assert kept
        assert said.code == "full"
        assert "no room left" in str(said)
        assert everything(tmp_path) == before
        assert len(notebook.pull().rows) == kept, "what is there can still be read"
        assert notebook.check().faults == []
        with notebook.store.writing() as db:
            db.conn.execute("PRAGMA max_page_count=1000000")
        assert {answer.status for answer in notebook.push(batch).answers} == {"ok"}


CHILD = """
import datetime as dt, json, os, resource, signal, sys
from scout.notebook.notebook import open_notebook
from scout.notebook.store.trouble import StoreTrouble
folder, limit = sys.argv[1], int(sys.argv[2])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
changes = json.load(sys.stdin)
with open_notebook(folder, lambda: dt.datetime.now(dt.UTC)) as notebook:
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    done = 0
    try:
        for start in range(0, len(changes), 20):
            notebook.push(changes[start : start + 20])
            done += 20
    except StoreTrouble as trouble:
        print(done, trouble.code)
"""


def test_the_system_refuses_to_let_the_file_grow(
    tmp_path: Path, clock: TurnedClock, phone: Phone
) -> None:
    """The write itself fails here, at many lengths of the file, and not a statement."""
    with open_notebook(tmp_path, clock, create=True):
        pass
    size = (tmp_path / FILE).stat().st_size
    changes = [phone.edit("perch", phone.new_id(), {"name": "n" * 50}) for _ in range(1000)]
    for more in (0, 4096, 20_000, 50_001):
        run = subprocess.run(
            [sys.executable, "-c", CHILD, str(tmp_path), str(size + more)],
            input=json.dumps(changes),
            capture_output=True,
            encoding="utf-8",
            cwd=ROOT,
            check=True,
        )
        done, code = run.stdout.split()
        assert code in ("full", "disk")
        with open_notebook(tmp_path, clock) as notebook:
            assert len(notebook.pull(limit=2000).rows) >= int(done)
            assert notebook.check().faults == []


# -- a file that cannot be written

READ_ONLY_CHILD = """
import datetime as dt, os, sys
from scout.notebook.notebook import open_notebook
from scout.notebook.saving import Edit
from scout.notebook.canonical import canonical
from scout.notebook.store.trouble import StoreTrouble
canonical({"é": 1})  # so that Python has loaded what it loads late
if os.getuid() == 0:
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
with open_notebook(sys.argv[1], lambda: dt.datetime.now(dt.UTC)) as notebook:
    print(len(notebook.pull().rows), notebook.check().sound)
    try:
        notebook.save([Edit(kind="perch", set={"name": "A"})])
    except StoreTrouble as trouble:
        print(trouble.code, trouble)
"""


def test_a_read_only_file_is_read_and_answered_in_words(clock: TurnedClock) -> None:
    with tempfile.TemporaryDirectory(dir="/tmp") as name:  # where another user may look
        folder = Path(name) / "notebook"
        with open_notebook(folder, clock, create=True) as notebook:
            notebook.save([Edit(kind="perch", record=PERCH, set={"name": "A"})])
        Path(name).chmod(0o755)
        folder.chmod(0o555)
        (folder / FILE).chmod(0o444)
        try:
            run = subprocess.run(
                [sys.executable, "-B", "-c", READ_ONLY_CHILD, str(folder)],
                capture_output=True,
                encoding="utf-8",
                cwd=ROOT,
            )
        finally:
            folder.chmod(0o755)
    assert run.stderr == ""
    first, second = run.stdout.splitlines()
    assert first == "1 True"
    assert second.startswith(
        "read_only The notebook's file cannot be written; check its permissions"
    )
