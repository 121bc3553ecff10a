"""A folder of records: read whole, every fault a sentence with its file and line."""

from __future__ import annotations

import hashlib
import io
import json
import os
import struct
import zlib
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from scout.notebook.findings import MOST_OF_A_FILE
from scout.notebook.folder import Folder, read_folder
from scout.notebook.pictures import sha256_of

FOLDER = {"format": 1, "folder": "6ba7b810-9dad-41d1-80b4-00c04fd430c8", "name": "Two sites"}
SITE = {
    "id": "marsh",
    "name": "The marsh",
    "zone": "Europe/Lisbon",
    "centre": {"lat": 52.1, "lon": -1.2, "accuracy_m": 5},
}
PERCH = {"id": "post", "site": "marsh", "name": "Post", "position": SITE["centre"]}
VANTAGE = {
    "id": "hide",
    "site": "marsh",
    "name": "Hide",
    "position": {"lat": 52.1001, "lon": -1.2, "accuracy_m": 5},
}
SIGHTLINE = {"id": "hide-post", "vantage": "hide", "perch": "post"}
FOX = {"id": "fox", "name": "Fox", "animal": "mammal", "length_m": 0.7}
VISITS = "id,site,start,end\nvisit-1,marsh,2026-05-12T04:35:00+01:00,2026-05-12T07:35:00+01:00\n"
WATCHES = (
    "id,visit,vantage,start,end\n"
    "watch-1,visit-1,hide,2026-05-12T04:50:00+01:00,2026-05-12T07:30:00+01:00\n"
)
SIGHTINGS = (
    "id,watch,species,how,time_in,time_out\n"
    "seen-1,watch-1,fox,seen,2026-05-12T05:10:00+01:00,2026-05-12T05:20:00+01:00\n"
)
Files = dict[str, Any]


def files(**changed: Any) -> Files:
    """Answer the files of a small sound folder, some of them changed (`sites` for sites.json)."""
    sound: Files = {
        "folder.json": FOLDER,
        "sites.json": [SITE],
        "perches.json": [PERCH],
        "vantages.json": [VANTAGE],
        "sightlines.json": [SIGHTLINE],
        "species.json": [FOX],
        "visits.csv": VISITS,
        "watches.csv": WATCHES,
        "sightings.csv": SIGHTINGS,
    }
    by_stem = {name.split(".")[0]: name for name in sound}
    for stem, content in changed.items():
        sound[by_stem.get(stem, f"{stem}.json")] = content
    return sound


def read(root: Path, content: Files) -> Folder:
    """Write files and read them as a folder."""
    for name, inner in content.items():
        path = root / name
        path.parent.mkdir(exist_ok=True)
        if isinstance(inner, bytes):
            path.write_bytes(inner)
        elif inner is not None:
            text = inner if isinstance(inner, str) else json.dumps(inner, indent=1)
            path.write_bytes(text.encode("utf-8"))
    return read_folder(root)


def faults(root: Path, content: Files) -> list[str]:
    return [fault.sentence for fault in read(root, content).faults]


def test_a_sound_folder(tmp_path: Path) -> None:
    folder = read(tmp_path, files())
    assert folder.faults == []
    assert folder.warnings == []
    assert (folder.name, folder.folder_id) == (FOLDER["name"], FOLDER["folder"])
    (sighting,) = folder.records["sighting"].values()
    assert folder.words[sighting.watch] == "watch-1"
    assert folder.records["watch"][sighting.watch].vantage in folder.records["vantage"]
    assert folder.records["species"][sighting.species].name == "Fox"


def test_every_file_but_the_folders_own_may_be_missing(tmp_path: Path) -> None:
    folder = read(tmp_path, {"folder.json": FOLDER})
    assert folder.faults == []
    assert not any(folder.records.values())


def test_a_mark_of_byte_order_and_windows_line_ends_are_tolerated(tmp_path: Path) -> None:
    content = {
        name: b"\xef\xbb\xbf"
        + (inner if isinstance(inner, str) else json.dumps(inner, indent=1))
        .replace("\n", "\r\n")
        .encode()
        for name, inner in files().items()
    }
    folder = read(tmp_path, content)
    assert folder.faults == []
    assert len(folder.records["sighting"]) == 1


def test_words_stand_for_the_same_ids_every_time_and_for_others_elsewhere(tmp_path: Path) -> None:
    first = read(tmp_path, files())
    assert read_folder(tmp_path).words == first.words
    other = {**FOLDER, "folder": "6ba7b811-9dad-41d1-80b4-00c04fd430c8"}
    assert not set(read(tmp_path, files(folder=other)).words) & set(first.words)


def test_ids_that_are_given_to_words_count(tmp_path: Path) -> None:
    given = "6ba7b812-9dad-41d1-80b4-00c04fd430c8"
    folder = read(tmp_path, files(ids={"marsh": given}))
    assert folder.faults == []
    assert list(folder.records["site"]) == [given]
    assert folder.words[given] == "marsh"
    # The id itself may be written in place of the word.
    perch = {**PERCH, "site": given}
    assert read(tmp_path, files(ids={"marsh": given}, perches=[perch])).faults == []


def test_the_settings_need_no_id_and_there_is_one_of_them(tmp_path: Path) -> None:
    folder = read(tmp_path, files(settings=[{"rest_days": 7}]))
    assert folder.faults == []
    (settings,) = folder.records["settings"].values()
    assert settings.rest_days == 7
    two = files(settings=[{"rest_days": 7}, {"id": "more", "rest_days": 8}])
    (fault,) = faults(tmp_path, two)
    assert fault == "settings.json, line 5: Are settings again; keep one object of them."


GAP = {"m": "12"}
NOON = "2026-05-12T12:00:00Z"
REACTIONS = "id,watch,what,at\nr,watch-1,alarm,2026-05-12T04:00:00+01:00\n"
CASES: list[tuple[Files, str]] = [
    (
        files(sightlines=[{**SIGHTLINE, "gap": GAP}]),
        'sightlines.json, line 7: gap.m: "12" is not a number; write it without quotes.',
    ),
    (
        files(perches=[{**PERCH, "site": "moor"}]),
        'perches.json, line 4: site: there is no site "moor"; write it down, or correct the id.',
    ),
    (
        files(perches=[{**PERCH, "site": "hide"}]),
        'perches.json, line 4: site: "hide" is a vantage; name a site here.',
    ),
    (
        files(sightlines=[{**SIGHTLINE, "perch": "marsh"}]),
        'sightlines.json, line 5: perch: "marsh" is a site; name a perch here.',
    ),
    (
        files(
            skylines=[{"id": "sky", "pin": "fox", "source": "sun on it", "at": "2026-05-12T05:00Z"}]
        ),
        'skylines.json, line 4: pin: "fox" is a species; name a perch or vantage here.',
    ),
    (
        files(tags=[{"id": "tag-1", "record": "nobody", "word": "calm"}]),
        'tags.json, line 4: record: there is no record "nobody"; write it down, or correct the id.',
    ),
    (
        files(perches=[{**PERCH, "id": "hide"}, PERCH]),
        'vantages.json, line 3: id: "hide" is already the id at perches.json, line 3; '
        "give one of them another.",
    ),
    (
        files(perches=[{**PERCH, "site": "The Marsh"}], sightlines=[]),
        'perches.json, line 4: site: "The Marsh" is neither a UUID nor a short word '
        "(small letters, digits and hyphens, at most 40).",
    ),
    (
        files(sites=[{**SITE, "zone": "Europe/Atlantis"}]),
        'sites.json, line 5: zone: "Europe/Atlantis" is not a time zone; '
        "use an IANA name, like Europe/Lisbon.",
    ),
    (
        files(sites=[{**SITE, "zone": "../../etc/passwd"}]),
        'sites.json, line 5: zone: "../../etc/passwd" is not a time zone; '
        "use an IANA name, like Europe/Lisbon.",
    ),
    (
        files(notes=[{"id": "n", "text": "x", "at": {"at": NOON, "zone": "CEST"}}]),
        'notes.json, line 7: at.zone: "CEST" is not a time zone; '
        "use an IANA name, like Europe/Lisbon.",
    ),
    (
        files(visits=VISITS.replace("07:35", "03:35"), watches="", sightings=""),
        "visits.csv, line 2: end: 2026-05-12 03:35+01:00 is before start, "
        "2026-05-12 04:35+01:00; correct one.",
    ),
    (
        files(
            permissions=[
                {
                    "id": "leave",
                    "site": "marsh",
                    "from_whom": "the warden",
                    "starts_on": "2026-05-01",
                    "ends_on": "2026-04-30",
                }
            ]
        ),
        "permissions.json, line 7: ends_on: 2026-04-30 is before starts_on, 2026-05-01; "
        "correct one of them.",
    ),
    (
        files(sightings=SIGHTINGS.replace("T05:20", "T07:31")),
        "sightings.csv, line 2: time_out: 2026-05-12 07:31+01:00 is outside its watch, "
        "2026-05-12 04:50+01:00 to 2026-05-12 07:30+01:00; correct one.",
    ),
    (
        files(watches=WATCHES.replace("T04:50", "T04:30")),
        "watches.csv, line 2: start: 2026-05-12 04:30+01:00 is outside its visit, "
        "2026-05-12 04:35+01:00 to 2026-05-12 07:35+01:00; correct one.",
    ),
    (
        {
            **files(),
            "reactions.csv": "id,watch,what,at\nr,watch-1,alarm,2026-05-12T04:00:00+01:00\n",
        },
        "reactions.csv, line 2: at: 2026-05-12 04:00+01:00 is outside its watch, "
        "2026-05-12 04:50+01:00 to 2026-05-12 07:30+01:00; correct one.",
    ),
    (
        files(sightings=SIGHTINGS.replace(",seen,", ",smelt,")),
        'sightings.csv, line 2: how: "smelt" is not one of the words here; '
        "use one of: seen, heard, sign, trail camera.",
    ),
    (
        files(kits='[\n{"a": 1,\n"a": 2}]'),
        'kits.json, line 3: the name "a" stands twice in one object; keep one of them.',
    ),
    (
        files(kits="[NaN]"),
        "kits.json, line 1: NaN is not a number in JSON; give a finite number or leave it out.",
    ),
    (
        files(kits="[" * 40),
        "kits.json, line 1: is nested deeper than 30 brackets; flatten it.",
    ),
    (
        files(kits={"id": "k"}),
        "kits.json, line 1: an object {…} is not a list; write the records in square brackets.",
    ),
    (files(kits="null"), "kits.json, line 1: holds null; write [] for no records."),
    (files(kits=[[]]), "kits.json, line 2: A list […] is not an object; write it in braces."),
    (
        files(folder={**FOLDER, "format": 2}),
        "folder.json, line 2: format: 2 is not read; it must be 1.",
    ),
    (
        files(folder={**FOLDER, "name": ""}),
        'folder.json, line 4: name: "" is no name; write a short text.',
    ),
    (
        files(ids={"marsh": "6ba7b812-9dad-41d1-80b4-00c04fd430c8", "Big Word": FOLDER["folder"]}),
        'ids.json, line 3: "Big Word": is no short word (small letters, digits and hyphens, '
        "at most 40).",
    ),
]


@pytest.mark.parametrize(("content", "sentence"), CASES)
def test_the_one_fault_of_a_folder(tmp_path: Path, content: Files, sentence: str) -> None:
    assert faults(tmp_path, content) == [sentence]


def test_one_fault_does_not_bring_many(tmp_path: Path) -> None:
    # A site that is refused is no missing site to its perches, nor is one in a file that is cut.
    no_zone = {key: value for key, value in SITE.items() if key != "zone"}
    assert len(faults(tmp_path, files(sites=[no_zone]))) == 1
    assert len(faults(tmp_path, files(sites='[{"id": "marsh"'))) == 1
    assert len(faults(tmp_path, files(visits=VISITS + '"'))) == 1


def test_so_many_faults_are_counted_after_a_while(tmp_path: Path) -> None:
    many = [{**PERCH, "id": f"post-{place}", "site": "moor"} for place in range(5_000)]
    found = faults(tmp_path, files(perches=many, sightlines=[]))
    assert len(found) == MOST_OF_A_FILE + 1
    assert found[-1] == (
        f"perches.json: has {5_000 - MOST_OF_A_FILE} more like these; "
        "mend the first ones and read again."
    )


def test_ten_megabytes_of_json_are_no_trouble_and_more_than_twenty_are_refused(
    tmp_path: Path,
) -> None:
    note = {"id": "n", "text": "x" * 19_000}
    notes = [{**note, "id": f"n-{place}"} for place in range(530)]
    folder = read(tmp_path, files(notes=notes))
    assert folder.faults == []
    assert len(folder.records["note"]) == 530
    (fault,) = faults(tmp_path, files(notes=notes * 2 + notes[:10]))
    assert fault.startswith("notes.json, line 1: is 20.")


def test_no_folder_and_no_folder_file(tmp_path: Path) -> None:
    (fault,) = read_folder(tmp_path / "nowhere").faults
    assert fault.sentence.endswith("nowhere: there is no such folder; check its name.")
    (fault,) = read_folder(tmp_path).faults
    assert fault.sentence.startswith('folder.json: is missing; write {"format": 1, "folder": "')


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs a named pipe")
def test_what_is_not_a_file_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "kits.json")
    (tmp_path / "notes.json").symlink_to("/etc/hostname")
    (tmp_path / "tags.json").mkdir()
    says = "is not a file of this folder; put the file itself there."
    assert sorted(faults(tmp_path, files())) == [
        f"kits.json: {says}",
        f"notes.json: {says}",
        f"tags.json: {says}",
    ]


def test_warnings_are_no_faults(tmp_path: Path) -> None:
    far = {"id": "m", "sightline": "hide-post", "distance": {"m": 150, "how": "rangefinder"}}
    content = files(
        folder={**FOLDER, "colour": "red"},
        sites=[SITE, {**SITE, "id": "marsh-2", "name": "the  Marsh"}],
        measurements=[far],
        plans=[],
        visits_old=[],
    )
    content["visits.json"] = []
    content["README.md"] = "# Notes"
    folder = read(tmp_path, content)
    assert folder.faults == []
    assert [warning.sentence for warning in folder.warnings] == [
        "folder.json, line 5: colour: is not known here and was passed over.",
        "plans.json: is no file of records and was not read; rename it or take it away.",
        "visits.json: is no file of records and was not read; write these records in visits.csv.",
        "visits_old.json: is no file of records and was not read; rename it or take it away.",
        # 0.0001° of latitude at 52° is 11.1 m (WGS 84).
        "measurements.json, line 5: distance: 150 m was measured, but the pins stand 11 m apart; "
        "check the pins and the figure.",
        'sites.json, line 14: name: "the  Marsh" is also the name at sites.json, line 3; '
        "give one of them another.",
    ]


@pytest.mark.parametrize("metres", [8, 11, 15, 25])
def test_pins_that_may_be_wrong_by_metres_are_no_warning(tmp_path: Path, metres: float) -> None:
    near = {"id": "m", "sightline": "hide-post", "distance": {"m": metres, "how": "pacing"}}
    assert read(tmp_path, files(measurements=[near])).warnings == []


def read_bearing(degrees: float, **more: Any) -> list[Any]:
    """Answer a measurement of the line from the hide to the post, which lies due south of it."""
    bearing = {"read_deg": degrees, "reference": "true", "how": "sighting compass", **more}
    return [{"id": "m", "sightline": "hide-post", "bearing": bearing}]


