"""Cards where days and clocks are odd: near the poles, at the date line, on skipped dates."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any

import pytest

from scout.engine.calls import call, call_text

from .cards import card, perch, request, site, vantage


def far(
    lat: float, lon: float, zone: str, day: str, session: str = "dawn", **parts: Any
) -> dict[str, Any]:
    """Return a request moved to another place, its perch and vantage twelve metres apart."""
    there = {"lat": lat, "lon": lon}
    # Twelve metres north: on the last degrees before a pole no east is left.
    here = {"lat": lat - 0.000108, "lon": lon}
    return request(
        site=site(centre=there, zone=zone),
        perches=[perch(position=there)],
        vantages=[vantage(position=here)],
        date=day,
        session=session,
        **parts,
    )


PLACES = [
    (70.0, 25.0, "Europe/Oslo"),
    (-70.0, 25.0, "Etc/UTC"),
    (89.5, 0.0, "Etc/UTC"),
    (-89.5, 0.0, "Pacific/Auckland"),
    (90.0, 0.0, "Etc/UTC"),
    (1.87, -157.4, "Pacific/Kiritimati"),
    (-13.8, -171.75, "Pacific/Apia"),
    (-17.0, 179.99, "Pacific/Fiji"),
    (51.9, -179.9, "America/Adak"),
    (27.7, 85.3, "Asia/Kathmandu"),
]
DAYS = ["2026-06-21", "2026-12-21", "2026-03-29", "1950-01-01", "2100-12-31"]


@pytest.mark.parametrize("session", ["dawn", "dusk"])
@pytest.mark.parametrize("day", DAYS)
@pytest.mark.parametrize(("lat", "lon", "zone"), PLACES)
def test_every_place_and_day_has_an_answer(
    lat: float, lon: float, zone: str, day: str, session: str
) -> None:
    asked = far(lat, lon, zone, day, session)
    answer = json.loads(call_text("outing_card", json.dumps(asked)))
    assert "error" not in answer, answer
    assert answer["verdict"].endswith(".")
    line = (answer["sightlines"] + answer["barred"])[0]
    assert all(0 <= minutes <= 400 for minutes in line["good_min"].values())
    del asked["session"]
    asked["sightline"] = line["id"]
    through = json.loads(call_text("light_day", json.dumps(asked)))
    assert "error" not in through, through
    for spans in through["stretches"].values():
        # Zones changed by half hours too, on the first of January 1950 in two of these.
        assert sum(span["minutes"] for span in spans) in (1380, 1410, 1440, 1470, 1500)


def test_midnight_sun_is_said() -> None:
    found = call("outing_card", far(70, 25, "Europe/Oslo", "2026-06-21", skylines=[]))
    assert found["session"]["course"] == "up throughout"
    assert "sun is up all day" in " ".join(found["session"]["remarks"])
    (line,) = found["sightlines"]
    assert line["clears_words"] == "level horizon assumed: the sun is on it throughout"
    assert found["session"]["sun_level"] is None


def test_polar_night_is_said() -> None:
    found = call("outing_card", far(70, 25, "Europe/Oslo", "2026-12-21", skylines=[]))
    assert found["session"]["course"] == "twilight only"
    (line,) = found["sightlines"]
    assert line["clears_words"] == (
        "level horizon assumed: the sun does not come up in this session"
    )


@pytest.mark.parametrize("session", ["dawn", "dusk"])
def test_dark_all_day_leaves_no_one_out_of_bed(session: str) -> None:
    found = call("outing_card", far(89.5, 0, "Etc/UTC", "2026-12-21", session))
    assert found["session"]["course"] == "dark throughout"
    assert found["verdict"] == "Not for the light: it stays dark all day."
    assert found["timeline"] == []


def test_skipped_date_is_answered_in_words() -> None:
    # Samoa crossed the date line and had no 30 December 2011 (tz database).
    asked = far(-13.8, -171.75, "Pacific/Apia", "2011-12-30")
    found = call("outing_card", asked)
    assert found["verdict"] == "There is no such day here."
    assert "clocks there skipped that date" in " ".join(found["session"]["remarks"])
    del asked["session"]
    asked["sightline"] = asked["sightlines"][0]["id"]
    refused = call("light_day", asked)["error"]["sentences"]
    assert refused == ["date: 2011-12-30 does not exist in Pacific/Apia."]
    base = {name: part for name, part in asked.items() if name not in ("date", "sightline")}
    table = call("choice_table", {"sites": [base], "first": "2011-12-29", "days": 3})
    cells = table["rows"][0]["cells"]
    assert [cell["words"] == "" for cell in cells] == [False, True, False]


@pytest.mark.parametrize(
    ("day", "hours", "words"),
    [("2026-03-29", 23, "forward by 1 h"), ("2026-10-25", 25, "back by 1 h")],
)
def test_days_on_which_the_clocks_change(day: str, hours: int, words: str) -> None:
    found = card(date=day)
    assert words in " ".join(found["session"]["remarks"])
    asked = request(date=day)
    del asked["session"]
    asked["sightline"] = asked["sightlines"][0]["id"]
    spans = call("light_day", asked)["stretches"]["clear"]
    assert sum(span["minutes"] for span in spans) == 60 * hours
    # By the clock the sun leaps by an hour from the day before; by UTC it does not.
    before = (date.fromisoformat(day) - timedelta(days=1)).isoformat()
    ends = [card(date=one)["session"]["sun_level"]["utc"][11:16] for one in (before, day)]
    minutes = [int(end[:2]) * 60 + int(end[3:]) for end in ends]
    assert abs(minutes[1] - minutes[0]) <= 3


def test_a_dawn_at_the_date_line_is_on_its_own_day() -> None:
    # At UTC+14 the dawn of a date lies on the day before by UTC.
    found = call("outing_card", far(1.87, -157.4, "Pacific/Kiritimati", "2026-05-12"))
    assert found["session"]["sun_level"]["utc"].startswith("2026-05-11T16:")
    assert found["session"]["sun_level"]["clock"].startswith("06:")
