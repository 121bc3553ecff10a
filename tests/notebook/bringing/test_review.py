"""The list to look through: nothing lands unreviewed, nothing comes twice."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from scout.installed import sample_site_folder
from scout.notebook.bringing import review
from scout.notebook.bringing.camera import camera_folder
from scout.notebook.bringing.points import Point
from scout.notebook.folder import read_folder
from scout.notebook.leaving import folder_of
from scout.notebook.notebook import Notebook, open_notebook
from scout.records.trouble import Refused


def now() -> dt.datetime:
    return dt.datetime(2026, 5, 12, 5, 0, tzinfo=dt.UTC)


@pytest.fixture
def mine(tmp_path: Path) -> Any:
    with open_notebook(tmp_path / "mine", now, create=True) as notebook:
        folder = read_folder(sample_site_folder())
        notebook.load(folder, folder.photo_paths)
        yield notebook


def point(name: str = "Oak", lat: float = 52.871, lon: float = -0.469) -> Point:
    return Point(name=name, lat=lat, lon=lon, elevation_m=40.0, at=None, text="leans east")


def records(notebook: Notebook) -> Any:
    return folder_of(notebook, standing_only=True).records


def count(notebook: Notebook) -> int:
    return sum(len(of) for of in records(notebook).values())


def test_nothing_lands_until_it_is_taken(mine: Notebook) -> None:
    before = count(mine)
    assert review.bring_points(mine.folder, [point()], records(mine), "a.gpx", None) == 1
    assert count(mine) == before
    assert review.take(mine, review.waiting(mine.folder), pin_kind="perch") == 1
    (perch,) = [one for one in records(mine)["perch"].values() if one.name == "Oak"]
    assert perch.ground_elevation.m == 40.0
    assert review.waiting(mine.folder) == []


def test_the_same_file_adds_nothing_twice_whether_taken_or_left(mine: Notebook) -> None:
    several = [point("Oak"), point("Ash", lat=52.872)]
    review.bring_points(mine.folder, several, records(mine), "a.gpx", None)
    assert review.bring_points(mine.folder, several, records(mine), "b.gpx", None) == 0
    oak, ash = review.waiting(mine.folder)
    review.take(mine, [oak])
    review.leave(mine.folder, [ash])
    assert review.bring_points(mine.folder, several, records(mine), "a.gpx", None) == 0
    assert review.waiting(mine.folder) == []
    names = {one.name for one in records(mine)["landmark"].values()}
    assert "Oak" in names
    assert "Ash" not in names


def test_a_point_far_from_every_site_asks_for_one(mine: Notebook) -> None:
    with pytest.raises(Refused, match="km from every site"):
        review.bring_points(mine.folder, [point(lat=10.0)], records(mine), "a.gpx", None)
    assert review.waiting(mine.folder) == []


def shot(folder: Path, name: str, at: str, offset: str | None = None) -> None:
    told = Image.Exif()
    told.get_ifd(0x8769)[0x9003] = at
    if offset:
        told.get_ifd(0x8769)[0x9011] = offset
    Image.new("RGB", (64, 48), (len(name), int(at[-2:]), int(at[14:16]))).save(
        folder / name, exif=told
    )


@pytest.fixture
def trail(tmp_path: Path) -> Path:
    folder = tmp_path / "trail"
    folder.mkdir()
    for name, at in (
        ("1.jpg", "2026:05:02 04:10:00"),
        ("2.jpg", "2026:05:02 04:14:30"),
        ("3.jpg", "2026:05:02 04:19:31"),  # over five minutes later
    ):
        shot(folder, name, at)
    Image.new("RGB", (8, 8)).save(folder / "4.jpg")
    (folder / "5.jpg").write_bytes(b"torn")
    (folder / "read me.txt").write_text("x")
    return folder


def test_a_trail_camera_becomes_a_watch_and_its_presences(mine: Notebook, trail: Path) -> None:
    perch = next(one for one in records(mine)["perch"].values())
    found = camera_folder(trail, "Europe/London", clock_fast_s=60)
    assert [len(one.shots) for one in found.presences] == [2, 1]
    # British summer time (tz database) is an hour ahead, and the clock a minute fast.
    assert found.presences[0].shots[0].at == dt.datetime(2026, 5, 2, 3, 9, tzinfo=dt.UTC)
    assert len(found.passed_over) == 2
    assert review.bring_camera(mine.folder, found, perch, "trail") == 3
    sightings = [one for one in review.waiting(mine.folder) if one.kind == "sighting"]
    with pytest.raises(Refused, match="which species"):
        review.take(mine, sightings)
    otter = next(one.id for one in records(mine)["species"].values() if one.name == "Otter")
    assert review.take(mine, sightings[:1], species=otter) == 3  # watch, sighting, its picture
    held = records(mine)
    watch = held["watch"][sightings[0].needs]
    assert watch.trail_camera
    seen = [one for one in held["sighting"].values() if one.watch == watch.id]
    assert [one.how for one in seen] == ["trail camera"]
    photos = [one for one in held["photo"].values() if one.file_name == "1.jpg"]
    assert mine.blobs.is_sound(photos[0].blob)
    assert [one.kind for one in review.waiting(mine.folder)] == ["sighting"]


def test_a_picture_that_names_its_zone_is_believed(tmp_path: Path) -> None:
    shot(tmp_path, "1.jpg", "2026:05:02 04:10:00", "-05:00")
    (one,) = camera_folder(tmp_path, "Europe/London").presences
    assert one.shots[0].at == dt.datetime(2026, 5, 2, 9, 10, tzinfo=dt.UTC)
    assert not one.shots[0].is_zone_assumed


def test_a_damaged_list_says_so_and_is_kept(mine: Notebook) -> None:
    (mine.folder / review.FILE).write_text("{")
    with pytest.raises(Refused, match="damaged"):
        review.waiting(mine.folder)
    assert (mine.folder / review.FILE).read_text() == "{"
