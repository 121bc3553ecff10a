"""An animal's page: what narrows it, what it says of few watches, and what nobody watched yet."""

from __future__ import annotations

import copy
from datetime import date, timedelta
from typing import Any

import pytest

from scout.engine.calls import call

from .cards import (
    bird,
    ident,
    measurement,
    moved,
    perch,
    permission,
    refusal,
    sightline,
    site,
    vantage,
)
from .logs import LogBook, mornings, sunrise_s, sunset_s, text

ON = "2026-05-20"


def page(log: LogBook, **parts: Any) -> dict[str, Any]:
    answer = call("routine", log.request(**{"date": ON, **parts}))
    assert "error" not in answer, answer["error"]
    return answer


def twelve(**parts: Any) -> LogBook:
    """Twelve mornings in April: on the first seven it came at minute 97."""
    log = LogBook("Stump", "Willow")
    for number, on in enumerate(mornings(12)):
        watch = log.watch(on, -20, 150, **{name: part[number] for name, part in parts.items()})
        if number < 7:
            log.seen(watch, on, 97, 99)
            log.seen(watch, on, 105, 111, perch="Willow")
    return log


def test_two_watches_say_nothing_and_how_many_more_would() -> None:
    log = LogBook()
    for on in mornings(2):
        log.watch(on, -20, 150)
    found = page(log)
    assert found["dawn"]["words"] == (
        "Nothing can be said yet: 2 watches; about 4 more would narrow it to 30 points."
    )
    assert found["dawn"]["more"] == 4  # scipy: 0 of 6 reaches to 0.27, 0 of 5 to 0.32
    assert found["warnings"] == ["Nothing can be said: 2 watches."]
    assert found["dusk"]["words"].startswith("Nothing can be said yet: 0 watches; about 29 more")
    narrow = page(log, width=0.1)
    assert narrow["dawn"]["more"] > 10
    empty = page(LogBook())
    assert empty["warnings"] == ["Not watched."]
    assert empty["dawn"]["steps"] == []


def test_twelve_mornings() -> None:
    found = page(twelve())["dawn"]
    assert found["there"] == {
        "k": 7,
        "n": 12,
        "low": 0.352,  # scipy.stats.beta, as for the rest
        "high": 0.788,
        "words": "7 of 12 (90 %: 35–79 %)",
    }
    assert found["words"].startswith(
        "There on 7 of 12 watched dawns (90 %: 35–79 %); most often from"
    )
    assert found["stands_out"] == [90, 105]  # on the Stump, then on the Willow
    assert found["first_arrival"]["mornings"] == 7
    assert found["first_arrival"]["median_min"] == pytest.approx(97, abs=2)
    quarters = [found["first_arrival"][name] for name in ("low_clock", "clock", "high_clock")]
    assert quarters == sorted(quarters)
    assert quarters[0] < quarters[2]
    assert found["stay"] == {"low_s": 120, "median_s": 240, "high_s": 360}


def test_one_mark_a_visit_in_order_of_sun_time() -> None:
    marks = page(twelve())["dawn"]["marks"]
    assert len(marks) == 12
    assert [mark["seen"] for mark in marks].count(True) == 7
    assert [mark["at_min"] for mark in marks] == sorted(mark["at_min"] for mark in marks)
    blank = next(mark for mark in marks if not mark["seen"])
    assert blank["at_min"] == pytest.approx((blank["from_min"] + blank["to_min"]) / 2, abs=0.11)
    assert blank["clock"] is None
    assert all(len(mark["visits"]) == 1 for mark in marks)


def test_which_perch_after_which() -> None:
    assert page(twelve())["order"] == [{"from": "Stump", "to": "Willow", "times": 7}]


def test_a_perch_or_an_area_narrows_it() -> None:
    log = twelve()
    stump = page(log, perch=ident("Stump"))
    assert stump["title"]["place"] == "Stump"
    assert stump["dawn"]["stay"]["median_s"] == 120
    corners = [(-5, -5), (5, -5), (5, 5), (-5, 5)]
    area = {
        "id": ident("pool"),
        "site": ident("site"),
        "name": "Pool",
        "kind": "watched",
        "outline": [moved(*corner) for corner in corners],
    }
    far = [perch("Stump"), perch("Willow", position=moved(60, 0))]
    found = page(log, perches=far, areas=[area], area=ident("pool"))
    assert found["title"]["place"] == "Pool"
    assert found["dawn"]["stay"]["median_s"] == 120
    # What has only a position counts where that lies.
    log.seen(log.watches[-1]["id"], mornings(12)[-1], 60, 62)
    del log.sightings[-1]["perch"]
    log.sightings[-1]["position"] = moved(2, 2)
    assert page(log, perches=far, areas=[area], area=ident("pool"))["dawn"]["there"]["k"] == 8
    log.sightings[-1]["position"] = moved(30, 2)
    assert page(log, perches=far, areas=[area], area=ident("pool"))["dawn"]["there"]["k"] == 7


