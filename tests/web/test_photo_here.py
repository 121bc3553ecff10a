"""A photo taken or picked on the phone: what its file says there and on the server, its light."""

from __future__ import annotations

import hashlib
import io
import itertools
import json
import random
import re
import subprocess
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from PIL import Image
from PIL.TiffImagePlugin import IFDRational as Ratio
from playwright.sync_api import Browser, BrowserContext, expect

from scout.engine.reading import TestShot, shot_reading
from scout.installed import web_folder
from scout.notebook import exif
from scout.notebook.notebook import Notebook

from .app_page import AppPage, phone_context, served
from .field_page import LATE
from .test_node_tests import node_program
from .test_visit import carr, held, tap

TAKEN = {
    0x9003: "2026:05:12 05:41:00",
    0x829A: Ratio(1, 250),
    0x829D: Ratio(71, 10),
    0x8827: 1600,
    0x9204: Ratio(-1, 3),
    0x9209: 16,
}
THERE = {
    **{1: "N", 2: (Ratio(52), Ratio(52), Ratio(1200, 100))},
    **{3: "W", 4: (Ratio(0), Ratio(28), Ratio(12))},
    **{16: "T", 17: Ratio(2250, 10), 31: Ratio(64, 10)},
}


def picture(
    taken: dict[int, Any], there: dict[int, Any], form: str = "JPEG", size: tuple[int, int] = (8, 6)
) -> bytes:
    pixels = np.random.default_rng(7).integers(0, 255, (size[1], size[0], 3), dtype=np.uint8)
    tags = Image.Exif()
    tags.get_ifd(exif.EXIF_IFD).update(taken)
    tags.get_ifd(exif.GPS_IFD).update(there)
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, form, exif=tags)
    return file.getvalue()


