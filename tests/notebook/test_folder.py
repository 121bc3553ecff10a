"""A folder of records: read whole, every fault a sentence with its file and line."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from scout.notebook.findings import MOST_OF_A_FILE
from scout.notebook.folder import read_folder

from .small_folder import (
    FOLDER,
    PERCH,
    SIGHTINGS,
    SIGHTLINE,
    SITE,
    VISITS,
    WATCHES,
    Files,
    faults,
    files,
    read,
)


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
        {**files(), "reactions.csv": REACTIONS},
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
