"""The check finds what is damaged, says what is missing, and names neither where all is well."""

from __future__ import annotations

import hashlib
import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from scout.notebook.notebook import FILE, Notebook, open_notebook
from scout.notebook.saving import Edit
from scout.notebook.store import ledger
from scout.notebook.store.trouble import StoreTrouble

from .conftest import TurnedClock
from .phone import Phone

PERCH = "01900000-0000-7000-8000-0000000000aa"
NOWHERE = "01900000-0000-7000-8000-0000000000bb"
PHOTO = b"a picture" * 100
BLOB = hashlib.sha256(PHOTO).hexdigest()


def meddle(notebook: Notebook, statement: str) -> None:
    """Do with the file what the triggers would refuse."""
    with closing(sqlite3.connect(notebook.store.path)) as conn:
        for name in ("update", "delete", "replace"):
            conn.execute(f"DROP TRIGGER IF EXISTS journal_refuses_{name}")
        conn.execute(statement)
        conn.commit()


@pytest.fixture
def filled(notebook: Notebook, phone: Phone) -> Notebook:
    notebook.push([phone.edit("perch", PERCH, {"name": f"name {n}"}) for n in range(20)])
    notebook.push([phone.edit("site", phone.new_id(), {"name": "Mill"})])
    assert notebook.check().faults == []
    return notebook


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ('UPDATE journal SET set_json = \'{"name":"name 8"}\' WHERE seq = 8', "not what its hash"),
        (
            "UPDATE journal SET hlc = replace(hlc, '0000', '0001') WHERE seq = 8",
            "not what its hash",
        ),
        ("UPDATE journal SET body_sha256 = substr(chain, 1, 64) WHERE seq = 8", "chain breaks"),
        ("DELETE FROM journal WHERE seq = 8", "rows are missing"),
        ("DELETE FROM journal WHERE seq = 21", "is one too many"),
        ("UPDATE perch SET name = 'Other'", "shows something else"),
        ("DELETE FROM perch", "missing in the table"),
        ("UPDATE site SET deleted = 1", "shows something else"),
        ("UPDATE head SET value_json = '\"x\"' WHERE kind = 'perch'", "is missing"),
        ("INSERT INTO awaited VALUES ('a', 'b', 'perch', 'name')", "one too many"),
        ("UPDATE journal SET set_json = '{\"na' WHERE seq = 8", "cannot be read on"),
        ("UPDATE journal SET base_json = '7' WHERE seq = 8", "cannot be read on"),
    ],
)
def test_i12_whatever_was_meddled_with_is_found(
    filled: Notebook, statement: str, says: str
) -> None:
    meddle(filled, statement)
    found = filled.check()
    assert not found.sound
    assert any(says in fault for fault in found.faults), found.faults


def test_a_flipped_bit_anywhere_in_the_journals_words_is_found(
    tmp_path: Path, clock: TurnedClock, phone: Phone
) -> None:
    marks = [f"marking{number:04d}" for number in range(60)]
    with open_notebook(tmp_path, clock, create=True) as notebook:
        notebook.push([phone.edit("perch", phone.new_id(), {"name": mark}) for mark in marks])
    path = tmp_path / FILE
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("PRAGMA journal_mode=DELETE")
    sound = path.read_bytes()
    rng = random.Random(3)
    for mark in rng.sample(marks, 12):
        flipped = bytearray(sound)
        place = sound.index(f'{{"name":"{mark}"}}'.encode()) + rng.randrange(9, 19)
        flipped[place] ^= 1 << rng.randrange(3)
        path.write_bytes(flipped)
        with open_notebook(tmp_path, clock) as notebook:
            assert any("not what its hash" in fault for fault in notebook.check().faults)
    path.write_bytes(sound)
    with open_notebook(tmp_path, clock) as notebook:
        assert notebook.check().faults == []


