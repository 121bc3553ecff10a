"""Folders loaded into the notebook and the notebook written out as one."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from scout.notebook.folder import Folder, read_folder
from scout.notebook.folder_writing import write_folder
from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit

from .conftest import TurnedClock
from .tables import rows_of

SAMPLE = Path(__file__).parent.parent.parent / "sample_site"
FOLDER = "5b0f8a34-58a7-4a53-9d3e-0d9c0a6f1c11"


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A folder of a site, two perches (one by a word, one by a UUID) and a visit."""
    folder = tmp_path / "small"
    folder.mkdir()
    here = {"lat": 57.2, "lon": -3.8}
    files: dict[str, Any] = {
        "folder.json": {"format": 1, "folder": FOLDER, "name": "Small"},
        "sites.json": [{"id": "mill", "name": "Mill", "centre": here, "zone": "Europe/London"}],
        "perches.json": [
            {"id": "post", "site": "mill", "name": "Post", "position": here, "height_m": 1.5},
            {
                "id": "01900000-0000-7000-8000-0000000000aa",
                "site": "mill",
                "name": "Stone",
                "position": here | {"accuracy_m": 8.0},
            },
        ],
    }
    for file, value in files.items():
        (folder / file).write_text(json.dumps(value), "utf-8")
    (folder / "visits.csv").write_text(
        "id,site,start,mist\nv-1,mill,2026-05-12T04:35:00+01:00,true\n", "utf-8"
    )
    return folder


def load(notebook: Notebook, path: Path) -> Any:
    folder = read_folder(path)
    assert folder.faults == []
    return notebook.load(folder, folder.photo_paths)


def write(notebook: Notebook, path: Path, like: Folder) -> None:
    photos = {
        id_: notebook.blobs.path_of(photo.blob)
        for id_, photo in notebook.contents().records["photo"].items()
        if id_ in like.photo_paths
    }
    (kept,) = (one for one in notebook.folders() if one["id"] == like.folder_id)
    write_folder(
        path,
        notebook.contents().records,
        name=kept["name"],
        folder_id=kept["id"],
        words=kept["words"],
        photo_paths=photos,
    )


def test_loading_twice_writes_nothing_twice(notebook: Notebook, small: Path) -> None:
    first = load(notebook, small)
    assert (first.new, first.changed, first.same) == (4, 0, 0)
    before = rows_of(notebook.store.path, "journal")
    second = load(notebook, small)
    assert (second.new, second.changed, second.same, second.group) == (0, 0, 4, None)
    assert rows_of(notebook.store.path, "journal") == before


def test_the_round_trip_is_exact(notebook: Notebook, small: Path, tmp_path: Path) -> None:
    load(notebook, small)
    read = read_folder(small)
    write(notebook, tmp_path / "out", read)
    again = read_folder(tmp_path / "out")
    assert again.faults == []
    assert again.records == read.records
    assert [list(kind) for kind in again.records.values()] == [
        list(kind) for kind in read.records.values()
    ]
    assert (again.name, again.folder_id, again.words) == (read.name, read.folder_id, read.words)
    assert load(notebook, tmp_path / "out").group is None


@pytest.mark.skipif(not (SAMPLE / "folder.json").exists(), reason="the sample site is not here")
def test_the_sample_site_goes_in_and_comes_out_the_same(notebook: Notebook, tmp_path: Path) -> None:
    load(notebook, SAMPLE)
    read = read_folder(SAMPLE)
    write(notebook, tmp_path / "out", read)
    again = read_folder(tmp_path / "out")
    assert again.records == read.records
    assert again.words == read.words
    assert load(notebook, tmp_path / "out").group is None
    found = notebook.check()
    assert found.faults == []
    assert notebook.conflicts() == []


def test_a_folder_that_lay_about_takes_nothing_back(
    notebook: Notebook, small: Path, clock: TurnedClock
) -> None:
    load(notebook, small)
    (post,) = (id_ for id_, word in read_folder(small).words.items() if word == "post")
    notebook.save([Edit(kind="perch", record=post, set={"height_m": 2.5})])
    loaded = load(notebook, small)
    assert loaded.group is None
    assert loaded.older == ("perch post: height_m",)
    assert notebook.contents().raw["perch"][post]["height_m"] == 2.5


def test_an_edit_in_the_folder_is_news(notebook: Notebook, small: Path) -> None:
    load(notebook, small)
    text = (small / "perches.json").read_text("utf-8")
    (small / "perches.json").write_text(text.replace("1.5", "1.75"), "utf-8")
    loaded = load(notebook, small)
    assert (loaded.new, loaded.changed, loaded.same) == (0, 1, 3)
    assert 1.75 in [raw.get("height_m") for raw in notebook.contents().raw["perch"].values()]
    assert notebook.conflicts() == []


def test_what_was_deleted_stays_so_when_the_folder_comes_again(
    notebook: Notebook, small: Path
) -> None:
    load(notebook, small)
    (post,) = (id_ for id_, word in read_folder(small).words.items() if word == "post")
    notebook.save([Edit(kind="perch", record=post, delete=True)])
    assert load(notebook, small).group is None
    assert post not in notebook.contents().raw["perch"]


def test_a_record_that_lacks_something_is_borne_and_told(notebook: Notebook) -> None:
    saved = notebook.save([Edit(kind="perch", set={"height_m": 2})])
    contents = notebook.contents()
    assert contents.records["perch"] == {}
    assert contents.raw["perch"][saved.records[0]] == {"id": saved.records[0], "height_m": 2}
    assert len(contents.incomplete) == 1
    assert "name: is missing" in contents.incomplete[0]


def test_a_photos_bytes_come_with_it(notebook: Notebook, tmp_path: Path) -> None:
    if not (SAMPLE / "photos").is_dir():
        pytest.skip("the sample site is not here")
    copy = tmp_path / "site"
    shutil.copytree(SAMPLE, copy)
    read = read_folder(copy)
    load(notebook, copy)
    blobs = {photo.blob for id_, photo in read.records["photo"].items() if id_ in read.photo_paths}
    assert notebook.offer([], sorted(blobs)).blobs == dict.fromkeys(blobs, "here")
