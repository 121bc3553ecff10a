"""With --json a command prints exactly what the engine answers to the request it stands for."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from shlex import split
from typing import Any

import pytest

from scout.commands import typed
from scout.engine.calls import call_text
from scout.installed import sample_site_folder
from scout.notebook.asking import card_request, settings_of
from scout.notebook.folder import Folder, read_folder
from scout.records.kinds import write_record

SITE = ("--folder", "sample_site")
DAY = dt.date(2026, 5, 12)
WHERE = {"lat": 52.87, "lon": -0.47}
MORNING = "2026-05-12T07:00:00+00:00"


@pytest.fixture(scope="module")
def folder() -> Folder:
    return read_folder(sample_site_folder())


def named(folder: Folder, kind: str, word: str) -> Any:
    """Find a record by the word the folder has for it."""
    return next(one for one in folder.records[kind].values() if folder.words[one.id] == word)


def request_of(folder: Folder, site: str, species: str, kit: str, **more: Any) -> dict[str, Any]:
    return card_request(
        folder.records,
        site=named(folder, "site", site).id,
        species=named(folder, "species", species).id,
        kit=named(folder, "kit", kit).id,
        on=DAY,
        **more,
    )


def kit_word(folder: Folder, focal: str) -> str:
    return next(folder.words[k.id] for k in folder.records["kit"].values() if focal in k.name)


def exactly(result: Any, name: str, request: dict[str, Any]) -> None:
    assert result.exit_code == 0, result.stderr
    assert result.stdout == call_text(name, json.dumps(request)) + "\n"
    assert "error" not in json.loads(result.stdout)


def test_card(run: Callable[..., Any], folder: Folder) -> None:
    given = "--site hobthorn --species roe-deer --on 2026-05-12 --session dusk --behaviour flight"
    result = run(
        "card", *SITE, *given.split(), "--kit", "long", "--wind", "SW 3", "--sky", "IN AND OUT",
        "--code-names", "--json",
    )  # fmt: skip
    request = request_of(
        folder, "hobthorn", "roe-deer", kit_word(folder, "500"), session="dusk",
        behaviour="flight", sky="in and out", wind="SW 3", discreet=True,
    )  # fmt: skip
    exactly(result, "outing_card", request)


def test_choice_table_with_each_site_its_own_animal(
    run: Callable[..., Any], folder: Folder
) -> None:
    result = run(
        "choose", *SITE, "--kit", "long", "--on", "2026-05-12", "--days", "2", "--session", "dusk",
        "--json",
    )  # fmt: skip
    # The sample log has stonechats most often in the meadows, otters in the dean.
    sites = []
    for site, species in (("pellwick", "stonechat"), ("hobthorn", "otter")):
        request = request_of(folder, site, species, kit_word(folder, "500"), session="dawn")
        sites.append({k: v for k, v in request.items() if k not in ("date", "session")})
    request = {"sites": sites, "first": "2026-05-12", "days": 2, "sessions": ["dusk"]}
    exactly(result, "choice_table", request)


def test_light_through_a_day(run: Callable[..., Any], folder: Folder) -> None:
    common = [*SITE, "--species", "stonechat", "--kit", "long", "--on", "2026-05-12", "--json"]
    request = request_of(folder, "pellwick", "stonechat", kit_word(folder, "500"), session="dawn")
    del request["session"]
    line, perch = named(folder, "sightline", "pump-post"), named(folder, "perch", "ditch-post")
    result = run("light", *common, "--sightline", "Pump House to ditch POST")
    exactly(result, "light_day", {**request, "sightline": line.id})
    result = run("light", *common, "--perch", "ditch", "--from-deg", "90")
    exactly(result, "light_day", {**request, "perch": perch.id, "from_deg": 90.0})


def test_kit(run: Callable[..., Any], folder: Folder) -> None:
    given = "--species stonechat --gap sky --background reeds --tone dark --in-shade --speed 8"
    result = run("kit", *SITE, *given.split(), "--distance", "30 to 40 m", "--json")
    request = {
        "kits": [write_record(kit) for kit in folder.records["kit"].values()],
        "species": write_record(named(folder, "species", "stonechat")),
        "settings": settings_of(folder.records),
        "distance_m": 35.0,
        "gap_m": "sky",
        "background": "reeds",
        "tone": "dark",
        "in_shade": True,
        "speed_mps": 8.0,
    }
    exactly(result, "kit_table", request)


def test_stand(run: Callable[..., Any], folder: Folder) -> None:
    given = "--kit 300 --like long --species stonechat --distance 18 --gap 30 --like-gap sky"
    result = run("stand", *SITE, *given.split(), "--like-distance", "20", "--from-hide", "--json")
    request = {
        "kit": write_record(named(folder, "kit", kit_word(folder, "300"))),
        "like": write_record(named(folder, "kit", kit_word(folder, "500"))),
        "species": write_record(named(folder, "species", "stonechat")),
        "distance_m": 18.0,
        "gap_m": 30.0,
        "in_hide": True,
        "like_distance_m": 20.0,
        "like_gap_m": "sky",
    }
    exactly(result, "stand_where", request)


def test_place_by_instruments_and_by_rough_words(run: Callable[..., Any], folder: Folder) -> None:
    given = "--from pump --north magnetic --distance 11 --ranged-with rangefinder --tilt -1.5"
    common = ["place", *SITE, "--at", "2026-05-12T07:00Z", "--json"]
    result = run(*common, *given.split(), "--bearing", "262", "--read-with", "sighting compass")
    vantage = write_record(named(folder, "vantage", "pump-house"))
    request = {
        "vantage": vantage,
        "bearing": {
            "read_deg": 262.0, "reference": "magnetic", "how": "sighting compass",
            "plus_minus_deg": 2.0,
        },
        "distance": {"m": 11.0, "how": "rangefinder", "plus_minus_m": None},
        "tilt": {"deg": -1.5, "how": None},
        "at": MORNING,
    }  # fmt: skip
    exactly(result, "place_perch", request)
    result = run(*common, "--from", "pump", "--bearing", "NE", "--distance", "about 12 m")
    request = {
        "vantage": vantage,
        "bearing": {
            "read_deg": 45.0, "reference": "true", "how": "compass word", "plus_minus_deg": 22.0,
        },
        # A guess at twelve metres is good to a quarter of it: common practice, no source.
        "distance": {"m": 12.0, "how": None, "plus_minus_m": 3.0},
        "tilt": None,
        "at": MORNING,
    }  # fmt: skip
    exactly(result, "place_perch", request)


def test_compass_and_sector(run: Callable[..., Any], folder: Folder) -> None:
    bearing = {
        "read_deg": 275.0, "reference": "magnetic", "how": "phone compass", "plus_minus_deg": 10.0,
    }  # fmt: skip
    result = run(
        *split("compass 275 --north magnetic --at 2026-05-12T07:00Z --json --along-shadow"),
        *SITE, "--site", "pellwick",
    )  # fmt: skip
    request = {"position": WHERE, "at": MORNING, "bearing": bearing, "along_shadow": True}
    exactly(result, "compass", request)
    result = run(
        "sector", "--position", "52.87 N, 0.47 W", *split("--on 2026-05-12 --session dusk --json")
    )
    request = {
        "position": {**WHERE, "source": "typed"}, "date": "2026-05-12", "session": "dusk",
    }  # fmt: skip
    exactly(result, "sector", request)


@pytest.mark.parametrize(
    ("utc", "word", "day"),
    [
        # British Summer Time is an hour ahead of UTC: after 23:00 UTC the next day has begun.
        ("2026-06-30T22:59", "today", "2026-06-30"),
        ("2026-06-30T23:01", "today", "2026-07-01"),
        ("2026-06-30T23:01", "Tomorrow", "2026-07-02"),
        ("2026-12-31T23:59", "tomorrow", "2027-01-01"),
    ],
)
def test_today_is_the_day_of_the_place(
    run: Callable[..., Any], monkeypatch: pytest.MonkeyPatch, utc: str, word: str, day: str
) -> None:
    at = dt.datetime.fromisoformat(f"{utc}:00+00:00")
    monkeypatch.setattr(typed, "now", lambda: at)
    result = run(
        *split("card --folder sample_site --site pell --species stone --kit long --json"),
        "--on", word,
    )  # fmt: skip
    assert json.loads(result.stdout)["title"]["date"] == day


@pytest.mark.parametrize(
    "site",
    ["Pellwick Meadows", "PELLWICK", "pell", "pellwick", "6fc5095f-745f-5a5f-97df-605aa0a77709"],
)
def test_a_site_is_known_by_name_beginning_word_and_id(run: Callable[..., Any], site: str) -> None:
    result = run(
        *split("card --folder sample_site --species stone --kit long --on 2026-05-12 --json"),
        "--site", site,
    )  # fmt: skip
    assert json.loads(result.stdout)["title"]["site"] == "Pellwick Meadows"


def test_a_place_is_known_by_its_code_name(run: Callable[..., Any]) -> None:
    result = run(
        *split("card --folder sample_site --species russet --kit long --on 2026-05-12 --json"),
        "--site", "slate",
    )  # fmt: skip
    assert json.loads(result.stdout)["title"]["site"] == "Hobthorn Dean"
