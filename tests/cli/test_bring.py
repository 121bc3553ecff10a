"""Bringing files in at the terminal and looking through the list."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import gpxpy.gpx
import pytest

Run = Callable[..., Any]


@pytest.fixture
def mine(run: Run, place: Path) -> Path:
    run("load", "sample_site", "--notebook", "mine")
    made = gpxpy.gpx.GPX()
    for name, lat in (("Gate", 52.8701), ("Stile", 52.8702), ("Ford", 52.8703)):
        made.waypoints.append(gpxpy.gpx.GPXWaypoint(lat, -0.47, name=name))
    (place / "pins.gpx").write_text(made.to_xml())
    return place / "mine"


def test_points_are_brought_looked_through_taken_and_left(run: Run, mine: Path) -> None:
    brought = run("bring", "pins.gpx", "--notebook", "mine")
    assert "3 new on the list; 3 wait." in brought.output
    told = run("review", "--notebook", "mine").output
    assert "Gate, 52.87010 -0.47000, at Pellwick Meadows" in told
    assert "1 records written" not in told
    done = run("review", "--take", "1,3", "--as", "vantage", "--notebook", "mine")
    assert done.output == "2 records written.\n"
    assert run("review", "--leave", "1", "--notebook", "mine").exit_code == 0
    assert run("review", "--notebook", "mine").output.startswith("Nothing waits.")
    assert "0 new on the list" in run("bring", "pins.gpx", "--notebook", "mine").output


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("review --take 9", "numbers 1 to 0"),
        ("review --take x", "is no number of the list"),
        ("review --take 1-999999999999", "numbers 1 to"),
        ("bring nothing.gpx", "cannot be read"),
        ("bring sample_site", "say which perch"),
    ],
)
def test_refusals_name_the_way_out(run: Run, mine: Path, asked: str, says: str) -> None:
    done = run(*asked.split(), "--notebook", "mine")
    assert done.exit_code == 2
    assert says in done.output
