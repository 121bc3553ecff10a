"""Photos' bytes over HTTP: piece by piece, torn, twice, out of order, on a full disk; I1, I11."""

from __future__ import annotations

import hashlib
import json
import os
import random
import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from scout.notebook.leaving import folder_of, sound_only
from scout.notebook.notebook import Notebook, open_notebook
from scout.notebook.pictures import LARGEST_BYTES
from scout.notebook.uploads import Uploads
from tests.notebook.phone import Phone

from .linked import API, Client, client_of, digest, listening, send_photo, send_piece

HELD = random.Random(5).randbytes(250_000)
SHA = hashlib.sha256(HELD).hexdigest()


def head(link: Client, sha256: str = SHA) -> tuple[str, str]:
    said = link.ask("HEAD", f"{API}blobs/{sha256}")
    assert said.status == 204
    return said.headers["upload-offset"], said.headers["upload-complete"]


def test_i11_a_photo_comes_in_pieces_and_is_given_back_to_the_byte(
    link: Client, notebook: Notebook
) -> None:
    assert head(link) == ("0", "?0")
    assert link.ask("GET", f"{API}blobs/{SHA}").status == 404
    assert send_photo(link, HELD, 100_000) == SHA
    assert head(link) == ("250000", "?1")
    assert notebook.blobs.path_of(SHA).read_bytes() == HELD
    assert list((notebook.folder / "incoming").iterdir()) == []
    assert notebook.offer([], [SHA]).blobs == {SHA: "here"}
    said = link.ask("GET", f"{API}blobs/{SHA}")
    assert said.body == HELD
    assert said.headers["content-type"] == "application/octet-stream"
    assert said.headers["content-disposition"].startswith("attachment")
    assert "sandbox" in said.headers["content-security-policy"]
    assert said.headers["cross-origin-resource-policy"] == "same-origin"
    part = link.ask("GET", f"{API}blobs/{SHA}", Range="bytes=1000-1999")
    assert (part.status, part.body) == (206, HELD[1000:2000])
    assert link.ask("GET", f"{API}blobs/{SHA}", If_None_Match=said.headers["etag"]).status == 304
    assert link.ask("GET", f"{API}blobs/{SHA}", Range="bytes=900000-").status == 416


def test_a_photo_that_is_here_takes_no_more_and_says_so(link: Client) -> None:
    send_photo(link, HELD, 100_000)
    said = send_piece(link, SHA, 0, len(HELD), HELD[:100])
    assert said.status == 204
    assert (said.headers["upload-offset"], said.headers["upload-complete"]) == ("250000", "?1")


@pytest.mark.parametrize("offset", [0, 99_999, 100_001, 200_000])
def test_a_piece_that_does_not_join_on_is_told_where_it_belongs(link: Client, offset: int) -> None:
    send_piece(link, SHA, 0, len(HELD), HELD[:100_000])
    said = send_piece(link, SHA, offset, len(HELD), HELD[offset : offset + 1000])
    assert said.status == 409
    assert said.headers["upload-offset"] == "100000"
    assert said.json["error"]["code"] == "wrong_offset"
    assert head(link) == ("100000", "?0")


def test_a_torn_piece_is_wanted_again(link: Client, notebook: Notebook) -> None:
    send_piece(link, SHA, 0, len(HELD), HELD[:100_000])
    torn = bytearray(HELD[100_000:200_000])
    torn[5] ^= 1
    right = digest(HELD[100_000:200_000])
    said = send_piece(link, SHA, 100_000, len(HELD), bytes(torn), Content_Digest=right)
    assert (said.status, said.json["error"]["code"]) == (409, "torn")
    assert said.headers["upload-offset"] == "100000"
    assert (notebook.folder / "incoming" / f"{SHA}.part").read_bytes() == HELD[:100_000]
    assert send_photo(link, HELD, 50_000) == SHA


def test_i1_bytes_beyond_what_was_acknowledged_are_written_over(
    link: Client, notebook: Notebook
) -> None:
    send_piece(link, SHA, 0, len(HELD), HELD[:100_000])
    part = notebook.folder / "incoming" / f"{SHA}.part"
    part.write_bytes(HELD[:100_000] + b"rubbish of a crash")
    assert head(link) == ("100000", "?0")
    send_piece(link, SHA, 100_000, len(HELD), HELD[100_000:])
    assert notebook.blobs.is_sound(SHA)


def test_i1_a_piece_that_the_disk_lost_is_asked_for_again(link: Client, notebook: Notebook) -> None:
    send_piece(link, SHA, 0, len(HELD), HELD[:100_000])
    (notebook.folder / "incoming" / f"{SHA}.part").write_bytes(HELD[:60_000])
    assert head(link) == ("60000", "?0")
    send_piece(link, SHA, 60_000, len(HELD), HELD[60_000:])
    assert notebook.blobs.is_sound(SHA)


def test_i1_a_crash_between_the_name_and_the_table_is_made_good(
    link: Client, notebook: Notebook
) -> None:
    notebook.blobs.keep([HELD], SHA)
    assert head(link) == ("250000", "?1")
    assert notebook.offer([], [SHA]).blobs == {SHA: "here"}


