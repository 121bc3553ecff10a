"""Reading one record: all faults at once, in words, and the short forms in which people write."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

import pytest

from scout.records.kinds import read_part, read_record, write_record
from scout.records.measured import (
    BEARING_HOW,
    DISTANCE_HOW,
    HEIGHT_HOW,
    TILT_HOW,
    Bearing,
    Distance,
    Gap,
    Moment,
    Position,
)
from scout.records.trouble import Refused
from scout.records.ways import HOW, plus_minus

ID = "6ba7b810-9dad-41d1-80b4-00c04fd430c8"
SITE: dict[str, Any] = {
    "id": ID,
    "name": "Reed corner",
    "zone": "Europe/Lisbon",
    "centre": {"lat": 52.1, "lon": -1.2},
}
KIT: dict[str, Any] = {
    "id": ID,
    "name": "Slow zoom",
    "sensor_width_mm": 23.5,
    "sensor_height_mm": 15.6,
    "pixels_wide": 6000,
    "pixels_high": 4000,
    "iso_ceiling": 3200,
    "focal_mm": 400,
    "apertures": [{"focal_mm": 100, "f_number": 5}, {"focal_mm": 300, "f_number": 6.3}],
}
VISIT: dict[str, Any] = {"id": ID, "site": ID, "start": "2026-05-12T04:35:00+01:00"}
MEASUREMENT: dict[str, Any] = {"id": ID, "sightline": ID}
SKYLINE: dict[str, Any] = {
    "id": ID,
    "pin": ID,
    "source": "aimed",
    "nodes": [{"azimuth_deg": 90, "altitude_deg": 3}],
}
SIGHTLINE: dict[str, Any] = {"id": ID, "vantage": ID, "perch": ID}


def sentences(kind: str, raw: object) -> list[str]:
    """Answer what is said of a record that is refused."""
    with pytest.raises(Refused) as refusal:
        read_record(kind, raw)
    return [trouble.sentence for trouble in refusal.value.troubles]


@pytest.mark.parametrize(
    ("kind", "raw", "sentence"),
    [
        (
            "site",
            {**SITE, "centre": {"lat": 91, "lon": 0}},
            "centre.lat: 91 is out of range; give between -90 and 90 °.",
        ),
        (
            "visit",
            {**VISIT, "start": "2026-05-12T04:35:00"},
            'start: "2026-05-12T04:35:00" lacks its offset from UTC; add it, like +01:00 or Z.',
        ),
        (
            "visit",
            {**VISIT, "start": "1026-05-12T04:35:00Z"},
            'start: "1026-05-12T04:35:00Z" is outside the years 1950 to 2100; check the year.',
        ),
        (
            "measurement",
            {**MEASUREMENT, "bearing": {"read_deg": 400, "reference": "true"}},
            "bearing.read_deg: 400 is out of range; give between 0 and 360 °.",
        ),
        (
            "skyline",
            {
                **SKYLINE,
                "nodes": [
                    {"azimuth_deg": 0, "altitude_deg": 3},
                    {"azimuth_deg": 360, "altitude_deg": 4},
                ],
            },
            "nodes: two nodes stand at azimuth 0°; keep one of them.",
        ),
        (
            "skyline",
            {"id": ID, "pin": ID, "source": "sun on it"},
            "at: is missing; a tap needs the time at which it was made.",
        ),
        (
            "measurement",
            {**MEASUREMENT, "distance": {"m": 0}},
            "distance.m: 0 is out of range; give between 0.01 and 100000 m.",
        ),
        (
            "sightline",
            {**SIGHTLINE, "gap": {"m": "12"}},
            'gap.m: "12" is not a number; write it without quotes.',
        ),
        (
            "sightline",
            {**SIGHTLINE, "gap": {"m": 12, "sky": True}},
            'gap: needs either "m" (metres behind the perch) or "sky": true, and not both.',
        ),
        (
            "kit",
            {**KIT, "apertures": [{"focal_mm": 100, "f_number": 0}]},
            "apertures[1].f_number: 0 is out of range; "
            "give more than 0.5 f-number and at most 128.",
        ),
        (
            "kit",
            {**KIT, "iso_base": 6400},
            "iso_ceiling: 3200 is below the base ISO 6400; raise it or lower the base.",
        ),
        (
            "kit",
            {key: value for key, value in KIT.items() if key != "pixels_wide"},
            "pixels_wide: is missing; give the pixels across in px.",
        ),
        ("site", {**SITE, "name": " "}, "name: is blank; write something short."),
    ],
)
def test_the_sentence(kind: str, raw: object, sentence: str) -> None:
    assert sentences(kind, raw) == [sentence]


def test_all_faults_come_at_once_each_with_its_path() -> None:
    raw = {"name": 7, "centre": {"lat": float("nan")}, "closed": [{"from_day": "02-30"}], "size": 1}
    assert {sentence.split(":")[0] for sentence in sentences("site", raw)} == {
        "id",
        "name",
        "zone",
        "centre.lat",
        "centre.lon",
        "closed[1].from_day",
        "closed[1].to_day",
        "size",
    }


@pytest.mark.parametrize("raw", [None, 12, "x", [], [SITE]])
def test_a_record_is_an_object(raw: object) -> None:
    (sentence,) = sentences("site", raw)
    assert sentence.endswith("is not an object; write it in braces.")


def test_null_and_blank_text_stand_for_not_known() -> None:
    plain = read_record("site", SITE)
    assert read_record("site", {**SITE, "access": None, "closed": None}) == plain
    assert read_record("site", {**SITE, "access": " \n"}) == plain
    assert read_part("site", "closed", None) == ()
    assert read_part("site", "access", None) is None


def test_a_needed_register_cannot_be_cleared() -> None:
    with pytest.raises(Refused, match=r"^name: is needed and cannot be cleared; give the name\.$"):
        read_part("site", "name", None)


@pytest.mark.parametrize("name", ["id", "size", "", "a\nb"])
def test_no_such_register(name: str) -> None:
    with pytest.raises(Refused, match="is not a register of this kind; the registers are: name,"):
        read_part("site", name, "x")


@pytest.mark.parametrize(
    ("written", "utc"),
    [
        # RFC 3339, section 5.8, examples.
        ("1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50.520000"),
        ("1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57"),
        ("2026-05-12 04:35+01:00", "2026-05-12T03:35:00"),
    ],
)
def test_times_by_the_standard(written: str, utc: str) -> None:
    moment = read_part("visit", "start", written)
    assert moment.at.astimezone(dt.UTC).replace(tzinfo=None).isoformat() == utc


def test_the_offset_is_kept_as_written() -> None:
    visit = read_record("visit", {**VISIT, "start": "2026-05-12T04:35:00+05:45"})
    assert visit.start.at.utcoffset() == dt.timedelta(hours=5, minutes=45)
    assert write_record(visit)["start"] == "2026-05-12T04:35:00+05:45"
    assert visit.start == Moment(at=dt.datetime(2026, 5, 11, 22, 50, tzinfo=dt.UTC))


@pytest.mark.parametrize(
    "written",
    [
        "1990-12-31T23:59:60Z",  # RFC 3339, section 5.8: a leap second, which no clock here shows
        "1937-01-01T12:00:27.87+00:20",  # the same: before the years that are read
        "2026-W20-2T04:35:00Z",
        "20260512T043500Z",
        "2026-05-12T24:00:00Z",
        "2026-05-12T04:35:00+25:00",
        "2026-05-12T04:35:00+01:00:30",
        "2026-02-29T04:35:00Z",
        "\uff12\uff10\uff12\uff16-05-12T04:35:00Z",
        "12 May",
        "",
        1778556900,
    ],
)
def test_times_not_by_the_standard_are_refused(written: object) -> None:
    with pytest.raises(Refused, match=r"^start: "):
        read_part("visit", "start", written)


def test_a_position_as_a_person_types_it() -> None:
    assert read_part("site", "centre", "52.1234 N, 1.2345 W") == Position(
        lat=52.1234, lon=-1.2345, source="typed"
    )


def test_few_decimals_of_a_position_make_it_coarse() -> None:
    read = read_part("site", "centre", "52.1 N, 1.2 W")
    # Half of a tenth of a degree of latitude, 111.3 km to the degree: 5.6 km.
    assert (read.lat, read.lon) == (52.1, -1.2)
    assert read.accuracy_m == pytest.approx(5566, rel=0.01)


@pytest.mark.parametrize("typed", ["52.1 N", "57,2083 -3,8167", "the hide", "", 52.1])
def test_a_position_that_is_not_sure_is_refused(typed: object) -> None:
    with pytest.raises(Refused, match=r"^centre: .*52\.1234 N, 1\.2345 W|^centre: .*57\.2083"):
        read_part("site", "centre", typed)


def test_a_compass_word_is_a_true_bearing_by_eye() -> None:
    north_east = Bearing(
        read_deg=45,
        reference="true",
        how="compass word",
        plus_minus_deg=plus_minus("compass word", "bearing"),
    )
    assert read_part("measurement", "bearing", "NE") == north_east
    assert read_part("measurement", "bearing", "north-east") == north_east


@pytest.mark.parametrize("typed", ["45", "45°", "north-ish", 45, ""])
def test_a_bearing_without_its_north_is_refused(typed: object) -> None:
    with pytest.raises(Refused, match=r'^bearing: .*"?NE"?'):
        read_part("measurement", "bearing", typed)


def test_distances_as_people_say_them() -> None:
    assert read_part("measurement", "distance", "about 12 m") == Distance(
        m=12, how="guess", plus_minus_m=plus_minus("guess", "distance", 12)
    )
    assert read_part("measurement", "distance", "12 ± 1 m") == Distance(m=12, plus_minus_m=1)


def test_gaps_as_people_say_them() -> None:
    assert read_part("sightline", "gap", "sky") == Gap(sky=True)
    touching = read_part("sightline", "gap", "touching")
    assert (touching.m, touching.how) == (0, "guess")
    assert touching.plus_minus_m > 0


@pytest.mark.parametrize("typed", ["sky", "touching", "0 m", "40 feet", "900 km", 12, None, ""])
def test_distances_that_are_none(typed: object) -> None:
    if typed is None:
        assert read_part("measurement", "distance", typed) is None
        return
    with pytest.raises(Refused, match=r"^distance"):
        read_part("measurement", "distance", typed)


def test_a_short_form_is_written_as_the_group_it_stands_for() -> None:
    raw = {**MEASUREMENT, "bearing": "NE", "distance": "about 12 m"}
    record = read_record("measurement", raw)
    written = write_record(record)
    assert written["bearing"] == {
        "read_deg": 45.0,
        "reference": "true",
        "how": "compass word",
        "plus_minus_deg": 22.0,
    }
    assert read_record("measurement", json.loads(json.dumps(written))) == record


def test_the_ways_of_measuring_are_those_whose_plus_minus_is_known() -> None:
    for words, quantity in (
        (BEARING_HOW, "bearing"),
        (DISTANCE_HOW, "distance"),
        (TILT_HOW, "tilt"),
        (HEIGHT_HOW, "elevation"),
    ):
        assert words
        for how in HOW:
            if how in words:
                assert plus_minus(how, quantity, 10.0) > 0  # type: ignore[arg-type]
            else:
                with pytest.raises(ValueError, match="is not measured by"):
                    plus_minus(how, quantity, 10.0)  # type: ignore[arg-type]


@pytest.mark.parametrize("typed", ["12", " 7.5 ", "-3"])
def test_a_number_in_quotes_is_no_rough_distance(typed: str) -> None:
    with pytest.raises(Refused, match="has no unit"):
        read_part("sightline", "gap", typed)
    with pytest.raises(Refused, match="has no unit"):
        read_part("measurement", "distance", typed)
