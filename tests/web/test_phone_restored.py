"""A server whose notebook was restored or copied back, and what a phone brings it again."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from scout.notebook import backups, rescue
from scout.notebook.notebook import Notebook, open_notebook
from scout.notebook.saving import Edit

from .conftest import Opener, wall_clock
from .phones import assert_same, put_photo, site_and_perch
from .small_server import SmallServer


def test_i9_an_older_backup_restored_loses_nothing(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path
) -> None:
    one, two = phone(), phone()
    _, perch = site_and_perch(one)
    one.sync()
    two.sync()
    backup = Path(backups.back_up(notebook, tmp_path / "kept").path)
    one.save("perch", {"name": "Post"}, perch)
    two.save("note", {"text": "b"})
    for each in (one, two, one):
        each.sync()
    notebook.close()
    backups.restore(tmp_path / "again", backup, wall_clock)
    with open_notebook(tmp_path / "again", wall_clock) as again:
        server.serve(again)
        again.save([Edit(kind="note", set={"text": "written after the restore"})])
        for each in (one, two, one):
            assert each.sync()["waiting_changes"] == 0
        assert_same(again, one, two)
        assert one.run("return notebook.count('note')") == 2
        assert len(again.pull().rows) == 5
        server.serve(None)


@pytest.mark.parametrize("unsent", [0, 3])
def test_i9_a_file_copied_back_by_hand_loses_nothing(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path, unsent: int
) -> None:
    one = phone()
    one.save("note", {"text": "a"})
    one.sync()
    folder = tmp_path / "server"
    notebook.close()
    shutil.copytree(folder, tmp_path / "copied")
    with open_notebook(folder, wall_clock) as later:
        server.serve(later)
        one.save("note", {"text": "b"})
        one.sync()
    with open_notebook(tmp_path / "copied", wall_clock) as copied:
        server.serve(copied)
        copied.save([Edit(kind="note", set={"text": "c"})])  # the same seq, another chain
        for number in range(unsent):  # what is pushed goes further than what was held before
            one.save("note", {"text": f"{number}"})
        one.sync()
        assert one.sync()["waiting_changes"] == 0
        assert_same(copied, one)
        assert len(copied.pull().rows) == 3 + unsent
        server.serve(None)


def test_a_backup_moves_the_third_state(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path
) -> None:
    one = phone()
    note = one.save("note", {"text": "a"})["ids"][0]
    one.sync()
    assert one.run("return notebook.get(given)", note)["state"] == "server"
    elsewhere = iter(range(1, 100))
    backups.back_up(notebook, tmp_path / "other disk", disk=lambda path: next(elsewhere))
    one.sync()
    assert one.run("return notebook.get(given)", note)["state"] == "backed up"


def test_the_rescue_file_brings_everything_unsent(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path
) -> None:
    one = phone()
    site_and_perch(one)
    sha256, content = put_photo(one, 1_500_000, 4)
    file = tmp_path / "phone.rescue"
    file.write_text(one.run("return (await notebook.rescue()).text()"), "utf-8")
    done = rescue.bring_in(notebook, file)
    assert (done.new, done.blobs, done.faults) == (3, 1, [])
    assert notebook.blobs.path_of(sha256).read_bytes() == content
    assert_same(notebook, one)
    # Sent again by the phone itself it is nothing new.
    assert one.sync()["waiting_changes"] == 0
    assert len(notebook.pull().rows) == 3
