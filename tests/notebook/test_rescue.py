"""The rescue file: what a phone could not send, brought in whole, torn, twice, or hostile."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from scout.notebook import rescue
from scout.notebook.notebook import Notebook
from scout.records.trouble import Refused

from .phone import Phone
from .rescue_file import rescue_lines

PERCH = "01900000-0000-7000-8000-0000000000aa"
PHOTO = bytes(range(256)) * 10_000  # three parts
BLOB = hashlib.sha256(PHOTO).hexdigest()


@pytest.fixture
def lines(phone: Phone) -> list[str]:
    records = [PERCH, *(phone.new_id() for _ in range(1199))]
    changes = [phone.edit("perch", record, {"name": "A"}) for record in records]
    blobs = [(BLOB, "image/jpeg", PHOTO)]
    return list(rescue_lines(phone.device, "2026-05-12T04:35:00.000Z", changes, blobs))


def bring(notebook: Notebook, tmp_path: Path, text: str) -> rescue.Rescued:
    path = tmp_path / "rescue.jsonl"
    path.write_text(text, "utf-8")
    return rescue.bring_in(notebook, path)


def test_i2_everything_comes_in_and_twice_nothing_more(
    notebook: Notebook, tmp_path: Path, lines: list[str]
) -> None:
    done = bring(notebook, tmp_path, "".join(lines))
    assert (done.new, done.known, done.blobs, done.faults) == (1200, 0, 1, [])
    assert notebook.history(PERCH)[0]["received_via"] == "rescue"
    assert notebook.blobs.path_of(BLOB).read_bytes() == PHOTO
    assert notebook.offer([], [BLOB]).blobs == {BLOB: "here"}
    again = bring(notebook, tmp_path, "".join(lines))
    assert (again.new, again.known, again.faults) == (0, 1200, [])
    assert list((notebook.folder / "incoming").iterdir()) == []


def test_a_torn_file_gives_what_it_has(
    notebook: Notebook, tmp_path: Path, lines: list[str]
) -> None:
    text = "".join(lines)
    done = bring(notebook, tmp_path, text[: text.index('"part":2') + 50])
    assert (done.new, done.blobs) == (1200, 0)
    assert len(done.faults) == 3
    assert done.faults[1] == "The file ends early; write it again on the phone if you can."
    assert "is not whole" in done.faults[2]
    assert list((notebook.folder / "incoming").iterdir()) == []


def test_i7_a_broken_line_delays_no_other(
    notebook: Notebook, tmp_path: Path, lines: list[str]
) -> None:
    part = json.loads(lines[1201])
    lines[2] = '{"change": {"id": NaN}}\n'
    lines[3] = '{"change": {"id": 1}}\n'
    lines[4] = "what?\n"
    lines[5] = "7\n"
    lines[6] = json.dumps(part | {"blob": "../../etc/passwd"}) + "\n"
    lines[7] = json.dumps(part | {"part": 0}) + "\n"
    lines[8] = json.dumps(part | {"blob": "0" * 64, "parts": 1, "base64": "?"}) + "\n"
    lines[9] = json.dumps(part | {"blob": "0" * 64, "parts": 1, "base64": "AAAA"}) + "\n"
    lines[10] = json.dumps(part | {"blob": "1" * 64, "part": 2}) + "\n"
    done = bring(notebook, tmp_path, "".join(lines))
    assert (done.new, done.quarantined, done.blobs) == (1191, 1, 1)
    assert [fault.split(":")[0] for fault in done.faults] == [
        f"Line {n}" for n in (3, 5, *range(6, 12))
    ]
    assert list((notebook.folder / "incoming").iterdir()) == []


@pytest.mark.parametrize("text", ["", "what?\n", "[]\n", '{"change": {}}\n', '{"rescue": 2}\n'])
def test_what_is_no_rescue_file(notebook: Notebook, tmp_path: Path, text: str) -> None:
    with pytest.raises(Refused, match="rescue file"):
        bring(notebook, tmp_path, text)


def test_a_file_that_is_not_there(notebook: Notebook, tmp_path: Path) -> None:
    with pytest.raises(Refused, match="cannot be read"):
        rescue.bring_in(notebook, tmp_path / "nothing")
