"""Photos of a folder: sound ones found, every other a fault, and none opened that is none."""

from __future__ import annotations

import hashlib
import io
import struct
import zlib
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from scout.notebook.pictures import sha256_of

from .small_folder import Files, faults, files, read


def picture(form: str = "JPEG", size: tuple[int, int] = (60, 40)) -> bytes:
    bytes_ = io.BytesIO()
    noise = Image.effect_noise(size, 60)  # noise does not shrink to nothing
    noise.convert("RGB").save(bytes_, form)
    return bytes_.getvalue()


def empty_png(width: int, height: int) -> bytes:
    """Make a PNG (W3C recommendation, 2nd edition) that claims a size and holds next to nothing."""

    def chunk(name: bytes, data: bytes) -> bytes:
        crc = struct.pack(">I", zlib.crc32(name + data))
        return struct.pack(">I", len(data)) + name + data + crc

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def photo_folder(bytes_: bytes | None, name: str = "a.jpg", **changed: Any) -> Files:
    digest = hashlib.sha256(bytes_ or b"").hexdigest()
    photo = {"id": "photo-1", "site": "marsh", "blob": digest, "file_name": name, **changed}
    return {**files(photos=[photo]), f"photos/{name}": bytes_}


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_sound_photos(tmp_path: Path, form: str) -> None:
    folder = read(tmp_path, photo_folder(picture(form)))
    assert folder.faults == []
    (photo_id,) = folder.records["photo"]
    assert folder.photo_paths == {photo_id: tmp_path / "photos" / "a.jpg"}


def test_a_photo_may_lie_under_the_name_of_its_bytes(tmp_path: Path) -> None:
    bytes_ = picture()
    content = photo_folder(bytes_, file_name="../../somewhere else.jpg")
    content[f"photos/{hashlib.sha256(bytes_).hexdigest()}"] = bytes_
    folder = read(tmp_path, content)
    assert folder.faults == []
    assert len(folder.photo_paths) == 1


@pytest.mark.parametrize(
    ("bytes_", "says"),
    [
        (None, "there is no file photos/a.jpg; put it there or take the photo out."),
        (b"", "photos/a.jpg is no picture that is read here; use one of: JPEG, PNG, WEBP."),
        (b"plain text", "photos/a.jpg is no picture that is read here"),
        (picture("GIF"), "photos/a.jpg is no picture that is read here"),
        (picture("TIFF"), "photos/a.jpg is no picture that is read here"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n", "photos/a.jpg is no picture that is read here"),
        (picture()[:-600], "photos/a.jpg is damaged or cut short; copy it again."),
        (picture("PNG")[:-600], "photos/a.jpg is damaged or cut short; copy it again."),
        (picture("WEBP")[:-300], "photos/a.jpg is damaged or cut short; copy it again."),
        (empty_png(13_000, 10_000), "photos/a.jpg has more than 120 million pixels; make it"),
        (empty_png(60_000, 60_000), "photos/a.jpg has more than 120 million pixels; make it"),
        (empty_png(100, 100), "photos/a.jpg is damaged or cut short; copy it again."),
    ],
)
def test_photos_that_are_none(tmp_path: Path, bytes_: bytes | None, says: str) -> None:
    folder = read(tmp_path, photo_folder(bytes_))
    (fault,) = folder.faults
    assert fault.sentence.startswith(f"photos.json, line 6: file_name: {says}")
    assert folder.photo_paths == {}


def test_a_photo_with_other_bytes(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, photo_folder(picture(), blob="ab" * 32))
    assert fault.startswith("photos.json, line 5: blob: photos/a.jpg has other bytes than these")


def test_a_link_out_of_the_folder_is_no_photo(tmp_path: Path) -> None:
    outside = tmp_path / "outside.jpg"
    outside.write_bytes(picture())
    root = tmp_path / "folder"
    (root / "photos").mkdir(parents=True)
    (root / "photos" / "a.jpg").symlink_to(outside)
    content = photo_folder(None, blob=sha256_of(outside))
    (fault,) = faults(root, content)
    assert "there is no file photos/a.jpg" in fault


def test_the_digest_is_that_of_the_standard(tmp_path: Path) -> None:
    # FIPS 180-4, example computations: SHA-256 of "abc".
    (tmp_path / "abc").write_bytes(b"abc")
    assert sha256_of(tmp_path / "abc") == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )
