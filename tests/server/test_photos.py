"""Photos looked at: thumbnails, what the file says, the light it measured; and hostile pictures."""

from __future__ import annotations

import hashlib
import io
import random
import struct
import threading
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, PngImagePlugin

from scout.notebook.notebook import Notebook
from scout.notebook.pictures import LARGEST_BYTES
from scout.notebook.thumbnails import LONGEST_SIDE_PX

from . import served
from .linked import API, Client, Line, send_photo

POSITION = {1: "N", 2: (57.0, 12.0, 30.6), 3: "W", 4: (3.0, 49.0, 12.0)}


def picture(
    size: tuple[int, int] = (900, 600),
    kind: str = "JPEG",
    exif: dict[int, Any] | None = None,
    gps: dict[int, Any] | None = None,
    orientation: int | None = None,
) -> bytes:
    """Make a picture whose left half is red and whose right half is blue."""
    made = Image.new("RGB", size, "blue")
    made.paste("red", (0, 0, size[0] // 2, size[1]))
    tags = Image.Exif()
    tags.get_ifd(0x8769).update(exif or {})
    tags.get_ifd(0x8825).update(gps or {})
    if orientation is not None:
        tags[0x0112] = orientation
    held = io.BytesIO()
    made.save(held, kind, exif=tags.tobytes())
    return held.getvalue()


def facts(link: Client, held: bytes, asked: str = "") -> Any:
    said = link.ask("GET", f"{API}photos/{send_photo(link, held)}{asked}")
    assert said.status == 200, said.body
    assert said.headers["cache-control"] == "no-store"
    return said.json


def thumbnail(link: Client, held: bytes) -> Image.Image:
    said = link.ask("GET", f"{API}photos/{hashlib.sha256(held).hexdigest()}/thumbnail")
    assert said.status == 200, said.body
    assert said.headers["content-type"] == "image/jpeg"
    assert "sandbox" in said.headers["content-security-policy"]
    return Image.open(io.BytesIO(said.body))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_thumbnail_is_small_and_made_of_pixels_alone(link: Client, kind: str) -> None:
    held = picture((3000, 2000), kind, gps=POSITION)
    said = facts(link, held)
    assert (said["state"], said["format"]) == ("read", kind)
    assert (said["width_px"], said["height_px"]) == (3000, 2000)
    small = thumbnail(link, held)
    assert max(small.size) == LONGEST_SIDE_PX
    assert dict(small.getexif()) == {}
    assert small.getpixel((10, 10))[0] > 200
    assert small.getpixel((small.width - 10, 10))[2] > 200


def test_a_photo_held_upright_is_shown_upright(link: Client) -> None:
    # Exif 3.0, 4.6.5.1.4: 6 says that the first row is the right-hand side.
    held = picture((900, 600), orientation=6)
    said = facts(link, held)
    assert (said["width_px"], said["height_px"]) == (600, 900)
    small = thumbnail(link, held)
    assert small.height > small.width
    assert small.getpixel((small.width // 2, 10))[0] > 200, "the red half is on top"


def test_a_see_through_picture_lies_on_white(link: Client) -> None:
    made = io.BytesIO()
    Image.new("RGBA", (50, 50), (0, 0, 0, 0)).save(made, "PNG")
    facts(link, made.getvalue())
    assert min(thumbnail(link, made.getvalue()).getpixel((25, 25))) > 250


def test_what_a_file_says_of_itself(link: Client) -> None:
    exif = {
        0x9003: "2026:05:12 04:35:10",
        0x9011: "+01:00",
        0x829A: 0.004,
        0x829D: 7.1,
        0x8827: 1600,
        0x9204: -0.67,
        0x9209: 16,
    }
    gps = POSITION | {16: "M", 17: 213.5, 31: 7.0}
    said = facts(link, picture(exif=exif, gps=gps))["says"]
    assert said["at"] == {"local": "2026-05-12T04:35:10", "offset": "+01:00"}
    assert said["position"] == {
        "lat": 57.2085,
        "lon": -3.82,
        "source": "photo",
        "accuracy_m": 7.0,
    }
    assert said["bearing"] == {"read_deg": 213.5, "reference": "magnetic", "how": "phone compass"}
    assert said["exposure"] == {
        "shutter_s": 0.004,
        "f_number": 7.1,
        "iso": 1600.0,
        "compensation_ev": -0.67,
    }
    assert said["flash"] is False
    assert said["missing"] == []


def test_what_a_file_does_not_say_is_said(link: Client) -> None:
    said = facts(link, picture(exif={0x9003: "2026:05:12 04:35:10"}, gps={17: 10.0}))["says"]
    assert said["at"] == {"local": "2026-05-12T04:35:10", "offset": None}
    assert said["missing"] == [
        "The camera's clock has no time zone: say which one it was set to.",
        "The photo holds no position: phones often take it out when handing it over.",
        "The photo has a bearing and does not say from which north, so it is left out.",
        "The photo does not say how it was exposed.",
    ]


def test_nonsense_in_a_file_is_passed_over(link: Client) -> None:
    exif = {0x9003: "2026:13:45 99:99:99", 0x829A: 0.0, 0x829D: 0.0, 0x8827: 0}
    gps = {1: "N", 2: (95.0, 0.0, 0.0), 3: "W", 4: (3.0, 90.0, 0.0), 16: "M", 17: 400.0}
    said = facts(link, picture(exif=exif, gps=gps))["says"]
    assert said.keys() == {"flash", "missing"}
    assert len(said["missing"]) == 3


def test_light_is_offered_only_under_its_conditions(link: Client, sample: dict[str, str]) -> None:
    # ISO 2720:1974: EV100 = log2(N² / t) − log2(ISO / 100).
    held = picture(exif={0x829A: 0.004, 0x829D: 8.0, 0x8827: 400, 0x9204: 0.0})

    def light(asked: str) -> Any:
        return facts(link, held, asked)["light"]

    assert "looks right" in light("")["why"]
    assert "does not look right" in light("?looks_right=no&tone=mid")["why"]
    assert "What filled the frame" in light("?looks_right=yes")["why"]
    assert "fools the meter" in light("?looks_right=yes&tone=sky holes")["why"]
    offered = light("?looks_right=yes&tone=mid")
    assert offered["why"] is None
    assert offered["ev100"] == pytest.approx(11.97, abs=0.4), "with the light lost in the glass"
    brighter = light("?looks_right=yes&tone=dark")["ev100"]
    assert brighter == pytest.approx(offered["ev100"] + 1.5, abs=0.11)
    assert light(f"?looks_right=yes&tone=mid&kit={sample['long-zoom']}")["ev100"] is not None
    sha256 = send_photo(link, held)
    for bad, status in (
        ("tone=pink", 400),
        ("looks_right=perhaps", 400),
        ("compensation_ev=nan", 400),
        ("compensation_ev=x", 400),
        ("kit=none", 404),
    ):
        assert link.ask("GET", f"{API}photos/{sha256}?{bad}").status == status


def test_what_is_worked_out_may_be_thrown_away(link: Client, notebook: Notebook) -> None:
    held = picture()
    before = facts(link, held)
    for path in sorted((notebook.folder / "derived").rglob("*.*")):
        path.write_bytes(b"{") if path.suffix == ".json" else path.unlink()
    assert facts(link, held) == before
    assert thumbnail(link, held).size == (640, 427)


# -- strangers' pictures


def _chunk(name: bytes, held: bytes) -> bytes:
    return struct.pack(">I", len(held)) + name + held + struct.pack(">I", zlib.crc32(name + held))


def _png(width: int, height: int, *chunks: bytes) -> bytes:
    head = _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(chunks) + _chunk(b"IEND", b"")


def pixel_flood() -> bytes:
    row = b"\x00" * 6251
    packer = zlib.compressobj(9)
    held = b"".join(packer.compress(row) for _ in range(50_000)) + packer.flush()
    return _png(50_000, 50_000, _chunk(b"IDAT", held))


def long_text() -> bytes:
    held = zlib.compress(b"x" * 100_000_000, 9)
    return _png(
        8,
        8,
        _chunk(b"zTXt", b"Comment\x00\x00" + held),
        _chunk(b"IDAT", zlib.compress(b"\x00\x00" * 8)),
    )


def with_a_zip_behind() -> bytes:
    behind = io.BytesIO()
    with zipfile.ZipFile(behind, "w") as archive:
        archive.writestr("index.html", "<script>alert(1)</script>")
    return picture() + behind.getvalue()


def zip_bomb() -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name in range(10):
            archive.writestr(f"{name}", b"\x00" * 10_000_000)
    return held.getvalue()


def with_ten_thousand_tags() -> bytes:
    count = 10_000
    entries = b"".join(struct.pack("<HHII", 0x1000 + n % 60_000, 4, 1, n) for n in range(count))
    block = b"II*\x00\x08\x00\x00\x00" + struct.pack("<H", count) + entries + b"\x00" * 4
    made = io.BytesIO()
    Image.new("RGB", (64, 64)).save(made, "PNG", exif=b"")
    plain = made.getvalue()
    return plain[:33] + _chunk(b"eXIf", block) + plain[33:]


def with_a_long_profile() -> bytes:
    info = PngImagePlugin.PngInfo()
    info.add_text("Description", "y" * 900_000, zip=True)
    made = io.BytesIO()
    Image.new("RGB", (64, 64), "red").save(made, "PNG", pnginfo=info)
    return made.getvalue()


def noise() -> bytes:
    return b"\xff\xd8\xff\xe0" + random.Random(1).randbytes(300_000)


def as_large_as_is_taken() -> bytes:
    """A JPEG with as much behind it as a photo may have at all."""
    begins = picture()
    return begins + bytes(LARGEST_BYTES - len(begins))


HOSTILE: dict[str, tuple[Callable[[], bytes], str]] = {
    "50,000 by 50,000 pixels in a few kB": (pixel_flood, "unreadable"),
    "100 MB of text in a PNG": (long_text, "any"),
    "a JPEG with a ZIP behind it": (with_a_zip_behind, "read"),
    "a GIF that is a script": (lambda: b"GIF89a/*" + b"\x00" * 40 + b"*/=1;alert(1)", "unreadable"),
    "a JPEG cut short": (lambda: picture()[:2000], "unreadable"),
    "a web page": (lambda: b"<!DOCTYPE html><script>alert(1)</script>", "unreadable"),
    "a drawing with a script": (lambda: b"<svg xmlns='x'><script/></svg>", "unreadable"),
    "10,000 tags": (with_ten_thousand_tags, "any"),
    "a zip bomb": (zip_bomb, "unreadable"),
    "a long description": (with_a_long_profile, "any"),
    "noise": (noise, "unreadable"),
    "200 MB": (as_large_as_is_taken, "read"),
    "one byte": (lambda: b"x", "unreadable"),
}
LARGEST_SERVER_BYTES = 300_000_000


def most_memory(pid: int) -> int:
    """Answer the most memory that a process ever held (Linux)."""
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("VmHWM:"):
            return int(line.split()[1]) * 1024
    raise AssertionError("the system does not say")


@pytest.mark.skipif(not Path("/proc/self/status").is_file(), reason="needs Linux's /proc")
def test_hostile_pictures_leave_the_server_small_and_others_untouched(tmp_path: Path) -> None:
    process, address = served.start(tmp_path / "notebook")
    other_held = random.Random(9).randbytes(3_000_000)
    sent: list[str] = []

    def another_person() -> None:
        line = Line(address)
        sent.append(send_photo(line, other_held, 64_000))
        line.close()

    other = threading.Thread(target=another_person)
    line = Line(address)
    try:
        other.start()
        for name, (make, state) in HOSTILE.items():
            held = make()
            sha256 = send_photo(line, held)
            said = line.ask("GET", f"{API}photos/{sha256}")
            assert said.status == 200, (name, said.body)
            found = said.json["state"]
            assert state in ("any", found), (name, said.json)
            again = line.ask("GET", f"{API}photos/{sha256}")
            assert again.json == said.json, "what failed is not tried again"
            small = line.ask("GET", f"{API}photos/{sha256}/thumbnail")
            assert small.status == (200 if found == "read" else 422), name
            assert b"alert" not in small.body
            original = line.ask("GET", f"{API}blobs/{sha256}")
            assert original.body == held, "kept to the byte"
            assert original.headers["content-type"] in (
                "image/jpeg",
                "image/png",
                "application/octet-stream",
            )
            assert original.headers["content-disposition"].startswith("attachment")
            assert original.headers["x-content-type-options"] == "nosniff"
            assert "sandbox" in original.headers["content-security-policy"]
        other.join()
        assert line.ask("GET", f"{API}blobs/{sent[0]}").body == other_held
        most = most_memory(process.pid)
    finally:
        line.close()
        served.kill(process)
    assert most < LARGEST_SERVER_BYTES, f"{most / 1e6:.0f} MB"
