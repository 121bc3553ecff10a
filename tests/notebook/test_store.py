"""The database itself: what it refuses, how it is opened, what its tables look like."""

from __future__ import annotations

import json
import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import attrs
import pytest

from scout.notebook import backups, judging
from scout.notebook import notebook as notebooks
from scout.notebook import upcast as upcasts
from scout.notebook.notebook import FILE, Notebook, open_notebook
from scout.notebook.store import database, ledger
from scout.notebook.store.database import Store, wal_is_sound
from scout.notebook.store.trouble import StoreTrouble
from scout.records.kinds import KINDS
from scout.records.reading import fields_of
from scout.records.trouble import Refused

from .conftest import TurnedClock
from .phone import Direct, Phone
from .tables import rows_of

PERCH = "01900000-0000-7000-8000-0000000000aa"


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE journal SET set_json = '{}'",
        "UPDATE journal SET received_via = 'x' WHERE seq = 1",
        "DELETE FROM journal",
        "DELETE FROM journal WHERE seq = 1",
        "INSERT OR REPLACE INTO journal SELECT * FROM journal",
        "REPLACE INTO journal SELECT seq + 1, change_id, device_id, device_seq, record_id, kind,"
        " set_json, base_json, seen_json, hlc, wall, tz_min, schema, group_id, received_at,"
        " received_via, body_sha256, chain FROM journal",
    ],
)
def test_the_journal_refuses_to_be_altered_by_any_program(
    notebook: Notebook, phone: Phone, statement: str
) -> None:
    notebook.push([phone.edit("perch", PERCH, {"name": "A"})])
    before = rows_of(notebook.store.path, "journal")
    with closing(sqlite3.connect(notebook.store.path)) as conn:
        with pytest.raises(sqlite3.IntegrityError, match="keeps what was written"):
            conn.execute(statement)
        conn.rollback()
    assert rows_of(notebook.store.path, "journal") == before


def test_every_table_is_strict(notebook: Notebook) -> None:
    with closing(sqlite3.connect(notebook.store.path)) as conn:
        tables = {
            name: strict
            for _, name, kind, _, _, strict in conn.execute("PRAGMA table_list")
            if kind == "table" and not name.startswith(("sqlite_", "_sqlite"))
        }
    assert set(KINDS) <= set(tables)
    assert {name for name, strict in tables.items() if not strict} == set()


def test_a_table_of_records_has_a_column_for_every_field(notebook: Notebook) -> None:
    with closing(sqlite3.connect(notebook.store.path)) as conn:
        for kind, cls in KINDS.items():
            columns = {row[1]: row[2] for row in conn.execute(f'PRAGMA table_info("{kind}")')}
            assert list(columns) == [*fields_of(cls), "deleted", "badge", "conflict_count"]
            for name, field in fields_of(cls).items():
                wanted = {"number": "REAL", "whole": "INTEGER", "flag": "INTEGER"}
                assert columns[name] == wanted.get(field.kind, "TEXT")


def test_what_is_shown_is_plain_to_query(notebook: Notebook, phone: Phone) -> None:
    visit = phone.new_id()
    notebook.push(
        [
            phone.edit("perch", PERCH, {"name": "Old post", "height_m": 2, "spread_m": None}),
            phone.edit("perch", PERCH, {"position": {"lat": 57, "lon": -3.8}}),
            phone.edit("visit", visit, {"start": "2026-05-12T04:35:00+01:00", "mist": True}),
            phone.edit("visit", visit, {"failed_by": ["light"], "frames": 12}),
        ]
    )
    with closing(sqlite3.connect(notebook.store.path)) as conn:
        assert conn.execute(
            "SELECT name, height_m, typeof(height_m), spread_m, position ->> 'lat' FROM perch"
        ).fetchall() == [("Old post", 2.0, "real", None, 57)]
        assert conn.execute(
            "SELECT \"start\" ->> 'at', mist, failed_by, frames, deleted FROM visit"
        ).fetchall() == [("2026-05-12T04:35:00+01:00", 1, '["light"]', 12, 0)]