def test_bytes_that_are_not_their_hash_are_thrown_away_in_words(
    link: Client, notebook: Notebook
) -> None:
    other = "ab" * 32
    said = send_piece(link, other, 0, len(HELD), HELD)
    assert said.status == 422
    assert said.json["error"]["code"] == "not_its_hash"
    assert head(link, other) == ("0", "?0")
    assert notebook.offer([], [other]).blobs == {other: "missing"}
    assert not notebook.blobs.path_of(other).exists()


def test_what_cannot_be_a_piece_is_refused_in_words(link: Client) -> None:
    def status(**headers: str) -> int:
        return send_piece(link, SHA, 0, len(HELD), HELD[:1000], **headers).status

    assert status(Content_Type="application/json") == 415
    assert status(Content_Digest="") == 400
    assert status(Content_Digest="sha-256=:not base64:") == 400
    assert status(Content_Digest="md5=:AAAA:") == 400
    assert status(Upload_Offset="-1") == 400
    assert status(Upload_Offset="") == 400
    assert status(Upload_Length="12.5") == 400
    assert status(Upload_Length="0") == 400
    assert status(Upload_Length=str(LARGEST_BYTES + 1)) == 400
    assert status(Upload_Length="10") == 400
    assert status(X_Scout="") == 403
    assert send_piece(link, SHA, 0, len(HELD), b"").status in (400, 411)
    assert send_piece(link, SHA, 0, 2_000_000, b"x" * 1_048_577).status == 413
    assert send_piece(link, "AB" * 32, 0, 10, b"x").status == 404
    assert send_piece(link, "../../notebook.db", 0, 10, b"x").status in (404, 405)
    assert head(link) == ("0", "?0")
    assert status() == 204
    assert send_piece(link, SHA, 1000, 9_999, HELD[1000:2000]).status == 400, "another size"


def test_a_name_that_leads_out_of_the_folder_leads_nowhere(link: Client) -> None:
    for name in ("..%2f..%2fnotebook.db", "%2e%2e/notebook.db", "a" * 63 + "/", "\x00" * 64):
        for method in ("GET", "HEAD"):
            assert link.ask(method, f"{API}blobs/{name}").status in (404, 405, 308)


def test_many_pieces_at_once_end_in_one_whole_photo(notebook: Notebook) -> None:
    links = [client_of(notebook) for _ in range(1)]
    app_uploads = links[0]

    def send(_: int) -> str:
        for _ in range(200):
            offset, whole = head(app_uploads)
            if whole == "?1":
                return SHA
            at = int(offset)
            send_piece(app_uploads, SHA, at, len(HELD), HELD[at : at + 20_000])
        return ""

    with ThreadPoolExecutor(4) as pool:
        assert set(pool.map(send, range(4))) == {SHA}
    assert notebook.blobs.is_sound(SHA)


