"""Routine, season and after: what a person reads is what the engine says, counts spelled out."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

ROUTINE = [*("routine", "--folder", "sample_site", "--site", "pellwick")]
ROUTINE += ["--species", "stonechat", "--on", "2026-05-12"]
SEASON = [*("season", "--folder", "sample_site", "--species", "stonechat", "--kit", "long")]
SEASON += ["--on", "2026-05-01", "--weeks", "6", "--sightline", "pump-post"]
AFTER = ["after", "--folder", "sample_site", "--site", "pellwick", "--species", "stonechat"]
AFTER += ["--kit", "long"]
Run = Callable[..., Any]


def joined(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_a_routine_is_told_as_the_engine_counts_it(run: Run) -> None:
    said = json.loads(run(*ROUTINE, "--json").stdout)
    told = joined(run(*ROUTINE).stdout)
    for session in ("dawn", "dusk"):
        half = said[session]
        assert joined(half["words"]) in told
        for step in half["steps"]:
            assert f"{step['k']} of {step['n']}" in told
        # Minutes from the mean sunrise, set beside this day's clock, would contradict it.
        if half["first_arrival"] is not None:
            assert f"first comes {half['first_arrival']['clock']} on this day, the middle" in told
        marks = "".join("●" if mark["seen"] else "○" for mark in half["marks"])
        assert marks in told
    for row in (*said["tallies"]["sky"], *said["tallies"]["month"]):
        assert f"{row['word']} {row['words']}" in told
    for key in ("hours", "winds", "where"):
        assert ", ".join(said["unwatched"][key]) in told


@pytest.mark.parametrize(
    ("typed", "part"),
    [
        (("--months", "may-jul"), {"season": {"from_day": "05-01", "to_day": "07-31"}}),
        (("--months", "Feb"), {"season": {"from_day": "02-01", "to_day": "02-29"}}),
        (("--sky", "clear"), {"sky": "clear"}),
        (("--wind-from", "sw"), {"wind_from": "SW"}),
        (("--width", "20"), {"width": 0.2}),
    ],
)
def test_narrowing_is_what_it_says(
    run: Run, monkeypatch: pytest.MonkeyPatch, typed: tuple[str, ...], part: dict[str, Any]
) -> None:
    import scout.commands.routine as module

    asked: list[dict[str, Any]] = []
    plain = module.answered

    def kept(name: str, request: dict[str, Any], options: dict[str, str]) -> Any:
        asked.append(request)
        return plain(name, request, options)

    monkeypatch.setattr(module, "answered", kept)
    assert run(*ROUTINE, *typed).exit_code == 0
    for name, value in part.items():
        assert asked[0][name] == value


def test_months_that_are_none_are_refused(run: Run) -> None:
    result = run(*ROUTINE, "--months", "spring")
    assert result.exit_code == 2
    assert "--months: 'spring' are no months; write apr-jun, or may." in result.stderr


def test_without_a_sunrise_it_says_from_what_it_counts(run: Run, own_site: Path) -> None:
    """At 72° N the sun neither rises nor sets in June (any almanac)."""
    sites = json.loads((own_site / "sites.json").read_text("utf-8"))
    for one in sites:
        one["centre"]["lat"] = 72.0
    for name in ("perches", "vantages"):  # the light is looked at where the pins stand
        pins = json.loads((own_site / f"{name}.json").read_text("utf-8"))
        for one in pins:
            one["position"]["lat"] = round(one["position"]["lat"] + 72.0 - 52.87, 6)
        (own_site / f"{name}.json").write_text(json.dumps(pins), "utf-8")
    (own_site / "sites.json").write_text(json.dumps(sites), "utf-8")
    at = ("--folder", str(own_site))
    told = run(*ROUTINE, *at, "--on", "2026-06-20").stdout
    assert "Counted from solar noon" in told
    assert re.search(r"\d min before solar noon +\d\d:\d\d", told)
    assert not re.search(r"(before|after|at) (sunrise|sunset)", told)
    year = run(*SEASON, *at, "--on", "2026-06-08", "--weeks", "2").stdout
    assert re.search(r"\d level *\[", year)
    assert "level: the sun does not cross the skyline then" in joined(year)


def test_a_sensitive_animal_is_never_suggested_for_more_visits(run: Run) -> None:
    told = run("routine", "--folder", "sample_site", "--site", "hobthorn", "--species", "otter")
    assert "This site is sensitive: it is never suggested for more visits." in told.stdout


def test_a_season_has_a_row_a_week(run: Run) -> None:
    said = json.loads(run(*SEASON, "--json").stdout)
    lines = run(*SEASON).stdout.splitlines()
    assert len(said["rows"]) == 6
    for row in said["rows"]:
        (line,) = [one for one in lines if one.startswith(row["date"])]
        assert row["counted_from"]["clock"] in line
        count = f"{row['presence']['k']} of {row['presence']['n']}"
        assert line.endswith(f"] {count}" if row["presence"]["season"] else f"] ({count})")
    assert said["low_sun_words"] in joined(" ".join(lines))


def test_the_days_of_low_sun_are_a_calendar_that_others_read(run: Run, tmp_path: Path) -> None:
    """Read by the icalendar package: RFC 5545."""
    file = tmp_path / "low-sun.ics"
    said = json.loads(run(*SEASON, "--calendar", str(file), "--json").stdout)
    calendar = Calendar.from_ical(file.read_bytes())
    events = calendar.walk("VEVENT")
    assert len(events) == len(said["low_sun_days"]) > 0
    for event, day in zip(events, said["low_sun_days"], strict=True):
        start, end = event["DTSTART"].dt, event["DTEND"].dt
        assert f"{start:%Y-%m-%dT%H:%MZ}" == day["at"]["utc"]
        assert f"{end:%Y-%m-%dT%H:%MZ}" == day["animal"]["utc"]
        assert str(event["SUMMARY"]).startswith("Pellwick Meadows: ")
    assert len({event["UID"] for event in events}) == len(events)
    refused = run(*SEASON, "--calendar", str(tmp_path / "low-sun.txt"))
    assert refused.exit_code == 2
    assert "must end in .ics" in refused.stderr


def test_a_sensitive_place_stands_in_a_calendar_by_its_code_name() -> None:
    """Its own answer is veiled; with it no animal, no perch and no vantage goes out."""
    from scout.commands.season import low_sun_entries

    day = {
        "at": {"utc": "2026-05-01T05:30Z"},
        "animal": {"utc": "2026-05-01T06:10Z"},
    }
    title = {"site": "Dean 4", "species": "the animal", "code_name_only": True}
    (entry,) = low_sun_entries({"title": title, "name": "A → perch B", "low_sun_days": [day]})
    assert entry.name == "Dean 4"
    assert entry.start < entry.end


def test_after_counts_what_the_engine_counts(run: Run) -> None:
    said = json.loads(run(*AFTER, "--json").stdout)
    told = run(*AFTER).stdout
    assert f"{said['keepers']} kept of {said['frames']} frames" in told
    for row in said["failed"]:
        assert re.search(rf"{row['what']} +{row['pictures']} +{row['visits']} of", told)
    assert said["lost_words"] in " ".join(told.split())
    for row in said["vantages"]:
        assert re.search(rf"{row['name']} +{row['keepers']} +{row['frames']} +", told)
