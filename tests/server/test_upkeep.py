"""What the server does by itself: backups on time, tried out, told; and a restore opens no door."""

from __future__ import annotations

import datetime as dt
import shlex
import threading
from pathlib import Path

import pytest

from scout.commands.serve import serve
from scout.notebook import backups
from scout.notebook.backups import back_up, restore
from scout.notebook.notebook import Notebook, open_notebook
from scout.server.app import create_app
from scout.server.upkeep import KEPT, Upkeep
from tests.notebook.conftest import TurnedClock

from .callers import Household

DAY = dt.timedelta(days=1)


@pytest.fixture
def spare(tmp_path: Path) -> Path:
    return tmp_path / "spare"


@pytest.fixture
def upkeep(notebook: Notebook, spare: Path) -> Upkeep:
    return Upkeep(notebook, spare, DAY)


def served(notebook: Notebook, upkeep: Upkeep) -> Household:
    app = create_app(notebook)
    app.config["SCOUT_UPKEEP"] = upkeep
    return Household(app, notebook)


def test_backups_are_made_when_they_are_due_and_the_first_is_tried_out(
    notebook: Notebook, upkeep: Upkeep, spare: Path, sample: dict[str, str], clock: TurnedClock
) -> None:
    home = served(notebook, upkeep)
    assert home.owner.get("backups").json["made"] == []
    upkeep.look()
    told = home.owner.get("backups").json
    assert len(told["made"]) == len(list(spare.glob("notebook-*.db"))) == 1
    assert told["last"]["backup"]["well"]
    assert told["last"]["drill"]["well"]
    assert "restored aside, checked whole" in told["last"]["drill"]["says"]
    assert not (notebook.folder / "drill").exists()
    clock.pass_by(hours=23)
    upkeep.look()
    assert len(list(spare.glob("notebook-*.db"))) == 1
    clock.pass_by(hours=2)
    upkeep.look()
    assert len(list(spare.glob("notebook-*.db"))) == 2
    events = [one["event"] for one in home.owner.get("audit").json["events"]]
    assert events == ["backup_made", "drill_done", "backup_made"]


def test_a_backup_and_a_drill_can_be_asked_for(
    notebook: Notebook, upkeep: Upkeep, spare: Path, clock: TurnedClock
) -> None:
    home = served(notebook, upkeep)
    assert home.owner.post("backups").status == 200
    said = home.owner.post("backups")
    assert said.status == 400
    assert "wait for its end" in said.json["error"]["message"]
    upkeep.look()
    clock.pass_by(minutes=1)
    home.owner.post("backups/drill")
    upkeep.look()
    assert home.owner.get("backups").json["last"]["drill"]["well"]


def test_without_a_folder_it_says_how_to_get_one(notebook: Notebook) -> None:
    home = Household(create_app(notebook), notebook)
    said = home.owner.post("backups")
    assert said.status == 400
    assert "--backup" in said.json["error"]["message"]
    told = home.owner.get("backups").json
    assert told["into"] is None
    assert told["start"] in said.json["error"]["message"]
    program, command, *given = shlex.split(told["start"])
    assert (program, command) == ("scout", "serve")
    taken = serve.make_context("serve", given).params
    assert (taken["path"], taken["spare"]) == (str(notebook.folder.resolve()), "FOLDER")


