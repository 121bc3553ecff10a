"""Backups verified before they count, restores that lose nothing a phone has; I9, I15."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

import pytest

from scout.notebook.backups import back_up, restore, take_from
from scout.notebook.cursors import CursorInvalid
from scout.notebook.notebook import FILE, Notebook, open_notebook
from scout.notebook.saving import Edit
from scout.notebook.store import ledger
from scout.notebook.store.trouble import StoreTrouble
from scout.records.trouble import Refused

from .conftest import TurnedClock
from .phone import Direct, Phone
from .tables import rows_of

PERCH = "01900000-0000-7000-8000-0000000000aa"
PHOTO = b"a picture" * 1000
BLOB = hashlib.sha256(PHOTO).hexdigest()


def elsewhere(path: Path) -> int:
    """Answer a disk's number as if `away` were a disk of its own."""
    return int("away" in path.parts)


@pytest.fixture
def filled(notebook: Notebook, phone: Phone) -> Notebook:
    phone.edit("perch", PERCH, {"name": "A"})
    phone.sync(Direct(notebook))
    size = notebook.blobs.keep([PHOTO[:500], PHOTO[500:]], BLOB)
    with notebook.store.writing() as db:
        ledger.store_blob(db, BLOB, size, "image/jpeg", "2026-05-12T00:00:00.000Z")
    return notebook


def test_i15_a_backup_beside_the_notebook_says_so_and_moves_nothing(
    filled: Notebook, tmp_path: Path
) -> None:
    done = back_up(filled, tmp_path / "beside")
    assert not done.on_another_disk
    assert "same disk" in done.sentence
    assert filled.facts.durable_seq == 0
    assert filled.offer([], [BLOB]).blobs == {BLOB: "here"}
    assert (done.seq, done.blobs, done.troubles) == (1, 1, ())


def test_i15_a_backup_on_another_disk_is_what_makes_durable(
    filled: Notebook, tmp_path: Path, phone: Phone
) -> None:
    done = back_up(filled, tmp_path / "away", elsewhere)
    assert done.on_another_disk
    assert "same disk" not in done.sentence
    assert filled.facts.durable_seq == 1
    assert filled.offer([], [BLOB]).blobs == {BLOB: "backed_up"}
    assert (tmp_path / "away" / "blobs" / BLOB[:2] / BLOB).read_bytes() == PHOTO
    assert rows_of(done.path, "journal") == rows_of(filled.store.path, "journal")
    assert sorted(path.name for path in done.path.parent.iterdir()) == ["blobs", done.path.name]
    phone.edit("perch", PERCH, {"name": "B"})
    phone.sync(Direct(filled))
    assert filled.facts.durable_seq == 1, "what came later is not covered"


def test_real_disks_are_told_apart_by_the_system(filled: Notebook, tmp_path: Path) -> None:
    shm = Path("/dev/shm")
    if not os.access(shm, os.W_OK) or shm.stat().st_dev == tmp_path.stat().st_dev:
        pytest.skip("there is no second file system here to write to")
    folder = shm / f"scout-{os.getpid()}-{tmp_path.name}"
    try:
        assert back_up(filled, folder).on_another_disk
    finally:
        shutil.rmtree(folder)


def test_two_backups_at_one_moment_are_two_files(filled: Notebook, tmp_path: Path) -> None:
    assert back_up(filled, tmp_path / "b").path != back_up(filled, tmp_path / "b").path


def test_a_photo_whose_bytes_changed_is_told_and_not_marked_backed_up(
    filled: Notebook, tmp_path: Path
) -> None:
    filled.blobs.path_of(BLOB).write_bytes(b"other")
    done = back_up(filled, tmp_path / "away", elsewhere)
    assert done.blobs == 0
    assert "gone or changed" in done.troubles[0]
    assert filled.offer([], [BLOB]).blobs == {BLOB: "missing"}


def test_a_backup_into_nowhere_leaves_nothing(filled: Notebook, tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OSError, match="exists"):
        back_up(filled, tmp_path / "file")
    assert filled.facts.durable_seq == 0