def test_weather_season_and_tags_narrow_it() -> None:
    skies = ["clear"] * 4 + ["overcast"] * 8
    winds = [90.0] * 6 + [225.0] * 6
    log = twelve(sky=skies, wind_from_deg=winds, wind_force=[3] * 12)
    assert page(log, sky="clear")["dawn"]["there"]["n"] == 4
    assert page(log, sky="overcast")["dawn"]["there"]["k"] == 3
    assert page(log, wind_from="SW")["dawn"]["there"]["n"] == 6
    assert page(log, wind_from="N")["warnings"] == ["Not watched."]
    season = {"from_day": "04-03", "to_day": "04-05"}
    assert page(log, season=season)["dawn"]["there"]["n"] == 3
    tags = [{"id": ident("t"), "record": log.visits[3]["id"], "word": "mist"}]
    assert page(log, tags=tags, tag="mist")["dawn"]["there"]["n"] == 1
    assert page(log, tags=tags, tag="frost")["dawn"]["there"]["n"] == 0


def test_tallies_spell_out_small_numbers() -> None:
    log = twelve(sky=["clear"] * 4 + ["overcast"] * 8)
    skies = {row["word"]: row["words"] for row in page(log)["tallies"]["sky"]}
    assert skies == {
        "clear": "4 of 4: nothing can be said: 4 watches",
        "overcast": "3 of 8 (90 %: 15–66 %)",
    }


def test_no_curve_below_twenty_arrivals_then_one() -> None:
    log = twelve()
    found = page(log)
    assert found["curve"] is None
    assert found["curve_words"] == "No curve below 20 arrivals: 14 logged. The table speaks alone."
    for watch, on in zip(log.watches[:7], mornings(12), strict=False):
        log.seen(watch["id"], on, 60, 61)
    found = page(log)
    assert found["curve"]["records"] == 21
    top = max(found["curve"]["points"], key=lambda point: float(point["per_hour"]))
    rise = found["anchoring"]["rise_min"]
    assert 90 <= top["at_min"] - rise <= 115
    for point in found["curve"]["points"]:
        assert 0 <= point["low"] <= point["per_hour"] <= point["high"]


def spring() -> dict[str, Any]:
    """A site at which trips may be suggested: far enough, open, permitted."""
    return {
        "measurements": [measurement(m=30.0), measurement(end="Willow", m=30.0)],
        "permissions": [permission()],
    }


def test_what_nobody_watched_yet() -> None:
    log = twelve(sky=["clear"] * 12, wind_from_deg=[90.0] * 12, wind_force=[3] * 12)
    found = page(log, **spring())["unwatched"]
    assert found["why_not"] is None
    assert found["skies"] == ["in and out", "overcast"]
    assert found["winds"] == ["N", "NE", "SE", "S", "SW", "W", "NW"]
    assert found["where"] == ["Bank → Stump", "Bank → Willow"]
    assert found["hours"] == [
        "the hour before sunrise",
        "3 to 2 h before sunset",
        "2 to 1 h before sunset",
        "the hour before sunset",
        "the hour after sunset",
    ]


@pytest.mark.parametrize(
    ("parts", "why"),
    [
        ({"site": site(sensitivity="withheld")}, "This site is sensitive: it is never suggested"),
        ({"species": bird(places="low")}, "This animal's places are sensitive: none"),
        ({"species": bird(keep_distance_open_m=None)}, "No keep-distance of your own"),
        ({"species": bird(keep_distance_open_m=45)}, "No place here is open"),
        (
            {"site": site(closed=[{"from_day": "05-01", "to_day": "05-31"}])},
            "The site is closed from 05-01 to 05-31",
        ),
        ({"permissions": [permission(ends_on="2026-05-01")]}, "Permission lapsed on 2026-05-01"),
        ({"vantages": [vantage(sensitivity="medium")]}, "No place here is open"),
    ],
)
def test_never_suggested(parts: dict[str, Any], why: str) -> None:
    found = page(twelve(), **{**spring(), **parts})["unwatched"]
    assert found["why_not"].startswith(why)
    assert (found["hours"], found["winds"], found["skies"], found["where"]) == ([], [], [], [])


@pytest.mark.parametrize(
    "stump",
    [
        {"sensitivity": "high"},
        {"kind": "nest or den"},
        {"closed": [{"from_day": "05-01", "to_day": "05-31"}]},
    ],
)
def test_a_barred_perch_is_left_out_of_the_list(stump: dict[str, Any]) -> None:
    found = page(twelve(), perches=[perch("Stump", **stump), perch("Willow")], **spring())
    assert found["unwatched"]["where"] == ["Bank → Willow"]
    alone = page(
        twelve(),
        perches=[perch("Stump", **stump), perch("Willow")],
        perch=ident("Stump"),
        **spring(),
    )
    assert alone["unwatched"]["where"] == []
    assert alone["unwatched"]["hours"] == []


