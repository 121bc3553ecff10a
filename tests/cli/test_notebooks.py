"""A notebook at the terminal: loaded, asked, written out, backed up, restored, rescued, served."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urljoin
from urllib.request import urlopen

import pytest

from scout.notebook.at_work import at_work
from scout.notebook.folder import read_folder
from scout.notebook.notebook import FILE, open_notebook
from scout.notebook.saving import Edit
from tests.notebook.phone import Phone
from tests.notebook.rescue_file import rescue_lines

Run = Callable[..., Any]


@pytest.fixture
def mine(run: Run, place: Path) -> Path:
    """Return a notebook with the sample site in it."""
    done = run("load", "sample_site", "--notebook", "mine")
    assert done.exit_code == 0, done.output
    return place / "mine"


def now() -> Any:
    import datetime as dt

    return dt.datetime.now(dt.UTC)


def test_loading_twice_writes_nothing_twice(run: Run, mine: Path) -> None:
    again = run("load", "sample_site", "--notebook", "mine")
    assert again.stdout.startswith("Nothing new: ")
    with open_notebook(mine, now) as notebook:
        first = notebook.furthest()
    run("load", "sample_site", "--notebook", "mine")
    with open_notebook(mine, now) as notebook:
        assert notebook.furthest() == first


@pytest.mark.parametrize(
    "asked",
    [
        "card --site pellwick --species stonechat --kit long --on 2026-05-12",
        "choose --kit long --days 2 --on 2026-05-12",
        "light --sightline pump-post --species stonechat --kit long --on 2026-05-12",
        "kit --species stonechat --distance 12 --gap 30",
    ],
)
def test_a_notebook_answers_as_the_folder_it_was_loaded_from(
    run: Run, mine: Path, asked: str
) -> None:
    words = asked.split()
    folder = run(*words, "--folder", "sample_site")
    notebook = run(*words, "--folder", "mine")
    assert notebook.exit_code == 0, notebook.output
    assert notebook.stdout == folder.stdout


def test_written_out_it_is_the_folder_again(run: Run, mine: Path, place: Path) -> None:
    done = run("write", "out", "--notebook", "mine")
    assert done.exit_code == 0, done.output
    before, after = read_folder(place / "sample_site"), read_folder(place / "out")
    assert after.faults == []
    assert after.records == before.records
    assert after.words == before.words
    assert (after.name, after.folder_id) == (before.name, before.folder_id)
    assert after.photo_paths.keys() == before.photo_paths.keys()
    assert run("load", "out", "--notebook", "mine").stdout.startswith("Nothing new")


def test_what_lost_its_other_end_is_left_out_of_answers_with_a_sentence(
    run: Run, mine: Path
) -> None:
    with open_notebook(mine, now) as notebook:
        perch = next(iter(notebook.contents().records["perch"]))
        notebook.save([Edit(kind="perch", record=perch, delete=True)])
    for asked in (
        "card --site pellwick --species stonechat --kit long",
        "choose --kit long --days 1",
    ):
        done = run(*asked.split(), "--folder", "mine")
        assert done.exit_code == 0, done.output
    assert run("check", "mine").exit_code == 0


def test_the_check_of_a_notebook_finds_a_flipped_bit(run: Run, mine: Path) -> None:
    sound = run("check", "mine")
    assert sound.exit_code == 0, sound.output
    assert "no faults" in sound.stdout
    assert json.loads(run("check", "mine", "--json").stdout)["faults"] == []
    with open_notebook(mine, now) as notebook:
        photo = next(iter(notebook.contents().records["photo"].values()))
        path = notebook.blobs.path_of(photo.blob)
    held = bytearray(path.read_bytes())
    held[99] ^= 1
    path.write_bytes(held)
    damaged = run("check", "mine")
    assert damaged.exit_code == 2
    assert "have changed" in damaged.stderr


def test_backed_up_and_restored(run: Run, mine: Path, place: Path) -> None:
    done = run("backup", "spare", "--notebook", "mine")
    assert done.exit_code == 0, done.output
    assert "verified" in done.stdout
    # The sample's elevation models are no part of it, and it says which there are.
    assert "Not in it: 7 elevation models, " in done.stdout
    assert "Country around (bare earth, 60 m), 160 kB" in done.stdout
    (mine / "land" / "country.json").unlink()
    (copy,) = (place / "spare").glob("*.db")
    with open_notebook(mine, now) as notebook:
        notebook.save([Edit(kind="perch", set={"name": "Later"})])
        epoch = notebook.facts.epoch
    back = run("restore", str(copy), "--notebook", "mine")
    assert back.exit_code == 0, back.output
    assert "The old file is kept" in back.stdout
    assert "missing here: Country around (bare earth, 60 m), 160 kB. scout land add" in back.stderr
    with open_notebook(mine, now) as notebook:
        assert notebook.facts.epoch != epoch
        assert "Later" not in str(notebook.contents().raw["perch"])
    (aside,) = (mine / "backups").glob("*.db")
    assert run("rescue", str(aside), "--notebook", "mine").stdout.startswith("1 changes new")
    with open_notebook(mine, now) as notebook:
        assert "Later" in str(notebook.contents().raw["perch"])


def test_a_rescue_file_is_taken_in_once(run: Run, mine: Path, place: Path) -> None:
    phone = Phone(random.Random(4), 1_778_557_500_000)
    phone.edit("perch", phone.new_id(), {"name": "Saved"})
    lines = rescue_lines(phone.device, "2026-05-12T04:35:00.000Z", phone.outbox)
    (place / "phone.ndjson").write_text("".join(lines), "utf-8")
    first = run("rescue", "phone.ndjson", "--notebook", "mine")
    assert first.stdout.startswith("1 changes new, 0 known"), first.output
    assert run("rescue", "phone.ndjson", "--notebook", "mine").stdout.startswith("0 changes new, 1")


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("write out --notebook none", "there is no notebook"),
        ("backup spare --notebook none", "there is no notebook"),
        ("restore none.db --notebook mine", "no sound backup"),
        ("rescue none.ndjson --notebook mine", "cannot be read"),
        ("rescue none.db --notebook mine", "no sound notebook file"),
        ("load none --notebook mine", "no such folder"),
        ("load sample_site --notebook sample_site", "holds other things"),
        ("serve sample_site", "holds other things"),
        ("serve sample_site/folder.json", "is a file; name the folder"),
        ("serve mine --port abc", "--port"),
        ("serve mine --port 0", "--port"),
        ("serve mine --port 99999", "--port"),
        ("serve mine --port 1 --no-browser", "port"),
    ],
)
def test_what_cannot_be_done_is_said(run: Run, mine: Path, asked: str, says: str) -> None:
    if "--port 1" in asked and os.getuid() == 0:
        pytest.skip("this user may use every port")
    done = run(*asked.split())
    assert done.exit_code == 2, done.output
    assert says in done.stderr.lower() or says in done.stderr
    assert "Traceback" not in done.stderr


def test_a_damaged_file_is_refused_in_words(run: Run, mine: Path) -> None:
    (mine / FILE).write_bytes(b"SQLite format 3\x00" + b"\xff" * 5000)
    for asked in ("check mine", "card --folder mine", "write out --notebook mine", "serve mine"):
        done = run(*asked.split())
        assert done.exit_code == 2, done.output
        assert "damaged" in done.stderr


def started(place: Path, *words: str) -> tuple[subprocess.Popen[str], str]:
    """Start a serving command; answers it and the address that it printed."""
    process = subprocess.Popen(
        [str(Path(sys.executable).with_name("scout")), *words],
        cwd=place,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        env={**os.environ, "PYTHONUNBUFFERED": "1", "BROWSER": "true"},
    )
    assert process.stdout is not None
    for line in process.stdout:
        if line.startswith("The notebook is at "):
            return process, line.split()[4].rstrip(";")
    raise AssertionError(process.communicate()[1])


def stopped(process: subprocess.Popen[str], sign: int) -> str:
    process.send_signal(sign)
    assert process.stdout is not None
    assert process.stderr is not None
    # Not communicate(): it would pass over what the line reader has taken in ahead.
    said, trouble = process.stdout.read(), process.stderr.read()
    process.wait(timeout=30)
    process.stdout.close()
    process.stderr.close()
    assert process.returncode == 0, trouble
    assert "Traceback" not in trouble
    return said


@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM])
def test_it_is_served_until_it_is_stopped_kindly(place: Path, mine: Path, sign: int) -> None:
    process, address = started(place, "serve", "mine", "--no-browser")
    try:
        with urlopen(f"{address}plain") as answer:
            assert "Pellwick" in answer.read().decode()
    finally:
        said = stopped(process, sign)
    assert "everything that was answered is saved" in said


def test_a_second_one_takes_another_port_and_says_so(place: Path, mine: Path) -> None:
    first, address = started(place, "serve", "mine", "--no-browser")
    second, other = started(place, "serve", "other", "--no-browser")
    try:
        assert address != other
    finally:
        stopped(first, signal.SIGTERM)
        said = stopped(second, signal.SIGTERM)
    assert "The usual port" in said


def test_the_demo_is_served_too_and_leaves_nothing_behind(place: Path) -> None:
    process, address = started(place, "demo", "--on", "2026-05-12", "--serve")
    try:
        with urlopen(address) as answer:
            assert '<script type="module" src="main.js">' in answer.read().decode()
        with urlopen(urljoin(address, "plain")) as answer:
            assert "Pellwick" in answer.read().decode()
    finally:
        stopped(process, signal.SIGTERM)
    assert {path.name for path in place.iterdir()} - {"sample_site"} == {
        path.name for path in place.glob("*.html")
    }


def test_a_notebook_that_is_served_is_not_swapped_under_the_server(run: Run, mine: Path) -> None:
    assert run("backup", "spare", "--notebook", "mine").exit_code == 0
    (copy,) = (mine.parent / "spare").glob("*.db")
    with at_work(mine):
        done = run("restore", str(copy), "--notebook", "mine")
        assert done.exit_code == 2
        assert "stop scout serve first" in done.output
    assert run("restore", str(copy), "--notebook", "mine").exit_code == 0


def test_the_file_and_its_backup_are_for_their_owner_alone(run: Run, mine: Path) -> None:
    run("backup", "spare", "--notebook", "mine")
    (copy,) = (mine.parent / "spare").glob("*.db")
    (models,) = (mine.parent / "spare").glob("*.land.json")
    modes = [oct(file.stat().st_mode & 0o077) for file in (mine / FILE, copy, models)]
    assert modes == ["0o0", "0o0", "0o0"]
