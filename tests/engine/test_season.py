"""A sightline's year: the states of its sessions against the card's own minutes, and its days."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import Any

import pytest

from scout.engine.asked import read_asked
from scout.engine.calls import call
from scout.engine.clearing import sun_on
from scout.engine.minutes import CASES
from scout.engine.prospect import lit_line, scene_of
from scout.engine.year import SessionStates, Year, session_states, year_of

from .cards import bird, ident, refusal, request, sightline, site, skyline
from .logs import LogBook, mornings, sunrise_s

LINE = ident("Bank to Stump")
FIRST = date(2026, 1, 1)


def prepared(first: date = FIRST, session: str = "dawn", **parts: Any) -> Year:
    whole = request(**{"session": session, **parts})
    whole["date"] = first.isoformat()
    return year_of(read_asked(whole), LINE)


def strip(**parts: Any) -> dict[str, Any]:
    whole = request()
    del whole["date"]
    whole.update({"sightline": LINE, "first": FIRST.isoformat(), **parts})
    answer = call("season_strip", whole)
    assert "error" not in answer, answer["error"]
    return answer


def minute_states(year: Year, found: SessionStates) -> list[tuple[str, ...]]:
    """Return the same session minute by minute, as the card works it out."""
    start, end = (datetime.fromtimestamp(at, UTC) for at in (found.start_s, found.end_s))
    at = datetime.combine(found.on, datetime.min.time(), UTC) + timedelta(hours=12)
    scene = scene_of(year.asked, start, end, at)
    return list(lit_line(scene, year.seen.line).lit.states)


@pytest.mark.parametrize("session", ["dawn", "dusk"])
@pytest.mark.parametrize("wanted", ["front", "side", "back", "any"])
def test_every_change_is_where_minutes_have_it(session: str, wanted: str) -> None:
    """Within a minute, the four cases, a hilly skyline that the sun leaves and comes over again."""
    line = [(float(az), 6.0 + 5.0 * (az % 40 < 20)) for az in range(0, 360, 10)]
    year = prepared(
        session=session, sightlines=[sightline(light_wanted=wanted)], skylines=[skyline(line)]
    )
    for ahead in range(3, 365, 45):
        found = session_states(year, FIRST + timedelta(days=ahead))
        assert found is not None
        plain = minute_states(year, found)
        first = -(-found.start_s // 60) * 60
        for place, case in enumerate(CASES):
            pieces = found.pieces[case]
            assert pieces[0].start_s == found.start_s
            assert pieces[-1].end_s == found.end_s
            assert all(a.end_s == b.start_s for a, b in pairwise(pieces))
            for step, state in enumerate(plain[place]):
                at = first + 60 * step
                assert any(
                    piece.state == state and piece.start_s - 60 <= at <= piece.end_s + 60
                    for piece in pieces
                ), (case, found.on, step)


def test_site_corrections_are_used() -> None:
    readings = [
        {
            "id": ident(f"reading {day}"),
            "site": ident("site"),
            "perch": ident("Stump"),
            "facing_deg": 90,
            "at": f"2026-05-{day:02}T04:15:00Z",
            "ev100": 3.0,
            "sky": "clear",
        }
        for day in (9, 10, 11, 12)
    ]
    plain, dark = prepared(date(2026, 5, 1)), prepared(date(2026, 5, 1), light_readings=readings)
    on = date(2026, 5, 12)
    good = []
    for year in (plain, dark):
        found = session_states(year, on)
        assert found is not None
        good.append(
            sum(one.end_s - one.start_s for one in found.pieces["clear"] if one.state == "good")
        )
        expected = 60 * minute_states(year, found)[0].count("good")
        assert good[-1] == pytest.approx(expected, abs=120)
    assert good[1] < good[0]


def test_a_row_a_week_counted_from_the_sun_over_the_skyline() -> None:
    found = strip(weeks=53)
    assert len(found["rows"]) == 53
    assert [row["week"] for row in found["rows"][:2]] == ["2026-01-01", "2026-01-08"]
    assert found["name"] == "Bank → Stump"
    assert (found["sky"], found["case"]) == ("in and out", "sun out")
    for row in found["rows"]:
        assert row["counted_from"] == row["clears"]["at"]
        for case in CASES:
            pieces = row["states"][case]
            assert all(start < end for start, end, _ in pieces)
            good = sum(end - start for start, end, state in pieces if state == "good")
            assert row["good_min"][case] == pytest.approx(good, abs=1)
        # The sun comes on the perch at zero: nothing under a clear sky is lit by it before.
        assert not any(
            state == "sun" or (state == "good")
            for start, _, state in row["states"]["clear"]
            if start < -0.1
        )


def test_presence_stands_beside_the_weeks() -> None:
    log = LogBook()
    for year in range(2016, 2026):
        on = date(year, 4, 20)
        watch = log.watch(on, -20, 170)
        if year < 2023:
            log.seen(watch, on, 90, 95)
    known = call("presence", log.request())
    del known["engine"]
    found = strip(presence=known, weeks=53, sky="clear")
    april = next(row for row in found["rows"] if row["date"] == "2026-04-19")
    assert (april["presence"]["k"], april["presence"]["n"]) == (7, 10)
    assert april["presence"]["season"]
    assert april["presence"]["words"].startswith("7 of 10 watched dawns (90 %: ")
    days = [one["date"] for one in found["low_sun_days"]]
    assert len(days) > 100
    assert sum(span["days"] for span in found["low_sun_spans"]) == len(days)
    assert found["low_sun_words"] == (
        f"The low sun reaches this perch before the animal usually leaves on {len(days)} days "
        "in these 53 weeks."
    )
    # Each of them by the skyline itself.
    line = prepared().seen.horizon.line
    for one in found["low_sun_days"][::40]:
        on = date.fromisoformat(one["date"])
        rise = datetime.fromtimestamp(sunrise_s(on), UTC)
        edge = sun_on(
            line, 52.1, 0.2, rise - timedelta(hours=1), rise + timedelta(hours=3)
        ).first_on
        assert edge is not None
        at = datetime.fromisoformat(one["at"]["utc"].replace("Z", "+00:00"))
        assert abs((edge.at_utc - at).total_seconds()) <= 60
        assert one["at"]["utc"] < one["animal"]["utc"]


def test_an_animal_that_leaves_too_early_has_no_such_day() -> None:
    log = LogBook()
    for on in mornings(6):
        watch = log.watch(on, -60, 170)
        log.seen(watch, on, -20, -10)
    known = call("presence", log.request())
    del known["engine"]
    found = strip(presence=known, weeks=20)
    assert found["low_sun_days"] == []
    assert found["low_sun_words"].startswith("On no day of these weeks")
    assert strip(weeks=1)["low_sun_words"] == ("No routine is known here: the days cannot be told.")


def test_near_the_poles_rows_say_what_there_is() -> None:
    north = site(centre={"lat": 84.0, "lon": 15.0}, zone="Europe/Oslo")
    found = strip(site=north, first="2026-01-01", weeks=30)
    assert found["rows"][0]["counted_from"] is None  # dark throughout
    assert found["rows"][0]["states"] == {}
    summer = found["rows"][24]
    assert summer["states"]["clear"][-1][2] in ("good", "sky light")


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        ({"sightline": ident("none")}, "sightline: is not among"),
        ({"sightline": None}, "sightline: is missing"),
        ({"sightline": 4}, "sightline: give the id"),
        ({"weeks": 54}, "weeks"),
        ({"first": "x"}, "first"),
        ({"presence": {}}, "presence.anchoring"),
        ({"session": "noon"}, "session"),
    ],
)
def test_bad_requests_are_refused(parts: dict[str, Any], says: str) -> None:
    whole = request()
    del whole["date"]
    whole.update({"sightline": LINE, "first": FIRST.isoformat(), **parts})
    assert says in refusal("season_strip", whole)


def test_days_on_which_the_place_is_closed_are_not_among_those_of_low_sun() -> None:
    """Nobody is sent where law, owner or animal forbid it."""
    log = LogBook()
    for on in mornings(12, date(2025, 4, 14)):
        watch = log.watch(on, -20, 170)
        log.seen(watch, on, 90, 95)
    known = call("presence", log.request())
    del known["engine"]
    asked = {"presence": known, "weeks": 12, "first": "2026-04-01"}
    days = {one["date"] for one in strip(**asked)["low_sun_days"]}
    assert {"2026-04-30", "2026-05-01", "2026-05-31", "2026-06-01"} <= days
    closed = site(closed=[{"from_day": "05-01", "to_day": "05-31"}])
    left = strip(**asked, site=closed)["low_sun_days"]
    assert {one["date"] for one in left} == {day for day in days if day[5:7] != "05"}
    near = {"species": bird(keep_distance_open_m=50)}
    assert strip(**asked, **near)["low_sun_days"] == []


def test_a_veiled_season_names_no_place() -> None:
    found = strip(
        weeks=1,
        discreet=True,
        site=site(sensitivity="high", code_name="Flat 3"),
        species=bird(name="Secret bird"),
    )
    assert found["title"] == {"site": "Flat 3", "species": "the animal", "code_name_only": True}
    for name in ("Sallow", "Stump", "Bank", "Secret"):
        assert name not in str(found)
