"""A folder written out is the folder read in, and is never there by half."""

from __future__ import annotations

import hashlib
import json
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from scout.notebook import folder_writing
from scout.notebook.folder import FILES, read_folder
from scout.notebook.folder_writing import write_back, write_folder
from scout.records.kinds import KINDS, read_record
from scout.records.trouble import Refused
from tests.records import made_records as made

ID = "6ba7b810-9dad-41d1-80b4-00c04fd430c8"
SITE = read_record(
    "site", {"id": ID, "name": "Marsh", "zone": "UTC", "centre": {"lat": 52, "lon": -1}}
)
SAMPLE = Path(__file__).parents[2] / "sample_site"


def content_of(root: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(root)): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file()
    }


def write_site(root: Path, **more: Any) -> None:
    write_folder(root, {"site": {ID: SITE}}, **{"name": "x", "folder_id": ID, **more})


@given(data=st.data())
def test_what_is_written_reads_back_the_same(data: st.DataObject) -> None:
    records: dict[str, dict[str, Any]] = {kind: {} for kind in KINDS}
    taken: set[str] = set()
    for kind in KINDS:
        for raw in data.draw(st.lists(made.records(kind), max_size=2)):
            if raw.setdefault("id", ID) not in taken:
                taken.add(raw["id"])
                records[kind][raw["id"]] = read_record(kind, raw)
    words = {record_id: f"w-{place}" for place, record_id in enumerate(sorted(taken)) if place % 2}
    with tempfile.TemporaryDirectory() as outer:
        root = Path(outer) / "folder"
        write_folder(root, records, name="x", folder_id=ID, words=words)
        folder = read_folder(root)
        assert folder.records == records
        assert {kind: list(of_kind) for kind, of_kind in folder.records.items()} == {
            kind: list(of_kind) for kind, of_kind in records.items()
        }
        assert words.items() <= folder.words.items()
        before = content_of(root)
        write_back(root, folder)
        assert content_of(root) == before


def test_the_sample_survives_being_written(tmp_path: Path) -> None:
    sample = read_folder(SAMPLE)
    assert [fault.sentence for fault in sample.faults] == []
    assert sample.photo_paths
    write_back(tmp_path / "copy", sample)
    copy = read_folder(tmp_path / "copy")
    assert copy.faults == []
    assert copy.records == sample.records
    assert copy.words == sample.words
    assert {id_: path.name for id_, path in copy.photo_paths.items()} == {
        id_: path.name for id_, path in sample.photo_paths.items()
    }
    write_back(tmp_path / "again", copy)
    assert content_of(tmp_path / "again") == content_of(tmp_path / "copy")


def test_words_that_the_folder_implies_need_no_ids_file(tmp_path: Path) -> None:
    root = tmp_path / "folder"
    write_site(root, words={ID: "marsh"})
    assert json.loads((root / "ids.json").read_text()) == {"marsh": ID}
    (root / "ids.json").unlink()
    implied = read_folder(root)
    write_back(root, implied)
    assert not (root / "ids.json").exists()
    assert json.loads((root / "sites.json").read_text())[0]["id"] == "marsh"


def test_what_is_no_record_is_carried_over_and_old_records_are_not(tmp_path: Path) -> None:
    root = tmp_path / "folder"
    write_site(root)
    (root / "README.md").write_text("mine")
    (root / "making").mkdir()
    (root / "making" / "log.py").write_text("pass")
    (root / "photos").mkdir()
    (root / "photos" / "unnamed.jpg").write_bytes(b"x")
    write_folder(root, {}, name="y", folder_id=ID)
    assert set(content_of(root)) == {
        "folder.json",
        "README.md",
        "making/log.py",
        "photos/unnamed.jpg",
    }
    assert [path.name for path in tmp_path.iterdir()] == ["folder"]


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    write_site(tmp_path)
    assert list(read_folder(tmp_path).records["site"]) == [ID]


def refusal(root: Path, **more: Any) -> str:
    before = content_of(root.parent)
    with pytest.raises(Refused) as refused:
        write_site(root, **more)
    assert content_of(root.parent) == before
    assert not [path for path in root.parent.iterdir() if path.name.startswith(".")]
    return str(refused.value)