def test_a_flipped_bit_anywhere_in_the_file_is_found_or_harmless(
    tmp_path: Path, clock: TurnedClock, phone: Phone
) -> None:
    """The file is refused, or the check finds it, or every change is still as it was."""
    with open_notebook(tmp_path, clock, create=True) as notebook:
        notebook.push([phone.edit("perch", phone.new_id(), {"name": f"n{n}"}) for n in range(60)])
        wanted = [row.body for row in notebook.pull().rows]
    path = tmp_path / FILE
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("PRAGMA journal_mode=DELETE")
    sound = path.read_bytes()
    rng = random.Random(4)
    found = 0
    for _ in range(60):
        flipped = bytearray(sound)
        flipped[rng.randrange(len(sound))] ^= 1 << rng.randrange(8)
        path.write_bytes(flipped)
        try:
            with open_notebook(tmp_path, clock) as notebook:
                if notebook.check().sound:
                    assert [row.body for row in notebook.pull().rows] == wanted
                else:
                    found += 1
        except StoreTrouble:
            found += 1
        for ending in ("-journal", "-wal", "-shm"):
            Path(f"{path}{ending}").unlink(missing_ok=True)
    assert found


def test_what_is_named_and_not_here_is_told_and_is_no_fault(notebook: Notebook) -> None:
    (site,) = notebook.save([Edit(kind="site", set={"name": "Mill"})]).records
    edits = [
        Edit(kind="perch", record=PERCH, set={"site": NOWHERE}),
        Edit(kind="sightline", set={"perch": PERCH, "vantage": site}),
        Edit(kind="watch", set={"perches": [PERCH, site]}),
        Edit(
            kind="walk_in", set={"legs": [{"bearing_deg": 1, "distance_m": 2, "seen_from": [site]}]}
        ),
        Edit(kind="tag", set={"record": NOWHERE, "word": "w"}),
        Edit(kind="visit", set={"site": site, "frames": 5, "keepers": 9}),
        Edit(kind="visit", set={"site": site, "frames": 5, "keepers": 5}),
    ]
    saved = notebook.save(edits)
    found = notebook.check()
    assert found.sound
    told = "\n".join(found.notices)
    assert f"perch {PERCH}: site names {NOWHERE}, which is not here" in told
    assert f"sightline {saved.records[1]}: vantage names {site}, which is a site." in told
    assert f"watch {saved.records[2]}: perches names {site}, which is a site." in told
    assert f"walk_in {saved.records[3]}: legs names {site}, which is a site." in told
    assert f"tag {saved.records[4]}: record names" in told
    assert f"visit {saved.records[5]}: keepers: 9 kept of 5 frames; correct one" in told
    assert len(found.notices) == 6


def test_i11_a_photo_whose_bytes_are_gone_or_changed_is_damage_and_one_awaited_is_not(
    notebook: Notebook, clock: TurnedClock
) -> None:
    notebook.save([Edit(kind="photo", set={"blob": BLOB})])
    found = notebook.check()
    assert found.sound
    assert "bytes have not come" in found.notices[0]
    size = notebook.blobs.keep([PHOTO], BLOB)
    with notebook.store.writing() as db:
        ledger.store_blob(db, BLOB, size, "image/jpeg", "2026-05-12T00:00:00.000Z")
    found = notebook.check()
    assert (found.faults, found.notices, found.blobs_hashed) == ([], [], [BLOB])
    notebook.blobs.path_of(BLOB).write_bytes(PHOTO[:-1] + b"x")
    assert "have changed" in notebook.check().faults[0]
    assert notebook.offer([], [BLOB]).blobs == {BLOB: "missing"}
    assert "have changed" in notebook.check(most_blobs=0).faults[0], "what was found stays told"
    notebook.blobs.path_of(BLOB).unlink()
    assert "are gone" in notebook.check(most_blobs=0).faults[0]
    notebook.blobs.keep([PHOTO], BLOB)
    assert notebook.check().faults == [], "put back by hand, it counts again"
    assert notebook.offer([], [BLOB]).blobs == {BLOB: "here"}


def test_the_photos_hashed_longest_ago_come_first(notebook: Notebook, clock: TurnedClock) -> None:
    hashes = []
    for number in range(4):
        held = bytes([number]) * 10
        hashes.append(hashlib.sha256(held).hexdigest())
        notebook.blobs.keep([held], hashes[-1])
        with notebook.store.writing() as db:
            ledger.store_blob(db, hashes[-1], 10, None, f"2026-05-1{number}T00:00:00.000Z")
    clock.pass_by(days=30)
    assert notebook.check(most_blobs=2).blobs_hashed == hashes[:2]
    assert notebook.check(most_blobs=2).blobs_hashed == hashes[2:]


def test_progress_is_told(filled: Notebook) -> None:
    told: list[tuple[int, int, str]] = []
    filled.check(lambda done, of, what: told.append((done, of, what)))
    assert told == [(21, 21, "changes"), (21, 21, "records")]
