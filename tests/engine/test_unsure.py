"""What is not known well is said: pins, compasses, skylines, tilts, other seasons, bad taps."""

from __future__ import annotations

import re
from datetime import datetime
from math import atan, degrees, hypot, sqrt
from typing import Any

import pytest

from scout.engine.calls import call

from .cards import (
    DEG_M,
    SITE,
    bird,
    card,
    ident,
    measurement,
    only,
    perch,
    request,
    skyline,
    vantage,
)


def pinned(metres: float, accuracy_m: float, **parts: Any) -> dict[str, Any]:
    """Return a card whose sightline is known by two pins alone, north to south."""
    there = {"lat": SITE["lat"] + metres / DEG_M, "lon": SITE["lon"], "accuracy_m": accuracy_m}
    return card(
        perches=[perch(position={**SITE, "accuracy_m": accuracy_m})],
        vantages=[vantage(position=there)],
        measurements=[],
        **parts,
    )


def test_two_pins_close_together_say_little_of_the_bearing() -> None:
    found = pinned(20, 8)
    line = only(found)
    # Plane geometry: two independent errors of 8 m across a line of 20 m.
    expected = degrees(atan(sqrt(8**2 + 8**2) / 20))
    assert line["line"]["bearing_plus_minus_deg"] == pytest.approx(expected, abs=1)
    assert 29 <= expected <= 30
    assert line["line_words"] == "180° (S) ± 29°, 20 m ± 11 m, from two pins"
    assert line["line"]["distance_plus_minus_m"] == pytest.approx(hypot(8, 8), abs=0.1)
    said = " ".join(found["not_known"])
    assert "the bearing is known only to ±29°. Measure it on the spot with a compass." in said
    assert "Distance from two pins, known to ±11 m." in said


def test_pins_on_one_point_say_nothing() -> None:
    found = pinned(0, 8)
    line = only(found)
    assert line["line"]["bearing_plus_minus_deg"] == 180
    assert line["barred"] == [
        "1 m (from two pins, ±10 m: measure it) is nearer than your keep-distance of 10 m in the "
        "open."
    ]
    free = pinned(0, 8, species=bird(keep_distance_open_m=0))
    said = " ".join(free["not_known"])
    assert "Vantage and perch lie on one point: measure bearing and distance on the spot." in said


def test_what_was_measured_wins_quantity_by_quantity() -> None:
    only_bearing = measurement(bearing_deg=200)
    del only_bearing["distance"], only_bearing["tilt"]
    line = only(card(measurements=[only_bearing]))
    assert line["line_words"] == "200° (SSW) ± 2°, 12 m ± 4 m, measured and from two pins"
    assert line["level"] == "level not known: no tilt measured"


def test_better_instruments_count_alone_and_alike_ones_are_averaged() -> None:
    def read(name: str, degrees_read: float, how: str) -> dict[str, Any]:
        return {
            "id": ident(name),
            "sightline": ident("Bank to Stump"),
            "bearing": {"read_deg": degrees_read, "reference": "true", "how": how},
        }

    phone, first, second = (
        read("phone", 240, "phone compass"),
        read("first", 264, "sighting compass"),
        read("second", 276, "sighting compass"),
    )
    line = only(card(measurements=[phone, first, second]))
    assert line["line"]["bearing_deg"] == 270
    # Two readings 12° apart: their standard deviation, not the instrument's 2°.
    assert line["line"]["bearing_plus_minus_deg"] == round(12 / sqrt(2))
    north = only(
        card(measurements=[read("a", 359, "sighting compass"), read("b", 3, "sighting compass")])
    )
    assert north["line"]["bearing_deg"] == 1


def test_magnetic_readings_outside_the_models_years_say_so() -> None:
    old = measurement()
    old["at"] = "2019-05-01T08:00:00Z"
    old["bearing"] = {"read_deg": 270, "reference": "magnetic", "how": "sighting compass"}
    said = " ".join(card(measurements=[old])["not_known"])
    assert "is valid from 1 January 2025 to 1 January 2030" in said
    new = {**old, "at": "2026-05-01T08:00:00Z"}
    assert "valid from" not in " ".join(card(measurements=[new])["not_known"])


def test_nothing_is_printed_surer_than_a_degree() -> None:
    sharp = measurement()
    sharp["bearing"] = {"read_deg": 270, "reference": "true", "plus_minus_deg": 0.1}
    line = only(card(measurements=[sharp]))
    assert "± 1°" in line["line_words"]
    assert line["line"]["bearing_plus_minus_deg"] == 1


# Skylines.


def spread_min(**parts: Any) -> float:
    found: float = only(card(skylines=[skyline([(40, 4), (80, 4), (120, 4)], **parts)]))["clears"][
        "plus_minus_min"
    ]
    return found