# Two pins good to 5 m each and 11.1 m apart leave atan(7.07 / 11.12) = 32.4° unsure; with the 2° of
# a sighting compass twice the combined ± is 65.0°.
@pytest.mark.parametrize(
    ("degrees", "says"),
    [
        (180, None),
        (180 + 64, None),
        (180 - 64, None),
        (180 + 66, "check the pins and the figure."),
        (180 - 66, "check the pins and the figure."),
        (0, "perhaps it was written backwards."),
        (44, "perhaps it was written backwards."),
        (316, "perhaps it was written backwards."),
        (46, "check the pins and the figure."),
    ],
)
def test_a_bearing_that_the_pins_deny(tmp_path: Path, degrees: float, says: str | None) -> None:
    warnings = read(tmp_path, files(measurements=read_bearing(degrees))).warnings
    assert [one.sentence for one in warnings] == (
        []
        if says is None
        else [
            f"measurements.json, line 5: bearing: {degrees}° true was measured, but from pin to "
            f"pin it is 180°; {says}"
        ]
    )


def test_pins_that_say_nothing_deny_no_bearing(tmp_path: Path) -> None:
    unsure = {**VANTAGE, "position": {"lat": 52.1001, "lon": -1.2, "accuracy_m": 10}}
    same = {**VANTAGE, "position": SITE["centre"]}
    for vantage in (unsure, same):
        content = files(vantages=[vantage], measurements=read_bearing(0))
        assert read(tmp_path, content).warnings == []


def test_a_magnetic_bearing_is_made_true_before_it_is_judged(tmp_path: Path) -> None:
    # At 70° N, 70° W a compass points 29.7° west of north in 2026 (wmm-calculator 1.4.4), so that
    # 210 magnetic is 180 true; two pins 56 m apart and good to 1 m allow no more than 5.
    def at(lat: float) -> dict[str, Any]:
        return {"lat": lat, "lon": -70.0, "accuracy_m": 1}

    site = {**SITE, "centre": at(70.0), "zone": "Europe/Lisbon"}
    content = files(
        sites=[site],
        perches=[{**PERCH, "position": at(70.0)}],
        vantages=[{**VANTAGE, "position": at(70.0005)}],
        measurements=read_bearing(210, reference="magnetic"),
    )
    assert read(tmp_path, content).warnings == []
    content["measurements.json"] = read_bearing(210)
    assert len(read(tmp_path, content).warnings) == 1


def test_a_pin_beyond_twenty_kilometres_is_named(tmp_path: Path) -> None:
    # A degree of latitude is 111.27 km at 52° (WGS 84): 0.179° is 19.9 km, 0.181° is 20.1 km.
    def mark(word: str, lat: float) -> dict[str, Any]:
        where = {"lat": lat, "lon": -1.2}
        return {"id": word, "site": "marsh", "name": word, "kind": "gate", "position": where}

    content = files(landmarks=[mark("near", 52.279), mark("far", 52.281)])
    assert [one.sentence for one in read(tmp_path, content).warnings] == [
        "landmarks.json, line 17: position: stands 20 km from the centre of The marsh; "
        "check both, digit by digit, and the signs."
    ]


@pytest.mark.parametrize(("kept", "told"), [(9, 0), (10, 0), (11, 1)])
def test_more_kept_than_taken_is_named(tmp_path: Path, kept: int, told: int) -> None:
    row = f"visit-1,marsh,2026-05-12T04:35:00+01:00,2026-05-12T07:35:00+01:00,10,{kept}\n"
    content = files(visits=f"id,site,start,end,frames,keepers\n{row}")
    assert [one.sentence for one in read(tmp_path, content).warnings] == [
        "visits.csv, line 2: keepers: 11 kept of 10 frames; correct one of the two."
    ] * told


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