def asked(body: str, given: Any) -> Any:
    run = subprocess.run(
        [node_program(), "--input-type=module", "-e", body, web_folder().as_uri()],
        input=json.dumps(given),
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    return json.loads(run.stdout)


_FACTS = """
const { factsOf } = await import(process.argv[1] + '/screens/photo_facts.js');
let text = '';
for await (const part of process.stdin) text += part;
const bytes = (hex) => { const b = Buffer.from(hex, 'hex');
  return b.buffer.slice(b.byteOffset, b.byteOffset + b.length); };
process.stdout.write(JSON.stringify(JSON.parse(text).map((hex) => factsOf(bytes(hex)))));
"""
_LIGHT = """
const { lightOf } = await import(process.argv[1] + '/screens/photo_light.js');
let text = '';
for await (const part of process.stdin) text += part;
process.stdout.write(JSON.stringify(JSON.parse(text).map(lightOf)));
"""


def on_server(file: bytes) -> dict[str, Any]:
    """What the server reads out of the same file."""
    with Image.open(io.BytesIO(file)) as opened:
        held_tags = opened.getexif()
        found = exif.facts(
            dict(held_tags.get_ifd(exif.EXIF_IFD)), dict(held_tags.get_ifd(exif.GPS_IFD))
        )
    flash = found.pop("flash")
    del found["missing"]
    return {**found, "is_flash": bool(flash)}


def test_a_file_says_the_same_on_the_phone_and_on_the_server() -> None:
    south = {**THERE, 1: "S", 3: "E", 16: "M"}
    files = [
        picture(taken, there, form)
        for form in ("JPEG", "PNG", "WEBP")
        for taken, there in (
            (TAKEN, THERE),
            ({**TAKEN, 0x9011: "+01:00", 0x9209: 1}, south),
            ({**TAKEN, 0x9011: "+15:00", 0x9003: "2026:02:30 05:41:00"}, {**THERE, 16: "X"}),
            ({**TAKEN, 0x8827: 0}, {**THERE, 2: (Ratio(91), Ratio(0), Ratio(0))}),
            ({0x9003: "yesterday"}, {}),
            ({}, {**THERE, 17: Ratio(361), 31: Ratio(0)}),
        )
    ]
    here = asked(_FACTS, [file.hex() for file in files])
    for file, found in zip(files, here, strict=True):
        assert found == on_server(file)
    # And as it was written into the first of them.
    assert here[0] == {
        "at": {"local": "2026-05-12T05:41:00", "offset": None},
        "position": {"lat": 52.87, "lon": -0.47, "accuracy_m": 6.4, "source": "photo"},
        "bearing": {"read_deg": 225, "reference": "true", "how": "phone compass"},
        "exposure": {"shutter_s": 0.004, "f_number": 7.1, "iso": 1600, "compensation_ev": -0.33},
        "is_flash": False,
    }


def test_a_spoilt_file_says_nothing_and_spoils_nothing() -> None:
    dice = random.Random(5)
    files = []
    for form in ("JPEG", "PNG", "WEBP"):
        whole = picture(TAKEN, THERE, form)
        for _ in range(60):
            spoilt = bytearray(whole[: dice.randrange(len(whole))] or b"\xff")
            for _ in range(dice.randrange(6)):
                spoilt[dice.randrange(len(spoilt))] = dice.randrange(256)
            files.append(bytes(spoilt))
    for found in asked(_FACTS, [file.hex() for file in files]):
        assert set(found) <= {"at", "position", "bearing", "exposure", "is_flash"}


def test_a_shot_measures_the_same_light_on_the_phone_and_in_the_engine() -> None:
    shots = [
        {"f_number": f, "shutter_s": t, "iso": iso, "compensation_ev": ev, "tone": tone}
        | {"looks_right": right, "is_flash": flash, "is_fixed": fixed, "iso_ceiling": 6400}
        for f, t, iso, ev, tone, right, flash, fixed in itertools.product(
            (2.8, 7.1),
            (1 / 2000, 1 / 30),
            (100, 6400),
            (None, -0.33, 1),
            (None, "dark", "mid", "bright", "sky holes"),
            (None, True, False),
            (False, True),
            (False, True),
        )
    ]
    for shot, found in zip(shots, asked(_LIGHT, shots), strict=True):
        engine = shot_reading(
            TestShot(
                f_number=shot["f_number"],
                exposure_s=shot["shutter_s"],
                iso=shot["iso"],
                compensation_ev=shot["compensation_ev"],
                tone=shot["tone"],
                looks_right=shot["looks_right"],
                iso_ceiling=shot["iso_ceiling"],
                shutter_fixed=shot["is_fixed"],
                flash=shot["is_flash"],
            )
        )
        assert (found["ev100"] is None) == (engine.light_ev is None), shot
        if engine.light_ev is not None:
            assert found["ev100"] == pytest.approx(engine.light_ev, abs=0.051)
    # f/16 at 1/125 s, ISO 100, mid grey, in full sun is EV 15 (the sunny-16 rule, ISO 2720).
    sunny = {"f_number": 16, "shutter_s": 1 / 125, "iso": 100, "compensation_ev": 0}
    sunny |= {"tone": "mid", "looks_right": True, "is_flash": False, "transmission_ev": 0}
    assert asked(_LIGHT, [sunny])[0]["ev100"] == 15


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    opened = phone_context(browser)
    opened.add_init_script(f"({LATE})()")
    yield opened
    opened.close()


@pytest.fixture
def one(notebook: Notebook, context: BrowserContext) -> Iterator[AppPage]:
    carr(notebook)
    with served(notebook) as url:
        app = AppPage(context, url)
        yield app.open("sync").synced()
    assert app.faults == []


def give(app: AppPage, file: bytes, name: str = "bank.jpg", *, is_taken: bool = False) -> None:
    inputs = app.page.locator("input[type=file]")
    (inputs.first if is_taken else inputs.last).set_input_files(
        {"name": name, "mimeType": "image/jpeg", "buffer": file}
    )


def test_a_picked_photo_is_made_small_and_measures_the_light(
    notebook: Notebook, one: AppPage
) -> None:
    ids = {perch["name"]: perch["id"] for perch in held(notebook, "perch")}
    one.go("photo-here")
    give(one, picture(TAKEN, THERE, size=(3000, 2000)))
    expect(one.page.get_by_text("Taken Tue 12 May")).to_be_visible()
    expect(one.page.get_by_text("has no time zone")).to_be_visible()
    one.page.reload()  # what is half-written is taken up where it was left
    expect(one.page.locator("img.photo")).to_be_visible()
    expect(one.page.get_by_text("Say whether the shot looks right")).to_be_visible()
    one.page.get_by_role("button", name="Low post").click()
    tap(one, "right")
    expect(one.page.get_by_text("Say what filled the frame.")).to_be_visible()
    tap(one, "mid", "Add it as a light reading, EV 9.6", "Save")
    expect(one.page.get_by_text("Saved on this phone")).to_be_visible()
    expect(one.page).not_to_have_url(re.compile("photo-here"))  # the app goes back by itself
    one.synced()
    (photo,) = held(notebook, "photo")
    assert (photo["pin"], photo["file_name"]) == (ids["Low post"], "bank.jpg")
    assert photo["at"]["at"] == "2026-05-12T05:41:00+01:00"
    assert photo["at"]["source"] == "photo"
    assert photo["position"]["source"] == "photo"
    assert photo["exposure"]["iso"] == 1600
    (reading,) = held(notebook, "light_reading")
    # Measured at the side that looked back at the camera, which looked to 225°.
    assert (reading["perch"], reading["facing_deg"]) == (ids["Low post"], 45)
    assert (reading["ev100"], reading["photo"], reading["source"]) == (
        9.6,
        photo["id"],
        "test shot",
    )
    with Image.open(io.BytesIO(blob(one, photo["blob"]))) as kept:
        assert kept.size == (2048, 1365)
        assert not kept.getexif()
    assert waiting(one) == 0


def test_a_photo_taken_in_a_visit_is_placed_where_the_phone_stood(
    notebook: Notebook, one: AppPage
) -> None:
    one.go("visiting")
    tap(one, "Start the visit")
    one.button("Here now").wait_for()
    one.link("Photo").first.click()
    one.page.get_by_role("button", name="Take a photo").wait_for()
    file = picture({}, {}, size=(40, 30))
    give(one, file, is_taken=True)
    expect(one.page.get_by_text("The file does not say how it was exposed.")).to_be_visible()
    one.page.evaluate("() => fixed(52.8702, -0.4703, 6)")
    expect(one.page.locator(".standing-figure")).to_contain_text("± 6 m")
    tap(one, "Save")
    expect(one.button("Here now")).to_be_visible()  # back in the visit
    one.synced()
    (visit,) = held(notebook, "visit")
    (photo,) = held(notebook, "photo")
    assert (photo["pin"], photo["site"]) == (visit["id"], visit["site"])
    assert photo["at"]["source"] == "device"
    assert photo["position"] == {
        **{"lat": 52.8702, "lon": -0.4703, "accuracy_m": 6, "source": "satellite fix"}
    }
    assert photo["blob"] == hashlib.sha256(file).hexdigest()  # small already: kept as it is
    assert "file_name" not in photo


def test_what_is_no_picture_is_refused_and_another_one_leaves_nothing(
    notebook: Notebook, one: AppPage
) -> None:
    one.go("photo-here")
    give(one, b"\xff\xd8 not a picture at all")
    expect(one.page.get_by_text("This phone cannot read that picture.")).to_be_visible()
    tap(one, "the whole file")
    big = picture(TAKEN, THERE, size=(2400, 1200))
    give(one, big)
    expect(one.page.get_by_text("Taken Tue 12 May")).to_be_visible()
    tap(one, "Another photo")
    one.button("Pick one").wait_for()
    assert waiting(one) == 0
    give(one, big)
    expect(one.page.get_by_text("Taken Tue 12 May")).to_be_visible()
    tap(one, "Save")
    expect(one.page.get_by_text("Saved on this phone")).to_be_visible()
    expect(one.page).not_to_have_url(re.compile("photo-here"))  # the app goes back by itself
    one.synced()
    (photo,) = held(notebook, "photo")
    assert photo["blob"] == hashlib.sha256(big).hexdigest()  # to the byte


_BYTES = """async (sha256) => {
  const { openNotebook } = await import('/notebook/notebook.js');
  const notebook = await openNotebook({ sync: false });
  const bytes = new Uint8Array(await (await notebook.blob(sha256)).arrayBuffer());
  notebook.close();
  return Array.from(bytes, (one) => one.toString(16).padStart(2, '0')).join('');
}"""
_WAITING = """() => new Promise((resolve, reject) => {
  const asked = indexedDB.open('notebook');
  asked.onerror = () => reject(asked.error);
  asked.onsuccess = () => {
    const db = asked.result;
    const rows = db.transaction('blob').objectStore('blob').index('waiting').count();
    rows.onsuccess = () => { db.close(); resolve(rows.result); };
  };
})"""


def blob(app: AppPage, sha256: str) -> bytes:
    return bytes.fromhex(app.page.evaluate(_BYTES, sha256))


def waiting(app: AppPage) -> int:
    """Count the bytes on the phone that wait to be sent."""
    found: int = app.page.evaluate(_WAITING)
    return found