def test_a_full_disk_is_said_and_the_photo_goes_on_when_there_is_room(
    notebook: Notebook, link: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    send_piece(link, SHA, 0, len(HELD), HELD[:100_000])

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("scout.notebook.uploads.os.fsync", full)
        said = send_piece(link, SHA, 100_000, len(HELD), HELD[100_000:200_000])
    assert said.status == 507
    assert "no room left" in said.json["error"]["message"]
    assert head(link) == ("100000", "?0")
    assert send_photo(link, HELD, 100_000) == SHA


def test_what_was_begun_and_never_ended_is_swept_after_two_months(
    notebook: Notebook, link: Client
) -> None:
    send_piece(link, SHA, 0, len(HELD), HELD[:100_000])
    clock = notebook.clock
    uploads = Uploads(notebook)
    clock.pass_by(days=59)  # type: ignore[attr-defined]
    assert uploads.sweep() == 0
    clock.pass_by(days=2)  # type: ignore[attr-defined]
    assert uploads.sweep() == 1
    assert head(link) == ("0", "?0")
    assert list((notebook.folder / "incoming").iterdir()) == []


def flip(path: Path, *, as_a_disk_does: bool = False) -> None:
    """Turn one bit over; a disk that does so leaves the file's time as it was."""
    found = path.stat()
    held = bytearray(path.read_bytes())
    held[77] ^= 4
    path.write_bytes(held)
    if as_a_disk_does:
        os.utime(path, ns=(found.st_atime_ns, found.st_mtime_ns))


def offered(link: Client) -> str:
    said = link.ask("POST", f"{API}offer", json.dumps({"changes": [], "blobs": [SHA]}).encode())
    told: str = said.json["blobs"][SHA]
    return told


@pytest.mark.parametrize("found_by", ["check", "head", "get"])
def test_i11_a_flipped_bit_makes_a_photo_wanted_again_and_it_comes_again(
    tmp_path: Path, notebook: Notebook, found_by: str
) -> None:
    with listening(notebook) as line:
        send_photo(line, HELD, 100_000)
    flip(notebook.blobs.path_of(SHA), as_a_disk_does=True)
    with (
        open_notebook(tmp_path / "notebook", notebook.clock) as again,
        listening(again) as line,
    ):
        if found_by == "check":
            assert any(SHA in fault and "again" in fault for fault in again.check().faults)
        elif found_by == "get":
            said = line.ask("GET", f"{API}blobs/{SHA}")
            assert (said.status, said.json["error"]["code"]) == (404, "damaged")
        assert head(line) == ("0", "?0")
        assert offered(line) == "missing"
        assert line.ask("GET", f"{API}blobs/{SHA}").status == 404
        assert line.ask("GET", f"{API}photos/{SHA}/thumbnail").status == 404
        assert send_photo(line, HELD, 100_000) == SHA
        assert head(line) == ("250000", "?1")
        assert offered(line) == "here"
        assert line.ask("GET", f"{API}blobs/{SHA}").body == HELD
        assert again.check().faults == []
    assert hashlib.sha256(again.blobs.path_of(SHA).read_bytes()).hexdigest() == SHA


def test_what_another_program_found_damaged_is_looked_at_again_before_it_is_given(
    notebook: Notebook, link: Client
) -> None:
    send_photo(link, HELD)
    assert link.ask("GET", f"{API}blobs/{SHA}").status == 200
    flip(notebook.blobs.path_of(SHA), as_a_disk_does=True)
    with open_notebook(notebook.folder, notebook.clock) as other:
        assert not other.check().sound
    assert link.ask("GET", f"{API}blobs/{SHA}").status == 404
    assert offered(link) == "missing"


def test_a_photo_cut_short_on_the_disk_is_wanted_again_without_being_read(
    notebook: Notebook, link: Client
) -> None:
    send_photo(link, HELD)
    os.truncate(notebook.blobs.path_of(SHA), 1000)
    assert offered(link) == "missing"
    assert link.ask("GET", f"{API}photos/{SHA}").json["error"]["code"] == "damaged"
    assert send_photo(link, HELD, 100_000) == SHA
    assert offered(link) == "here"


def test_a_photo_marked_damaged_and_mended_by_hand_counts_again(
    notebook: Notebook, link: Client
) -> None:
    send_photo(link, HELD)
    flip(notebook.blobs.path_of(SHA))
    assert head(link) == ("0", "?0")
    notebook.blobs.path_of(SHA).write_bytes(HELD)
    assert head(link) == ("250000", "?1")
    assert offered(link) == "here"


def test_a_notebook_is_written_out_without_the_photo_that_changed(
    notebook: Notebook, sample: dict[str, str]
) -> None:
    folder = folder_of(notebook, standing_only=False)
    assert len(sound_only(folder).photo_paths) == len(folder.photo_paths) > 0
    photo, path = next(iter(folder.photo_paths.items()))
    flip(path)
    sound = sound_only(folder)
    assert set(folder.photo_paths) - set(sound.photo_paths) == {photo}
    assert photo in sound.warnings[-1].sentence


def test_over_a_real_port_and_after_a_restart(tmp_path: Path, notebook: Notebook) -> None:
    with listening(notebook) as line:
        send_piece(line, SHA, 0, len(HELD), HELD[:100_000])
    with open_notebook(tmp_path / "notebook", notebook.clock) as again, listening(again) as line:
        assert send_photo(line, HELD, 100_000) == SHA
        said = line.ask("GET", f"{API}blobs/{SHA}", Range="bytes=0-9")
        assert said.body == HELD[:10]


def test_a_notebook_named_from_where_one_stands_gives_its_photos(
    tmp_path: Path, notebook: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with open_notebook("mine", notebook.clock, create=True) as mine, listening(mine) as line:
        send_photo(line, HELD)
        assert line.ask("GET", f"{API}blobs/{SHA}").body == HELD


@pytest.mark.skipif(os.name == "nt", reason="an open file cannot be taken away there")
def test_a_notebook_taken_away_while_it_is_served_is_said(
    tmp_path: Path, notebook: Notebook, link: Client, phone: Phone
) -> None:
    send_photo(link, HELD)
    change = phone.edit("note", phone.new_id(), {"text": "late"})
    shutil.rmtree(tmp_path / "notebook")
    for said in (
        link.ask("POST", f"{API}push", json.dumps({"changes": [change]}).encode()),
        send_piece(link, "ab" * 32, 0, len(HELD), HELD[:1000]),
        link.ask("GET", f"{API}blobs/{SHA}"),
    ):
        assert said.status in (404, 500, 503)
        message = said.json["error"]["message"]
        assert "fault of the server" not in message
        assert message.endswith(".")


def test_the_full_disk_of_a_push_is_507(notebook: Notebook, link: Client) -> None:
    with notebook.store.writing() as db:
        pages = db.conn.execute("PRAGMA page_count").fetchone()[0]
        db.conn.execute(f"PRAGMA max_page_count={pages + 2}")
    phone = Phone(random.Random(1), 1_778_557_500_000)
    batch = [phone.edit("note", phone.new_id(), {"text": "x" * 500}) for _ in range(100)]
    said = link.ask("POST", f"{API}push", json.dumps({"changes": batch}).encode())
    assert said.status == 507
    assert said.json["error"]["code"] == "full"
    assert notebook.pull().rows == ()