def test_places_that_are_refused(tmp_path: Path) -> None:
    other = tmp_path / "pictures"
    other.mkdir()
    (other / "a.txt").write_text("mine")
    assert "holds other things and is no folder of records" in refusal(other)
    assert "is not a folder" in refusal(other / "a.txt")
    link = tmp_path / "link"
    link.symlink_to(other)
    assert "is not a folder" in refusal(link)
    with pytest.raises(Refused, match="There is no folder"):
        write_site(tmp_path / "no" / "where")


def test_arguments_that_are_refused(tmp_path: Path) -> None:
    root = tmp_path / "folder"
    assert "is no short word" in refusal(root, words={ID: "Big Word"})
    assert "is no short word" in refusal(root, words={ID: ID})
    assert "A word stands for two records" in refusal(root, words={ID: "a", ID[::-1]: "a"})
    assert "is not a record id" in refusal(root, folder_id="x")
    with pytest.raises(Refused, match=r"^.hut. is not a kind of record"):
        write_folder(root, {"hut": {}}, name="x", folder_id=ID)
    assert not root.exists()


def photo(record_id: str, name: str | None, bytes_: bytes) -> Any:
    digest = hashlib.sha256(bytes_).hexdigest()
    raw = {"id": record_id, "blob": digest, "file_name": name}
    return read_record("photo", raw)


def test_photos_of_one_name_are_kept_apart(tmp_path: Path) -> None:
    paths: dict[str, Path] = {}
    photos: dict[str, Any] = {}
    for place, name in enumerate(["IMG_1.jpg", "img_1.JPG", "../up.jpg", None, ".hidden"]):
        path = tmp_path / f"{place}.png"
        Image.new("RGB", (4, 4), (place, 0, 0)).save(path)
        record_id = f"{place}{ID[1:]}"
        photos[record_id] = photo(record_id, name, path.read_bytes())
        paths[record_id] = path
    root = tmp_path / "folder"
    write_folder(root, {"photo": photos}, name="x", folder_id=ID, photo_paths=paths)
    folder = read_folder(root)
    assert [fault.sentence for fault in folder.faults] == []
    assert folder.records["photo"] == photos
    assert {id_: path.read_bytes() for id_, path in folder.photo_paths.items()} == {
        id_: path.read_bytes() for id_, path in paths.items()
    }
    assert not (tmp_path / "up.jpg").exists()


def test_a_photo_with_other_bytes_leaves_all_as_it_was(tmp_path: Path) -> None:
    root = tmp_path / "folder"
    write_site(root)
    before = content_of(root)
    (tmp_path / "a.jpg").write_bytes(b"other")
    with pytest.raises(Refused, match="has other bytes than the photo names"):
        write_folder(
            root,
            {"photo": {ID: photo(ID, "a.jpg", b"these")}},
            name="x",
            folder_id=ID,
            photo_paths={ID: tmp_path / "a.jpg"},
        )
    assert content_of(root) == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.jpg", "folder"]


@pytest.mark.parametrize(
    "step", ["_write_texts", "_write_photos", "_carry_over", "_sync_directories"]
)
def test_a_disk_that_fills_up_leaves_all_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    root = tmp_path / "folder"
    write_site(root)
    before = content_of(root)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(folder_writing, step, full)
    with pytest.raises(OSError, match="No space left"):
        write_site(root, name="new")
    assert content_of(root) == before
    assert [path.name for path in tmp_path.iterdir()] == ["folder"]


def test_the_old_folder_comes_back_when_the_new_one_cannot_take_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = tmp_path / "folder"
    write_site(root)
    before = content_of(root)
    rename = Path.rename

    def refuse_new(self: Path, target: Path) -> Path:
        if ".new-" in self.name:
            raise OSError(5, "Input/output error")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse_new)
    with pytest.raises(OSError, match="Input/output"):
        write_site(root, name="new")
    assert content_of(root) == before
    assert [path.name for path in tmp_path.iterdir()] == ["folder"]


def test_there_is_one_file_for_each_kind() -> None:
    assert set(FILES) == set(KINDS)
    assert len(set(FILES.values())) == len(KINDS)
    assert FILES["walk_in"] == "walk_ins.json"
    assert FILES["light_reading"] == "light_readings.csv"