def test_a_disk_that_is_full_is_said_in_words(
    filled: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The kernel's own device that has no room stands for the disk."""
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    handle = os.open("/dev/full", os.O_WRONLY)
    incoming = tmp_path / "away" / "incoming" / "full"
    monkeypatch.setattr(tempfile, "mkstemp", lambda dir: (handle, str(incoming)))
    with pytest.raises(StoreTrouble, match="no room left") as caught:
        back_up(filled, tmp_path / "away", elsewhere)
    assert caught.value.code == "full"
    assert filled.facts.durable_seq == 0


def test_i9_a_restored_backup_gets_back_from_phones_what_it_lacks(
    filled: Notebook, tmp_path: Path, clock: TurnedClock, phone: Phone, other: Phone
) -> None:
    done = back_up(filled, tmp_path / "away", elsewhere)
    phone.edit("perch", PERCH, {"name": "B"})
    phone.sync(Direct(filled))
    other.sync(Direct(filled))
    cursor, epoch = filled.furthest(), filled.facts.epoch
    wanted = rows_of(filled.store.path)
    restored = restore(filled.folder, done.path, clock)
    assert restored.epoch != epoch
    assert (restored.seq, restored.missing_blobs) == (1, ())
    assert filled.facts.epoch == restored.epoch, "a program that has it open sees the new state"
    with pytest.raises(CursorInvalid):
        filled.pull(cursor)
    other.edit("site", other.new_id(), {"name": "S"})
    other.sync(Direct(filled))  # this one pushes the first one's change too
    phone.sync(Direct(filled))
    assert phone.states() == other.states()
    assert rows_of(filled.store.path, "perch")["perch"] == wanted["perch"]
    assert filled.check().faults == []
    (aside,) = restored.set_aside
    assert len(rows_of(aside, "journal")["journal"]) == 2


def test_what_only_the_replaced_file_has_can_be_taken_back(
    filled: Notebook, tmp_path: Path, clock: TurnedClock
) -> None:
    done = back_up(filled, tmp_path / "away", elsewhere)
    filled.save([Edit(kind="perch", record=PERCH, set={"height_m": 2})])
    wanted = rows_of(filled.store.path)
    (aside,) = restore(filled.folder, done.path, clock).set_aside
    assert take_from(filled, aside) == (1, 0)
    assert rows_of(filled.store.path) == wanted
    assert take_from(filled, aside) == (0, 0)


def test_restore_over_a_destroyed_file_and_lost_photos(
    filled: Notebook, tmp_path: Path, clock: TurnedClock
) -> None:
    done = back_up(filled, tmp_path / "away", elsewhere)
    folder = filled.folder
    filled.close()
    path = folder / FILE
    path.write_bytes(b"\0" * 100 + path.read_bytes()[100:])
    shutil.rmtree(folder / "blobs")
    with pytest.raises(StoreTrouble):
        open_notebook(folder, clock)
    restored = restore(folder, done.path, clock)
    assert [path.parent.name for path in restored.set_aside] == ["backups"]
    with open_notebook(folder, clock) as notebook:
        assert notebook.check().faults == []
        assert notebook.blobs.is_sound(BLOB)
        assert notebook.facts.epoch == restored.epoch


def test_restore_into_a_new_place(filled: Notebook, tmp_path: Path, clock: TurnedClock) -> None:
    done = back_up(filled, tmp_path / "away", elsewhere)
    (tmp_path / "away" / "blobs" / BLOB[:2] / BLOB).unlink()
    restored = restore(tmp_path / "new", done.path, clock)
    assert restored.set_aside == ()
    assert restored.missing_blobs == (BLOB,)
    with open_notebook(tmp_path / "new", clock) as notebook:
        assert len(notebook.history(PERCH)) == 1


def test_what_is_no_backup_changes_nothing(
    filled: Notebook, tmp_path: Path, clock: TurnedClock
) -> None:
    before = rows_of(filled.store.path, "journal", "meta")
    done = back_up(filled, tmp_path / "b")
    for number, held in enumerate((b"", b"no database", done.path.read_bytes()[:5000])):
        (tmp_path / f"{number}.db").write_bytes(held)
    with closing(sqlite3.connect(tmp_path / "3.db")) as conn:
        conn.execute("CREATE TABLE other (x)")
    for number in range(5):
        with pytest.raises(Refused, match="no sound backup"):
            restore(filled.folder, tmp_path / f"{number}.db", clock)
    assert rows_of(filled.store.path, "journal", "meta") == before