def test_the_skylines_spread_becomes_minutes() -> None:
    # A level line at 4°: only its altitude counts. The sun there climbs 0.15° a minute, so one
    # degree is 6 to 7 minutes; the reference table of the trade says 5 to 10 at 40 to 52 N.
    one = spread_min(altitude_plus_minus_deg=1, heading_plus_minus_deg=0)
    assert 5 <= one <= 10
    assert spread_min(altitude_plus_minus_deg=2, heading_plus_minus_deg=0) == pytest.approx(
        2 * one, abs=1
    )
    assert spread_min(altitude_plus_minus_deg=0.2, heading_plus_minus_deg=0) in (1, 2)


def test_a_sloping_line_makes_minutes_of_a_heading() -> None:
    # 0.2° a degree of heading falling against the sun: ±10° of compass is ±2°.
    falling = [(40, 10.0), (80, 2.0), (120, -6.0)]
    line = only(
        card(
            skylines=[
                skyline(falling, altitude_plus_minus_deg=0, heading_plus_minus_deg=10),
            ]
        )
    )
    assert line["clears"]["plus_minus_min"] >= 5
    assert re.search(
        r"sun clears the conifers \d\d:\d\d ± \d+ min \(aimed, once\)", line["clears_words"]
    )


def test_the_land_fills_only_what_nobody_measured() -> None:
    # Drawn in leaf, asked for a day of bare trees: still the trees, which no bare earth holds.
    trees = skyline([(40, 8), (80, 8), (120, 8)], what="broadleaf in leaf")
    land = skyline([(at, 0.5) for at in range(0, 360, 5)], what="hill", source="terrain")
    land["id"] = ident("land")
    for day in ("2026-05-12", "2026-04-12"):
        alone, both = card(date=day, skylines=[trees]), card(date=day, skylines=[trees, land])
        assert only(both)["clears"] == only(alone)["clears"]
        assert only(both)["clears_words"] == only(alone)["clears_words"]
        assert both["not_known"] == alone["not_known"]
    # Where the sun comes, trees were measured in the other leaf and nothing in the day's.
    south = skyline([(200, 3), (240, 3)], what="broadleaf bare")
    assert (
        only(card(date="2026-04-12", skylines=[trees, south, land]))["clears"]
        == (only(card(date="2026-04-12", skylines=[trees]))["clears"])
    )
    # Nobody measured there: the land speaks, with its own ± and what that leaves out.
    said = only(card(skylines=[skyline([(200, 30), (240, 30)]), land]))["clears_words"]
    assert re.fullmatch(
        r"sun clears the land \d\d:\d\d ± \d+ min \(terrain, once; trees its models lack are "
        r"not in the ±\)",
        said,
    )
    tapped = only(card(skylines=[land, tap("on", "2026-05-12T04:20:00Z")]))
    assert tapped["clears"]["at"]["utc"] == "2026-05-12T04:20Z"
    assert "the line as tapped" in tapped["clears_words"]


@pytest.mark.parametrize(("unsure_deg", "is_said"), [(18.4, True), (5.0, True), (4.4, False)])
def test_a_skyline_hardly_known_is_called_a_guess(unsure_deg: float, is_said: bool) -> None:
    # The ± of such a line is a node's own, as what is worked out from the land carries it.
    line = skyline([(at, 6.0) for at in range(40, 121, 10)], what="hill", source="terrain")
    for node in line["nodes"]:
        node["plus_minus_deg"] = unsure_deg
    found = card(skylines=[line | {"heading_plus_minus_deg": 0}])
    said = f"±{unsure_deg:.0f}°"
    assert (f"; the skyline there only to {said}: a guess)" in only(found)["clears_words"]) is (
        is_said
    )
    assert (
        f"Stump: skyline known only to {said} where the sun comes; aim it." in (found["not_known"])
    ) is is_said
    asked = request(skylines=[line | {"heading_plus_minus_deg": 0}])
    del asked["session"]
    day = call("light_day", {**asked, "sightline": asked["sightlines"][0]["id"]})
    assert (f"unsure by up to {said}: aim it" in day["skyline"]) is is_said


def test_without_a_skyline_there_is_no_bare_time() -> None:
    found = card(skylines=[])
    line = only(found)
    shown = line["clears"]["at"]["clock"]
    assert line["clears"]["plus_minus_min"] is None
    assert line["clears_words"] == (
        f"level horizon assumed: not before {shown}; trees make it later"
    )
    assert (
        "Stump: no skyline where the sun comes; aim it, or tap when the sun is on it."
        in (found["not_known"])
    )
    entry = next(one for one in found["timeline"] if one["what"] == "sun clears the skyline")
    assert entry["note"] == "level horizon assumed: not before this"
    dusk = only(card(skylines=[], session="dusk"))
    shown = dusk["clears"]["at"]["clock"]
    assert dusk["clears_words"] == (
        f"level horizon assumed: not after {shown}; trees make it earlier"
    )