def test_its_progress_is_told_while_it_goes(
    notebook: Notebook, spare: Path, sample: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    upkeep = Upkeep(notebook, spare, DAY)
    home = served(notebook, upkeep)
    seen, go_on = [], threading.Event()
    keep = backups.BlobFolder.keep

    def slowly(self, *args, **named):  # type: ignore[no-untyped-def]
        if not go_on.is_set():
            told = home.owner.get("backups").json["running"]
            seen.append((told["what"], told["part"], told["done"] < told["of"]))
            go_on.set()
        return keep(self, *args, **named)

    monkeypatch.setattr(backups.BlobFolder, "keep", slowly)
    upkeep.look()
    assert seen == [("backup", "photos", True)]
    assert home.owner.get("backups").json["running"] is None


def test_a_backup_that_fails_is_said_and_tried_again_within_the_hour(
    notebook: Notebook, tmp_path: Path, clock: TurnedClock
) -> None:
    (tmp_path / "file").write_text("in the way")
    upkeep = Upkeep(notebook, tmp_path / "file" / "spare", DAY)
    home = served(notebook, upkeep)
    upkeep.look()
    told = home.owner.get("backups").json
    assert not told["last"]["backup"]["well"]
    assert home.owner.get("audit").json["events"][0]["event"] == "backup_failed"
    (tmp_path / "file").unlink()
    clock.pass_by(minutes=59)
    upkeep.look()
    assert not list((tmp_path).glob("file/spare/*.db"))
    clock.pass_by(minutes=2)
    upkeep.look()
    assert len(list((tmp_path).glob("file/spare/*.db"))) == 1


def test_a_spoilt_backup_is_found_out_by_the_drill(
    notebook: Notebook, upkeep: Upkeep, spare: Path, sample: dict[str, str], clock: TurnedClock
) -> None:
    upkeep.look()
    photo = next(path for path in (spare / "blobs").rglob("*") if path.is_file())
    photo.write_bytes(b"spoilt")
    clock.pass_by(minutes=1)
    upkeep.ask("drill")
    upkeep.look()
    said = upkeep.status()["last"]["drill"]
    assert not said["well"]
    assert "something is wrong" in said["says"]


def test_the_oldest_give_way_and_others_files_stay(
    notebook: Notebook, upkeep: Upkeep, spare: Path, clock: TurnedClock
) -> None:
    spare.mkdir()
    (spare / "letter.txt").write_text("mine")
    for _ in range(KEPT + 3):
        upkeep.look()
        clock.pass_by(days=1, minutes=1)
    assert len(list(spare.glob("notebook-*.db"))) == KEPT
    assert (spare / "letter.txt").exists()


def test_the_thread_does_it_and_ends(notebook: Notebook, spare: Path) -> None:
    renewed = threading.Event()
    upkeep = Upkeep(notebook, spare, DAY, (renewed.set,))
    with upkeep.going():
        assert renewed.wait(60)
    assert upkeep.status()["last"]["backup"]["well"]


# -- a restore is no way in


def test_a_device_taken_off_since_the_backup_stays_off_and_others_go_on(
    notebook: Notebook, tmp_path: Path, clock: TurnedClock
) -> None:
    home = Household(create_app(notebook), notebook)
    gone, stays = home.member("editor"), home.member("viewer")
    done = back_up(notebook, tmp_path / "spare")
    home.owner.post(f"devices/{gone.device}/revoke")
    late = home.member("editor")
    restored = restore(notebook.folder, done.path, clock)
    assert restored.door_kept
    with open_notebook(notebook.folder, clock) as again:
        after = Household(create_app(again), again)
        states = []
        for one in (gone, stays, late):
            caller = after.caller(device=one.device)
            caller.cookie = one.cookie
            states.append(caller.get("ping").status)
    assert states == [401, 200, 200]


def test_restored_elsewhere_every_device_pairs_again(
    notebook: Notebook, tmp_path: Path, clock: TurnedClock
) -> None:
    home = Household(create_app(notebook), notebook)
    phone = home.member("owner")
    done = back_up(notebook, tmp_path / "spare")
    with open_notebook(tmp_path / "others", clock, create=True) as other:
        stranger = Household(create_app(other), other).member("owner")
    for folder in (tmp_path / "new", tmp_path / "others"):
        assert not restore(folder, done.path, clock).door_kept
        with open_notebook(folder, clock) as again:
            after = Household(create_app(again), again)
            for one in (phone, stranger):
                caller = after.caller()
                caller.cookie = one.cookie
                assert caller.get("ping").status == 401