@pytest.mark.parametrize(
    ("version", "sound"),
    [  # sqlite.org/wal.html, "WAL reset bug": 3.7.0 to 3.51.2, fixed in 3.51.3, 3.50.7, 3.44.6
        ((3, 40, 1), False),
        ((3, 44, 5), False),
        ((3, 44, 6), True),
        ((3, 45, 0), False),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 0), False),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 52, 0), True),
    ],
)
def test_the_write_ahead_log_only_where_it_is_sound(
    version: tuple[int, int, int], sound: bool
) -> None:
    assert wal_is_sound(version) is sound


def test_the_file_is_opened_as_this_sqlite_allows(notebook: Notebook) -> None:
    sound = wal_is_sound(sqlite3.sqlite_version_info[:3])
    with notebook.store.writing() as db:
        assert db.conn.execute("PRAGMA journal_mode").fetchone()[0] == (
            "wal" if sound else "truncate"
        )
        assert db.conn.execute("PRAGMA synchronous").fetchone()[0] == 2, "FULL"


def test_a_file_left_in_the_other_journal_mode_is_taken_over(
    tmp_path: Path, clock: TurnedClock, phone: Phone
) -> None:
    with open_notebook(tmp_path, clock, create=True) as opened:
        opened.push([phone.edit("perch", PERCH, {"name": "A"})])
    with closing(sqlite3.connect(tmp_path / FILE)) as conn:
        conn.execute("PRAGMA journal_mode=WAL")
        conn.execute("INSERT INTO audit (at, what, detail) VALUES ('', '', '')")
        conn.commit()
    with open_notebook(tmp_path, clock) as opened:
        test_the_file_is_opened_as_this_sqlite_allows(opened)
        assert len(opened.history(PERCH)) == 1


def test_many_threads_write_and_read_and_nothing_is_lost(notebook: Notebook, phone: Phone) -> None:
    batches = [
        [phone.edit("perch", phone.new_id(), {"name": "A"}) for _ in range(5)] for _ in range(40)
    ]
    troubles: list[BaseException] = []

    def run(mine: int) -> None:
        try:
            for batch in batches[mine::4]:
                assert all(answer.status == "ok" for answer in notebook.push(batch).answers)
                notebook.pull(limit=50)
                notebook.conflicts()
        except BaseException as trouble:
            troubles.append(trouble)

    threads = [threading.Thread(target=run, args=(mine,)) for mine in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert troubles == []
    assert len(notebook.pull().rows) == 200
    assert notebook.check().faults == []


def test_where_the_log_is_sound_it_is_used_and_all_goes_as_well(
    tmp_path: Path, clock: TurnedClock, phone: Phone, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "wal_is_sound", lambda version: True)
    with open_notebook(tmp_path / "n", clock, create=True) as opened:
        with opened.store.writing() as db:
            assert db.conn.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
        test_many_threads_write_and_read_and_nothing_is_lost(opened, phone)
        done = backups.back_up(opened, tmp_path / "b")
        assert rows_of(done.path, "journal") == rows_of(opened.store.path, "journal")
        assert backups.restore(opened.folder, done.path, clock).seq == 200
        assert opened.check().faults == []


def test_two_programs_write_to_one_notebook(
    notebook: Notebook, clock: TurnedClock, phone: Phone
) -> None:
    with open_notebook(notebook.folder, clock) as second:
        for number in range(20):
            (notebook, second)[number % 2].push(
                [phone.edit("perch", PERCH, {"name": f"n{number}"})]
            )
        assert second.furthest() == notebook.furthest()
        assert notebook.check().faults == []


def test_a_program_that_holds_the_file_is_named_in_words(notebook: Notebook, phone: Phone) -> None:
    with notebook.store.writing() as db:
        db.conn.execute("PRAGMA busy_timeout=1")
    with closing(sqlite3.connect(notebook.store.path)) as conn:
        conn.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreTrouble, match="Another program is writing") as caught:
            notebook.push([phone.edit("perch", PERCH, {"name": "A"})])
        conn.rollback()
    assert caught.value.code == "busy"
    phone.push(Direct(notebook))
    assert phone.outbox == []