def test_a_skyline_elsewhere_is_none_where_the_sun_comes() -> None:
    found = card(skylines=[skyline([(200, 30), (240, 30)])])
    assert only(found)["clears"]["assumed_level"] is True
    assert any("no skyline where the sun comes" in said for said in found["not_known"])


def test_a_line_above_the_sun_keeps_it_off() -> None:
    high = [(azimuth, 70) for azimuth in range(20, 160, 20)]
    line = only(card(skylines=[skyline(high)]))
    assert line["clears"] is None
    assert line["clears_words"] == "the sun does not clear the skyline in this session"
    assert line["good_min"]["clear"] == 0
    # The sun stands 26° up when the session ends, 105° round: within 3° of this line.
    close = [(azimuth, 28) for azimuth in range(20, 160, 20)]
    line = only(card(skylines=[skyline(close, altitude_plus_minus_deg=3)]))
    assert line["clears_words"] == "the sun may just clear the skyline: it passes within its ±"


def test_trees_in_leaf_and_bare_are_two_skylines() -> None:
    leafy = skyline([(40, 8), (80, 8), (120, 8)], what="broadleaf in leaf")
    bare = skyline([(40, 2), (80, 2), (120, 2)], what="broadleaf bare")
    both = [leafy, bare]

    def clears(day: str, *lines: dict[str, Any]) -> tuple[str, dict[str, Any]]:
        found = card(date=day, skylines=list(lines))
        return only(found)["clears"]["at"]["utc"], found

    # In leaf from 1 May to 1 November unless set otherwise.
    assert clears("2026-05-12", *both)[0] == clears("2026-05-12", leafy)[0]
    assert clears("2026-04-12", *both)[0] == clears("2026-04-12", bare)[0]
    assert clears("2026-05-12", leafy)[0] > clears("2026-05-12", bare)[0]
    said = clears("2026-05-12", bare)[1]["not_known"]
    assert "Stump: The skyline was drawn with trees bare; now the sun comes later." in said
    said = clears("2026-04-12", leafy)[1]["not_known"]
    assert "Stump: The skyline was drawn with trees in leaf; now the sun comes earlier." in said
    late = {"leaf_out_day": "06-01"}
    assert (
        only(card(skylines=both, settings=late))["clears"]["at"]["utc"]
        == (clears("2026-05-12", bare)[0])
    )


def tap(name: str, at: str, source: str = "sun on it") -> dict[str, Any]:
    return {"id": ident(name), "pin": ident("Stump"), "source": source, "at": at}


def test_taps_sharpen_and_those_by_night_are_set_aside() -> None:
    aimed = skyline([(40, 4), (80, 4), (120, 4)], altitude_plus_minus_deg=2)
    plain = only(card(skylines=[aimed]))
    good = tap("good", "2026-05-10T04:55:00Z")
    sharp = only(card(skylines=[aimed, good]))
    assert sharp["clears"]["plus_minus_min"] < plain["clears"]["plus_minus_min"]
    assert "aimed, once, sharpened by 1 tap of the sun" in sharp["clears_words"]
    # Two days on it comes within a minute or two of the tap.
    at = datetime.fromisoformat(sharp["clears"]["at"]["utc"].replace("Z", "+00:00"))
    assert abs(at.hour * 60 + at.minute - (4 * 60 + 55)) <= 3
    found = card(skylines=[aimed, tap("bad", "2026-05-10T01:00:00Z")])
    assert only(found)["clears"] == plain["clears"]
    assert any(
        "was made by night and is set aside: check its clock." in s for s in found["not_known"]
    )
    # Leaves that are out now were not on the day of an April tap.
    leafy = skyline([(40, 8), (80, 8), (120, 8)], what="broadleaf in leaf")
    found = card(skylines=[leafy, tap("april", "2026-04-10T06:20:00Z")])
    assert "tap" not in only(found)["clears_words"]
    said = "Stump: A tap of the sun is not counted here: with trees bare, not in leaf."
    assert said in found["not_known"]


def test_unnoted_things_are_named() -> None:
    line = {"id": ident("Bank to Stump"), "vantage": ident("Bank"), "perch": ident("Stump")}
    said = card(sightlines=[line])["not_known"]
    assert "Bank → Stump: gap behind the perch not noted." in said
    assert "Bank → Stump: light wanted not noted; any light counts." in said
    assert "Nothing watched here yet." in said


def test_last_watched_is_a_local_date() -> None:
    # 23:30 by UTC is the next day by British Summer Time.
    watch = {"id": ident("w"), "vantage": ident("Bank"), "start": "2026-05-09T23:30:00Z"}
    later = {**watch, "id": ident("x"), "start": "2026-05-20T04:00:00Z"}
    assert "Nothing watched since 2026-05-10." in card(watches=[watch, later])["not_known"]
