"""The sample folder: written by its script, read without faults, true to the sky and the compass.

Not for: the folder format itself, or what a card says about the sample.
"""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import importlib.resources
import itertools
import json
import math
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from geographiclib.geodesic import Geodesic
from PIL import ExifTags, Image, ImageChops, ImageStat
from pygeomag import GeoMag
from skyfield.api import load, load_file, wgs84

from scout.notebook.folder import Folder, read_folder

SAMPLE = Path(__file__).resolve().parent.parent / "sample_site"
Record = Any


@pytest.fixture(scope="module")
def sample() -> Folder:
    return read_folder(SAMPLE)


@pytest.fixture(scope="module")
def anew(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sample")
    subprocess.run(
        [sys.executable, "-B", str(SAMPLE / "make.py"), str(folder)], check=True, timeout=120
    )
    return folder


def test_the_script_writes_the_same_records(anew: Path) -> None:
    names = sorted(path.name for path in anew.iterdir() if path.is_file())
    kept = sorted(path.name for path in SAMPLE.iterdir() if path.suffix in (".json", ".csv"))
    assert names == kept
    for name in names:
        if name != "photos.json":
            assert (anew / name).read_bytes() == (SAMPLE / name).read_bytes(), name


def test_the_script_writes_the_same_land(anew: Path) -> None:
    """Compare heights and edges: the files' bytes follow the packer's version."""
    names = sorted(path.name for path in (SAMPLE / "land").iterdir())
    assert sorted(path.name for path in (anew / "land").iterdir()) == names
    for name in names:
        one, other = anew / "land" / name, SAMPLE / "land" / name
        if name.endswith(".json"):
            assert json.loads(one.read_text("utf-8")) == json.loads(other.read_text("utf-8"))
            continue
        assert other.stat().st_size < 200_000
        with rasterio.open(one) as fresh, rasterio.open(other) as kept:
            assert fresh.bounds == kept.bounds
            assert fresh.crs == kept.crs
            assert np.abs(fresh.read(1) - kept.read(1)).max() <= 0.021


def test_the_script_writes_the_same_photos(anew: Path) -> None:
    """Compare by picture, size and EXIF: the JPEG's bytes follow the encoder's version."""
    texts = [json.loads((folder / "photos.json").read_text("utf-8")) for folder in (anew, SAMPLE)]
    for fresh, kept in zip(*texts, strict=True):
        assert {**fresh, "blob": ""} == {**kept, "blob": ""}
        data = (SAMPLE / "photos" / kept["file_name"]).read_bytes()
        assert hashlib.sha256(data).hexdigest() == kept["blob"]
        assert len(data) <= 25_000
        with (
            Image.open(anew / "photos" / fresh["file_name"]) as one,
            Image.open(SAMPLE / "photos" / kept["file_name"]) as other,
        ):
            assert one.size == other.size == (640, 427)
            assert _exif(one) == _exif(other)
            apart = ImageStat.Stat(ImageChops.difference(one.convert("L"), other.convert("L")))
            assert apart.mean[0] < 2.0


def _exif(picture: Image.Image) -> list[dict[int, Any]]:
    exif = picture.getexif()
    return [dict(exif.get_ifd(part)) for part in (ExifTags.IFD.Exif, ExifTags.IFD.GPSInfo)]


def test_the_folder_reads_without_a_word(sample: Folder) -> None:
    assert [str(one) for one in sample.faults] == []
    assert [str(one) for one in sample.warnings] == []
    assert len(sample.photo_paths) == 12


def test_a_spoilt_folder_is_not_read_without_a_word(anew: Path, tmp_path: Path) -> None:
    """The check above would pass on a reader that sees nothing."""
    for path in anew.iterdir():
        if path.is_file():
            text = path.read_text("utf-8")
            if path.name == "sightlines.json":
                text = text.replace('"perch": "seep"', '"perch": "no-such-perch"')
            (tmp_path / path.name).write_text(text, "utf-8")
    assert any(one.file == "sightlines.json" for one in read_folder(tmp_path).faults)


def test_it_is_large_enough_to_show_everything(sample: Folder) -> None:
    kinds = sample.records
    assert len(kinds["site"]) == 2
    assert 7 <= len(kinds["perch"]) <= 10
    assert 5 <= len(kinds["vantage"]) <= 7
    assert 10 <= len(kinds["sightline"]) <= 14
    assert len(kinds["species"]) == 4
    assert len(kinds["kit"]) == 2
    assert len(kinds["visit"]) >= 45
    unused = {kind for kind, kept in kinds.items() if not kept}
    assert unused <= {"layer", "settings"}
    assert {perch.kind for perch in kinds["perch"].values()} >= {
        *("branch", "post", "ground", "water edge", "crossing"),
    }
    covers = {vantage.cover for vantage in kinds["vantage"].values()}
    assert covers == {"hide", "vehicle", "natural cover", "open"}
    assert sum(site.code_name is not None for site in kinds["site"].values()) == 1
    assert {one.places for one in kinds["species"].values()} >= {"open", "withheld"}
    assert {how.how for how in kinds["sighting"].values()} == {
        *("seen", "heard", "sign", "trail camera"),
    }
    assert sum(visit.end_unsure is True for visit in kinds["visit"].values()) == 1
    assert any(perch.closed for perch in kinds["perch"].values())


def test_over_a_third_of_the_visits_are_blank(sample: Folder) -> None:
    watches, visits = sample.records["watch"], sample.records["visit"]
    told = {watches[one.watch].visit for one in sample.records["sighting"].values()}
    assert len(visits) / 3 <= sum(name not in told for name in visits) <= len(visits) / 2


def test_two_people_watched_one_perch_on_one_morning(sample: Folder) -> None:
    visits = sample.records["visit"]
    watches = [one for one in sample.records["watch"].values() if one.visit is not None]
    together = [
        (one, other)
        for one, other in itertools.combinations(watches, 2)
        if visits[one.visit].by != visits[other.visit].by
        and set(one.perches) & set(other.perches)
        and one.start.at < other.end.at
        and other.start.at < one.end.at
    ]
    assert len(together) == 1


def test_the_last_reactions_ask_for_a_rest(sample: Folder) -> None:
    last, before = sorted(
        sample.records["reaction"].values(), key=lambda one: one.at.at, reverse=True
    )[:2]
    watches = sample.records["watch"]
    assert watches[last.watch].vantage == watches[before.watch].vantage
    assert last.at.at - before.at.at < dt.timedelta(days=14)
    end = max(one.start.at for one in sample.records["visit"].values())
    assert end - last.at.at < dt.timedelta(days=14)


def test_readings_at_like_sky_suffice_for_a_correction(sample: Folder) -> None:
    words = sample.words
    kinds = [
        (words[one.site], one.sky, one.leaf) for one in sample.records["light_reading"].values()
    ]
    assert kinds.count(("pellwick", "clear", "in leaf")) >= 4
    assert kinds.count(("pellwick", "clear", "bare")) >= 4


def test_measurements_agree_with_the_pins(sample: Folder) -> None:
    """Against geographiclib: bearing and distance within the ± of reading and pins together."""
    kinds = sample.records
    for one in kinds["measurement"].values():
        line = kinds["sightline"][one.sightline]
        start, end = kinds["vantage"][line.vantage].position, kinds["perch"][line.perch].position
        found = Geodesic.WGS84.Inverse(start.lat, start.lon, end.lat, end.lon)
        pins = math.hypot(start.accuracy_m, end.accuracy_m)
        assert abs(one.distance.m - found["s12"]) <= pins + one.distance.plus_minus_m
        swing = math.degrees(math.atan2(pins, found["s12"])) + one.bearing.plus_minus_deg
        assert _apart(one.bearing.true_deg, found["azi1"]) <= swing
        if one.tilt is not None:
            perch, vantage = kinds["perch"][line.perch], kinds["vantage"][line.vantage]
            rise = perch.ground_elevation.m + perch.height_m
            rise -= vantage.ground_elevation.m + vantage.lens_height_m
            assert abs(one.tilt.deg - math.degrees(math.atan2(rise, found["s12"]))) <= 2.5


def test_one_sightline_hangs_on_poor_pins_and_one_was_measured_twice(sample: Folder) -> None:
    by_line: dict[str, set[str]] = {line: set() for line in sample.records["sightline"]}
    for one in sample.records["measurement"].values():
        by_line[one.sightline].add(one.by)
    words = sample.words
    assert [words[line] for line, people in by_line.items() if not people] == ["ride-seep"]
    assert [words[line] for line, people in by_line.items() if len(people) == 2] == ["pump-post"]
    line = next(one for key, one in sample.records["sightline"].items() if not by_line[key])
    assert sample.records["vantage"][line.vantage].position.accuracy_m == 8
    assert sample.records["perch"][line.perch].position.accuracy_m == 8


def test_magnetic_readings_agree_with_the_field_model(sample: Folder) -> None:
    """World Magnetic Model 2025 by pygeomag: true = read + declination, to the tenth written."""
    model = GeoMag(coefficients_file="wmm/WMM_2025.COF")
    kinds = sample.records
    for one in kinds["measurement"].values():
        assert one.bearing.reference == "magnetic"
        pin = kinds["vantage"][kinds["sightline"][one.sightline].vantage].position
        day = one.at.at
        year = day.year + (day.timetuple().tm_yday - 1) / 365
        east = model.calculate(pin.lat, pin.lon, 0.03, year).d
        assert 0.5 < east < 1.2
        assert _apart(one.bearing.true_deg, one.bearing.read_deg + east) <= 0.06


def _apart(one_deg: float, other_deg: float) -> float:
    return abs((one_deg - other_deg + 180.0) % 360.0 - 180.0)


Sky = Callable[[dt.datetime], tuple[float, float]]


@pytest.fixture(scope="module")
def sun_over(sample: Folder) -> Iterator[Sky]:
    """Yield azimuth and apparent altitude of the sun over the first site, by skyfield and DE421."""
    # Not by the package's own function, which warns of tables other than the ephemeris.
    data = Path(str(importlib.resources.files("skyfield_data"))) / "data"
    eph = load_file(str(data / "de421.bsp"))
    times = load.timescale(builtin=True)  # UT1 is UTC to a second: 0.004 degrees of turn
    site = next(one for one in sample.records["site"].values() if one.code_name is None)
    here = eph["earth"] + wgs84.latlon(site.centre.lat, site.centre.lon)

    def sun(at: dt.datetime) -> tuple[float, float]:
        seen = here.at(times.from_datetime(at)).observe(eph["sun"]).apparent()
        altitude, azimuth, _ = seen.altaz(temperature_C=10.0, pressure_mbar=1010.0)
        return azimuth.degrees, altitude.degrees

    yield sun
    eph.close()


def _line_at(nodes: list[tuple[float, float]], azimuth_deg: float) -> float:
    for (a, low), (b, high) in itertools.pairwise(nodes):
        if a <= azimuth_deg <= b:
            return low + (high - low) * (azimuth_deg - a) / (b - a)
    raise AssertionError(f"no skyline at {azimuth_deg}")


def test_taps_were_made_when_the_sun_stood_on_the_true_skyline(
    sample: Folder, sun_over: Sky, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(str(SAMPLE))
    from making.sunlight import SKYLINES

    truth = list(SKYLINES["ditch-post"])
    taps = [one for one in sample.records["skyline"].values() if one.source.startswith("sun o")]
    assert {one.source for one in taps} == {"sun on it", "sun off it"}
    aimed = next(
        one
        for one in sample.records["skyline"].values()
        if one.pin == taps[0].pin and one.source == "aimed"
    )
    recorded = [(node.azimuth_deg, node.altitude_deg) for node in aimed.nodes]
    for tap in taps:
        azimuth, altitude = sun_over(tap.at.at)
        assert abs(altitude - _line_at(truth, azimuth)) <= 0.05
        assert abs(altitude - _line_at(recorded, azimuth)) <= aimed.altitude_plus_minus_deg
        assert any(
            sample.words[visit.site] == "pellwick" and visit.start.at < tap.at.at < visit.end.at
            for visit in sample.records["visit"].values()
        )


def test_the_main_bird_comes_after_the_sun_and_is_gone_by_mid_morning(
    sample: Folder, sun_over: Sky, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(str(SAMPLE))
    from making.sunlight import SKYLINES

    stays = [
        one
        for one in sample.records["sighting"].values()
        if sample.words[one.species] == "stonechat"
        and one.how == "seen"
        and sample.words[one.perch] in ("ditch-post", "bramble-spray")
        and one.time_in.at.hour < 12
    ]
    assert len(stays) >= 20
    for one in stays:
        truth = list(SKYLINES[sample.words[one.perch]])
        for minutes, lit in ((18, True), (82, False)):
            azimuth, altitude = sun_over(one.time_in.at - dt.timedelta(minutes=minutes))
            above = bool(azimuth >= truth[0][0] and altitude > _line_at(truth, azimuth))
            assert above is lit, one
        assert one.time_out.at - one.time_in.at <= dt.timedelta(minutes=5)


def test_whoever_measured_or_wrote_was_there(sample: Folder) -> None:
    kinds = sample.records
    lines, perches = kinds["sightline"], kinds["perch"]
    told = [
        (one.id, kinds["vantage"][lines[one.sightline].vantage].site, one.at.at, one.by)
        for one in kinds["measurement"].values()
    ]
    for kind, pin in (("skyline", "pin"), ("canopy", "perch")):
        told += [
            (one.id, perches[getattr(one, pin)].site, one.at.at, None)
            for one in kinds[kind].values()
        ]
    for kind in ("photo", "note", "light_reading"):
        told += [(one.id, one.site, one.at.at, None) for one in kinds[kind].values()]
    assert len(told) >= 50
    for name, site, at, by in told:
        assert any(
            visit.site == site and visit.start.at <= at <= visit.end.at and by in (None, visit.by)
            for visit in kinds["visit"].values()
        ), sample.words[name]


@pytest.mark.parametrize("month", range(1, 13))
@pytest.mark.parametrize("session", ["dawn", "dusk"])
def test_on_any_day_some_sightline_has_the_light_it_wants(
    sample: Folder,
    sun_over: Sky,
    monkeypatch: pytest.MonkeyPatch,
    month: int,
    session: str,
) -> None:
    """Half an hour of it for the main bird, whenever the sample is shown.

    Front, side and back part at 45 and 135 degrees of sun from lens: common practice, no source.
    """
    monkeypatch.syspath_prepend(str(SAMPLE))
    from making.ground import between
    from making.lines import SIGHTLINES
    from making.sunlight import SKYLINES, reaches

    day = dt.date(2027, month, 21)
    level = reaches("pellwick", day, -0.833, rising=session == "dawn")
    way = 10 if session == "dawn" else -10
    times = [level + dt.timedelta(minutes=way * step) for step in range(19)]
    skies = [sun_over(at) for at in times]
    minutes = {}
    for name, (vantage, perch, wanted, *_) in SIGHTLINES.items():
        shut = perch == "gorse-bank" and 3 <= month <= 7
        if perch not in ("ditch-post", "bramble-spray", "gorse-bank") or shut:
            continue
        to_lens = between(perch, vantage)[0]
        minutes[name] = 0
        for azimuth, altitude in skies:
            angle = _apart(azimuth, to_lens)
            side = "front" if angle < 45 else "side" if angle <= 135 else "back"
            if side == wanted and altitude > _line_at(list(SKYLINES[perch]), azimuth):
                minutes[name] += 10
    assert max(minutes.values()) >= 30, minutes


def test_the_examples_in_the_description_can_be_added(tmp_path: Path) -> None:
    """Put every example of README.md into a copy of the folder, where its fence and fields say."""
    copy = tmp_path / "copy"
    shutil.copytree(SAMPLE, copy)
    text = (SAMPLE / "README.md").read_text("utf-8")
    fences = re.findall(r"```(json)?\n(.*?)```", text, flags=re.DOTALL)
    for language, body in fences:
        if language != "json":
            with (copy / "visits.csv").open("a", encoding="utf-8") as table:
                table.write(body)
            continue
        record = json.loads(body)
        name = "sightlines" if "vantage" in record else "skylines"
        name = "measurements" if "sightline" in record else name
        path = copy / f"{name}.json"
        path.write_text(json.dumps([*json.loads(path.read_text("utf-8")), record]), "utf-8")
    before, after = read_folder(SAMPLE), read_folder(copy)
    assert [str(one) for one in after.faults + after.warnings] == []
    counts = [sum(len(kept) for kept in one.records.values()) for one in (before, after)]
    assert counts[1] == counts[0] + len(fences) == counts[0] + 4


def test_every_photo_says_no_more_than_its_file(sample: Folder) -> None:
    offsets = headings = without = 0
    for key, path in sample.photo_paths.items():
        photo = sample.records["photo"][key]
        with Image.open(path) as picture:
            shot, place = _exif(picture)
        without += not shot
        offsets += ExifTags.Base.OffsetTimeOriginal in shot
        headings += ExifTags.GPS.GPSImgDirection in place
        assert (photo.exposure is not None) == (ExifTags.Base.ExposureTime in shot)
        assert (photo.position is not None) == (ExifTags.GPS.GPSLatitude in place)
        if photo.position is not None:
            for name, degrees in (
                ("Latitude", photo.position.lat),
                ("Longitude", photo.position.lon),
            ):
                whole, minutes, seconds = place[ExifTags.GPS[f"GPS{name}"]]
                sign = -1 if place[ExifTags.GPS[f"GPS{name}Ref"]] in "SW" else 1
                written = float(whole) + float(minutes) / 60 + float(seconds) / 3600
                assert abs(sign * written - degrees) < 1e-5
        if photo.exposure is not None:
            assert float(shot[ExifTags.Base.ExposureTime]) == pytest.approx(
                photo.exposure.shutter_s, abs=1e-6
            )
            local = f"{photo.at.at:%Y:%m:%d %H:%M:%S}"
            assert shot[ExifTags.Base.DateTimeOriginal] == local
    assert without == 1
    assert offsets == 10
    assert headings >= 6


def test_csv_tables_keep_to_the_columns_of_their_kind() -> None:
    for path in SAMPLE.glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as table:
            rows = list(csv.reader(table))
        assert len({len(row) for row in rows}) == 1, path.name


def test_no_name_of_a_camera_or_of_a_real_place_slips_in() -> None:
    """A photo's EXIF names neither maker nor software, so that nothing but the scene is told."""
    for path in (SAMPLE / "photos").iterdir():
        with Image.open(path) as picture:
            named = set(picture.getexif()) & {271, 272, 305, 315, 33432}
        assert named == set(), path.name
