"""The notebook file of every released schema: opened, sound, rebuilt to itself, written out; I13.

The files were made by `tests/reference/make_notebook.py` when their schema was the present one.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from scout.notebook.canonical import plain
from scout.notebook.folder import read_folder
from scout.notebook.folder_writing import write_back
from scout.notebook.leaving import folder_of, sound_only
from scout.notebook.notebook import FILE, Notebook, open_notebook
from scout.notebook.uploads import Uploads
from scout.records.kinds import KINDS, SCHEMA
from tests.reference.make_notebook import UNDERWAY, facts_of

from .conftest import TurnedClock
from .tables import rows_of

KEPT = Path(__file__).parents[1] / "reference" / "notebooks"


@pytest.fixture(params=range(1, SCHEMA + 1))
def golden(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A copy of one released notebook; the file itself is never opened."""
    copy = tmp_path / "golden"
    shutil.copytree(KEPT / f"schema_{request.param}", copy)
    return copy


@pytest.fixture
def opened(golden: Path, clock: TurnedClock) -> Iterator[Notebook]:
    with open_notebook(golden, clock) as notebook:
        yield notebook


def facts(golden: Path) -> dict[str, Any]:
    held: dict[str, Any] = json.loads((golden / "facts.json").read_text("utf-8"))
    return held


def test_it_opens_sound_and_holds_what_it_held(golden: Path, opened: Notebook) -> None:
    found = opened.check()
    assert found.faults == []
    assert len(found.blobs_hashed) == 2
    assert facts_of(opened) == facts(golden)
    assert opened.facts.schema == SCHEMA


def test_every_kind_of_its_schema_and_every_trouble_stands_in_it(golden: Path) -> None:
    held = facts(golden)
    if golden.joinpath("facts.json").read_text("utf-8").count("schema 1."):
        assert {"layer", "settings"} <= set(held["records"]) <= set(KINDS)
    assert all(held["records"].values())
    assert held["conflicts"]
    assert {code for _, code in held["quarantine"]} >= {"id_taken", "json"}
    assert held["relayed"] == 1


def test_i12_its_tables_are_rebuilt_row_for_row(golden: Path, opened: Notebook) -> None:
    before = rows_of(golden / FILE)
    assert all(before[kind] for kind in facts(golden)["records"])
    opened.rebuild()
    assert rows_of(golden / FILE) == before


def test_i3_its_changes_make_the_same_tables_in_a_new_notebook(
    golden: Path, opened: Notebook, tmp_path: Path, clock: TurnedClock
) -> None:
    changes = [plain(row.body) for row in opened.pull(limit=10_000).rows]
    with open_notebook(tmp_path / "new", clock, create=True) as new:
        for start in range(len(changes), 0, -7):
            answers = new.push(changes[max(0, start - 7) : start]).answers
            assert {answer.status for answer in answers} == {"ok"}
        assert rows_of(tmp_path / "new" / FILE) == rows_of(golden / FILE)


def test_it_is_written_out_as_a_folder_that_reads_the_same(
    opened: Notebook, tmp_path: Path
) -> None:
    folder = sound_only(folder_of(opened, standing_only=False))
    write_back(tmp_path / "out", folder)
    again = read_folder(tmp_path / "out")
    assert again.records == folder.records
    assert again.words.items() >= folder.words.items()
    assert len(again.photo_paths) == len(folder.photo_paths) == 1


def test_a_photo_that_was_on_its_way_goes_on(opened: Notebook) -> None:
    sha256 = hashlib.sha256(UNDERWAY).hexdigest()
    uploads = Uploads(opened)
    assert uploads.progress(sha256).offset == 100
    assert uploads.append(sha256, 100, len(UNDERWAY), UNDERWAY[100:]).whole
    assert opened.blobs.is_sound(sha256)
