"""Letting things out at the terminal: said beforehand, whole or not at all, written down."""

from __future__ import annotations

import json
import sqlite3
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import gpxpy
import pytest
from click.testing import CliRunner
from icalendar import Calendar

from scout.cli import main

Run = Callable[..., Any]


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ("geojson", "pins.geojson"),
        ("gpx", "pins.gpx"),
        ("csv", "pins.zip"),
        ("photos", "pictures.zip"),
        ("calendar --site pellwick --kit long --from 2026-05-12", "mornings.ics"),
        ("ranger --site pellwick --from 2026-01-01 --until 2026-12-31", "ranger.html"),
    ],
)
def test_each_kind_of_file_is_written_and_says_what_left(
    run: Run, place: Path, asked: str, name: str
) -> None:
    what, *options = asked.split()
    done = run("export", what, name, "--folder", "sample_site", *options)
    assert done.exit_code == 0, done.output
    assert (place / name).stat().st_size > 0
    assert "ithheld" in done.output or "positions" in done.output or "name and time" in done.output


def test_the_files_are_what_they_say_they_are(run: Run, place: Path) -> None:
    run("export", "gpx", "pins.gpx", "--folder", "sample_site")
    assert gpxpy.parse((place / "pins.gpx").read_text()).waypoints
    options = ("--site", "hobthorn", "--kit", "long", "--species", "roe", "--from", "2026-05-12")
    run("export", "calendar", "m.ics", "--folder", "sample_site", *options)
    events = Calendar.from_ical((place / "m.ics").read_bytes()).walk("VEVENT")
    assert {str(event["SUMMARY"]) for event in events} == {"Slate, dawn"}  # its code name
    run("export", "everything", "all.zip", "--folder", "sample_site", "--yes")
    with zipfile.ZipFile(place / "all.zip") as bundle:
        assert bundle.testzip() is None
        assert b"Not in it: 7 elevation models" in bundle.read("NOT_IN_IT.txt")
        bundle.extractall(place / "back")
    assert run("check", "back").exit_code == 0


def test_a_calendar_holds_the_mornings_that_the_choice_calls_worth_it(
    run: Run, place: Path, own_site: Path
) -> None:
    settings = [{"id": "settings", "worth_share": 0.3}]
    (own_site / "settings.json").write_text(json.dumps(settings), "utf-8")
    where = ("--folder", str(own_site), "--site", "pellwick", "--kit", "long")
    run("export", "calendar", "m.ics", *where, "--from", "2026-05-12")
    events = Calendar.from_ical((place / "m.ics").read_bytes()).walk("VEVENT")
    asked = ("--on", "2026-05-12", "--days", "14", "--session", "dawn", "--json")
    (row,) = json.loads(run("choose", *where, *asked).stdout)["rows"]
    said = {cell["date"]: cell["verdict"].startswith("Worth it") for cell in row["cells"]}
    assert set(said.values()) == {True, False}
    going = {event["DTEND"].dt.date().isoformat() for event in events}
    assert going == {date for date, worth in said.items() if worth}


def test_full_precision_asks_once_more(place: Path) -> None:
    asked = ["export", "geojson", "p.geojson", "--folder", "sample_site", "--full-precision"]
    done = CliRunner().invoke(main, asked, input="n\n")
    assert done.exit_code == 2
    assert "ALL at full precision" in done.output
    assert not (place / "p.geojson").exists()
    assert CliRunner().invoke(main, asked, input="y\n").exit_code == 0
    assert (place / "p.geojson").exists()


def test_what_left_is_written_down_in_the_notebook(run: Run, place: Path) -> None:
    run("load", "sample_site", "--notebook", "mine")
    assert run("export", "gpx", "pins.gpx", "--folder", "mine").exit_code == 0
    with sqlite3.connect(place / "mine" / "notebook.db") as db:
        rows = db.execute("SELECT what, detail FROM audit WHERE what = 'export'").fetchall()
    db.close()
    assert len(rows) == 1
    assert rows[0][1].startswith("gpx: 17 pins")
    assert "52." not in rows[0][1]


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("export geojson pins.json", "must end in .geojson"),
        ("export gpx nowhere/pins.gpx", "there is no folder nowhere"),
        ("export ranger r.html", "say which site"),
        (
            "export ranger r.html --site pell --from 2026-06-01 --until 2026-05-01",
            "turn them round",
        ),
        ("export gpx pins.gpx --site atlantis", "there is no site"),
    ],
)
def test_refusals_name_the_way_out(run: Run, asked: str, says: str) -> None:
    done = run(*asked.split(), "--folder", "sample_site")
    assert done.exit_code == 2
    assert says in done.output