@pytest.mark.parametrize(
    ("days_ago", "cause", "kept"), [(10, "me", 0), (20, "me", 2), (10, "other", 2)]
)
def test_lately_disturbed_places_rest(days_ago: int, cause: str, kept: int) -> None:
    log = twelve()
    at = text(sunrise_s(date.fromisoformat(ON) - timedelta(days=days_ago)))
    log.reactions.append(
        {
            "id": ident("r"),
            "watch": log.watches[0]["id"],
            "what": "alarm",
            "at": at,
            "cause": cause,
        }
    )
    assert len(page(log, **spring())["unwatched"]["where"]) == kept


@pytest.mark.parametrize(("cause", "rests"), [("me", True), ("other", False)])
def test_a_disturbed_perch_rests_from_every_vantage(cause: str, rests: bool) -> None:
    log = twelve()
    yesterday = date.fromisoformat(ON) - timedelta(days=1)
    watch = log.watch(yesterday, -20, 150, perches=[ident("Stump")])
    log.reactions += [
        {
            "id": ident(f"r {number}"),
            "watch": watch,
            "what": "alarm",
            "at": text(sunrise_s(yesterday) + 60 * number),
            "cause": cause,
        }
        for number in range(3)
    ]
    two = {
        "vantages": [vantage(), vantage("Hedge", position=moved(0, 30))],
        "sightlines": [
            *(sightline(end=name) for name in log.perches),
            *(sightline("Hedge", name) for name in log.perches),
        ],
        "measurements": [measurement("Hedge", name, m=30.0) for name in log.perches],
    }
    found = page(log, **{**spring(), **two})["unwatched"]["where"]
    assert found == [*([] if rests else ["Hedge → Stump"]), "Hedge → Willow"]


def test_nobody_is_sent_where_all_has_been_watched() -> None:
    log = LogBook()
    skies = ["clear", "in and out", "overcast"]
    for number, on in enumerate(mornings(8)):
        weather = {"sky": skies[number % 3], "wind_from_deg": 45.0 * number, "wind_force": 3}
        dusk = (sunset_s(on) - sunrise_s(on)) / 60.0
        log.watch(on, -70, 190, **weather)
        log.watch(on, dusk - 190, dusk + 70, **weather)
    found = page(log, **spring())["unwatched"]
    assert found == {"hours": [], "winds": [], "skies": [], "where": [], "why_not": None}
    # One wind nobody watched in, and there is somewhere to sit again.
    for visit in log.visits:
        visit["wind_from_deg"] = max(45.0, visit["wind_from_deg"])
    left = page(log, **spring())["unwatched"]
    assert (left["winds"], left["where"]) == (["N"], ["Bank → Stump"])


def test_discreet_pages_name_nothing() -> None:
    told = page(
        twelve(),
        discreet=True,
        species=bird(places="withheld"),
        site=site(code_name="Slate"),
        perch=ident("Stump"),
    )
    written = str(told)
    for name in ("Sallow", "Stump", "Willow", "Wren", "Bank"):
        assert name not in written
    assert told["title"]["site"] == "Slate"
    assert page(twelve(), discreet=True)["title"]["site"] == "Sallow Flat"


def test_where_there_is_no_sunrise_it_counts_from_noon() -> None:
    log = LogBook()
    for on in mornings(6, date(2026, 6, 10)):
        watch = log.watch(on, -20, 150)
        log.seen(watch, on, 60, 70)
    north = site(centre={"lat": 72.0, "lon": 0.2})
    found = page(log, site=north, date="2026-06-20", species=bird(keep_distance_open_m=1))
    assert found["anchoring"]["kind"] == "solar noon"
    assert found["dawn"]["there"]["k"] == 6
    assert found["unwatched"]["hours"] == ["not counted here"]


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        ({"perch": ident("nowhere")}, "perch: is not among the perches"),
        ({"area": ident("nowhere")}, "area: is not among the areas"),
        ({"perch": ident("Stump"), "area": ident("x")}, "area: cannot be asked together"),
        ({"sky": "foggy"}, "sky: 'foggy' is not known|sky: "),
        ({"wind_from": "NNE"}, "wind_from"),
        ({"season": {"from_day": "04-31"}}, "season"),
        ({"season": 4}, "season: needs"),
        ({"width": 1.5}, "width"),
        ({"date": "soon"}, "date"),
        ({"tag": ""}, "tag: must be a text"),
        ({"visits": 3}, "visits: 3 is not a list"),
        ({"watches": [{}]}, r"watches\[1\]"),
        ({"colour": "red"}, "colour: is no part of this request"),
    ],
)
def test_bad_questions_are_refused_in_sentences(parts: dict[str, Any], says: str) -> None:
    asked = {**copy.deepcopy(twelve().request(date=ON)), **parts}
    assert any(part in refusal("routine", asked) for part in says.replace("\\", "").split("|"))
