"""What a folder may hold and is worth a second look: a warning, and no fault."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from .small_folder import FOLDER, PERCH, SITE, VANTAGE, files, read


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