def test_nobody_opens_what_is_not_there_by_mistake(tmp_path: Path, clock: TurnedClock) -> None:
    with pytest.raises(Refused, match="There is no notebook in"):
        open_notebook(tmp_path / "nothing", clock)
    assert not (tmp_path / "nothing").exists()


def test_what_is_no_database_is_said_so(tmp_path: Path, clock: TurnedClock) -> None:
    (tmp_path / FILE).write_bytes(b"no database at all, but long enough to look at " * 100)
    with pytest.raises(StoreTrouble, match="damaged") as caught:
        open_notebook(tmp_path, clock)
    assert caught.value.code == "damaged"


def test_a_notebook_of_a_newer_program_is_left_alone(tmp_path: Path, clock: TurnedClock) -> None:
    with open_notebook(tmp_path, clock, create=True) as opened, opened.store.writing() as db:
        facts = ledger.meta(db)
        assert facts is not None
        ledger.store_meta(db, attrs.evolve(facts, schema=99))
    with pytest.raises(Refused, match="newer scout"):
        open_notebook(tmp_path, clock)


def test_i13_when_the_schema_rises_quarantine_is_tried_again_and_old_changes_read_anew(
    tmp_path: Path, clock: TurnedClock, phone: Phone, other: Phone, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A made-up schema 2 renames a perch's `label` to `name`; an old phone pushed before."""
    early = phone.edit("perch", PERCH, {"name": "known before"})
    middle = early | {
        "id": phone.new_id(),
        "set": {"label": "Old post"},
        "base": {"label": [early["id"]]},
        "hlc": "999999999999990-0000-00000000",
    }
    bad = early | {"id": phone.new_id(), "set": {"height_m": -1}, "base": {"height_m": []}}
    with open_notebook(tmp_path, clock, create=True) as opened:
        answers = opened.push([early, middle, bad]).answers
        assert [answer.code for answer in answers] == [None, "register", "value"]
    for module in (judging, notebooks):
        monkeypatch.setattr(module, "SCHEMA", 2, raising=False)
    table = ({"from": 1, "kind": "perch", "rename": "label", "to": "name"},)
    monkeypatch.setattr(judging, "upcast", lambda raw: upcasts.upcast(raw, table, 2))
    with open_notebook(tmp_path, clock) as opened:
        assert opened.facts.schema == 2
        (left,) = opened.quarantine()
        assert left["change_id"] == bad["id"]
        (row,) = rows_of(tmp_path / FILE, "perch")["perch"]
        assert "Old post" in row
        kept = [json.loads(row.body) for row in opened.pull().rows]
        assert [change["id"] for change in kept] == [early["id"], middle["id"]]
        assert kept[1]["set"] == {"label": "Old post"}, "the journal keeps what was written"
        assert opened.push([middle]).answers[0].status == "duplicate"
        assert opened.check().faults == []


def test_tables_are_made_again_when_the_fields_have_changed(
    tmp_path: Path, clock: TurnedClock, phone: Phone
) -> None:
    with open_notebook(tmp_path, clock, create=True) as opened:
        opened.push([phone.edit("perch", PERCH, {"name": "A"})])
        before = rows_of(tmp_path / FILE)
        with opened.store.writing() as db:
            db.conn.execute("DROP TABLE perch")
            db.conn.execute("CREATE TABLE perch (id TEXT, colour TEXT)")
            facts = ledger.meta(db)
            assert facts is not None
            ledger.store_meta(db, attrs.evolve(facts, tables_sha256="of another day"))
    with open_notebook(tmp_path, clock):
        assert rows_of(tmp_path / FILE) == before


def test_a_reading_within_a_reading_sees_the_same(notebook: Notebook, phone: Phone) -> None:
    store: Store = notebook.store
    with store.reading() as outer, store.reading() as inner:
        assert outer is inner
    with store.reading() as db, pytest.raises(sqlite3.OperationalError):
        db.conn.execute("DELETE FROM head")
