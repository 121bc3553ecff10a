"""The outing card: four states, good minutes, the order, the verdict and the timeline.

Rules of the trade and the project's own: common practice, no source.
"""

from __future__ import annotations

import itertools
from datetime import datetime
from typing import Any

import pytest

from scout.engine.calls import call
from scout.engine.minutes import DARK, GOOD, SKY_LIGHT, SUN

from .cards import (
    bird,
    card,
    ident,
    kit,
    mammal,
    measurement,
    only,
    perch,
    request,
    sightline,
    site,
    skyline,
    vantage,
    walk_in,
)

CASES = ("clear", "sun out", "sun in", "overcast")


def at(moment: dict[str, str]) -> datetime:
    return datetime.fromisoformat(moment["utc"].replace("Z", "+00:00"))


def whats(found: dict[str, Any]) -> list[str]:
    return [entry["what"] for entry in found["timeline"]]


def entry(found: dict[str, Any], what: str) -> dict[str, Any]:
    return next(one for one in found["timeline"] if one["what"] == what)


# States.


@pytest.mark.parametrize("session", ["dawn", "dusk"])
@pytest.mark.parametrize("wanted", ["front", "side", "back", "any", None])
@pytest.mark.parametrize("behaviour", ["perched", "flight"])
def test_states_follow_from_light_shutter_and_side(
    session: str, wanted: str | None, behaviour: str
) -> None:
    """Every stretch is one of four states, they fill the session, and each means what it says."""
    line = sightline(light_wanted=wanted) if wanted else sightline()
    if wanted is None:
        del line["light_wanted"]
    found = card(session=session, sightlines=[line], behaviour=behaviour)
    shown = only(found)
    place = ("perched", "fidgeting", "flight").index(behaviour)
    row = shown["arrivals"][place]
    for case in CASES:
        spans = shown["stretches"][case]
        for before, after in itertools.pairwise(spans):
            assert before["to"] == after["from"]
            assert (before["state"], before["words"]) != (after["state"], after["words"])
        assert abs((at(spans[0]["from"]) - at(found["session"]["start"])).seconds) <= 60
        assert {span["state"] for span in spans} <= {DARK, SKY_LIGHT, SUN, GOOD}
        beam = case in ("clear", "sun out")
        for span in spans:
            words, state = span["words"], span["state"]
            sunny = "front" in words or "side" in words or "back" in words
            assert not (sunny and not beam)
            if state == "dark":
                assert words == "too dark"
            elif state == "sun":
                assert words.startswith("sun on it, shutter not reached: ")
            elif state == "sky light":
                assert words.startswith("shutter reached: ")
                assert wanted not in (None, "any")
                assert f"{wanted} light" not in words
            else:
                assert words.startswith("good: ")
                assert wanted in (None, "any") or f"{wanted} light" in words
        reached = [span for span in spans if span["state"] in ("sky light", "good")]
        if row[case] is None:
            assert not reached
        elif session == "dawn":
            assert reached[0]["from"] == row[case]
        else:
            assert reached[-1]["to"] == row[case]
        # Good minutes count from the moment on at which one is in place.
        there = at(entry(found, "in place and quiet")["at"])
        good = sum(
            (at(span["to"]) - max(there, at(span["from"]))).total_seconds() / 60
            for span in spans
            if span["state"] == "good" and at(span["to"]) > there
        )
        name = case if case in shown["good_min"] else None
        assert name is None or shown["good_min"][name] == good


def test_sky_light_is_good_only_where_any_light_will_do() -> None:
    any_light = only(card(sightlines=[sightline(light_wanted="any")], sky="overcast"))
    front = only(card(sightlines=[sightline(light_wanted="front")], sky="overcast"))
    assert any_light["good_min"]["overcast"] > 60
    assert front["good_min"]["overcast"] == 0
    assert front["arrivals"] == any_light["arrivals"]


def test_in_and_out_counts_by_the_share_of_sunny_time() -> None:
    shown = only(card(settings={"sun_share": 0.25}))["good_min"]
    assert shown["in and out"] == round(0.25 * shown["sun out"] + 0.75 * shown["sun in"])
    assert shown["sun out"] > 0


def test_what_is_held_by_hand_needs_a_shutter_that_can_be_held() -> None:
    # 1 / (500 mm × 1) is 1/500: slower than that is no good, whatever the bird does.
    by_hand = only(card(vantages=[vantage(support="hand")]))
    on_legs = only(card(vantages=[vantage(support="tripod")]))
    assert [row["shutter"] for row in by_hand["arrivals"]] == ["1/500", "1/1000", "1/3200"]
    assert [row["shutter"] for row in on_legs["arrivals"]] == ["1/250", "1/1000", "1/3200"]
    assert at(by_hand["arrivals"][0]["clear"]) > at(on_legs["arrivals"][0]["clear"])
    assert by_hand["arrivals"][1:] == on_legs["arrivals"][1:]
    assert "held by hand" in " ".join(by_hand["details"])
    # Two stops of stabiliser: 1/125 would do, so the bird's 1/250 rules again.
    steady = only(card(vantages=[vantage(support="hand")], kit=kit(stabiliser_ev=2)))
    assert steady["arrivals"] == on_legs["arrivals"]


# Order.


def two(first: dict[str, Any], second: dict[str, Any], **parts: Any) -> dict[str, Any]:
    """Return a card of two sightlines to one perch over the same ground, Bank and Ash."""
    return card(
        vantages=[vantage("Bank"), vantage("Ash")],
        sightlines=[sightline("Bank", **first), sightline("Ash", **second)],
        measurements=[measurement("Bank"), measurement("Ash")],
        **parts,
    )


def order(found: dict[str, Any]) -> list[str]:
    return [one["vantage"] for one in found["sightlines"]]


def test_more_good_minutes_come_first_under_the_typed_sky() -> None:
    lines = ({"light_wanted": "front"}, {"light_wanted": "any"})
    assert order(two(*lines, sky="overcast")) == ["Ash", "Bank"]
    assert order(two(*reversed(lines), sky="overcast")) == ["Bank", "Ash"]


def test_ties_fall_to_the_name_then_to_the_id() -> None:
    assert order(two({}, {})) == ["Ash", "Bank"]
    twins = [sightline(id=ident("one")), sightline(id=ident("two"))]
    measured = [
        {**measurement(), "id": ident(f"m{n}"), "sightline": t["id"]} for n, t in enumerate(twins)
    ]
    for pair in (twins, twins[::-1]):
        found = card(sightlines=pair, measurements=measured)
        assert [one["id"] for one in found["sightlines"]] == sorted(t["id"] for t in twins)


def test_level_background_and_size_take_away_no_minutes() -> None:
    plain = two({}, {})["sightlines"]
    worse = two({}, {"background": "branches", "tone": "sky holes", "gap": {"m": 1}})["sightlines"]
    assert [one["good_min"] for one in plain] == [one["good_min"] for one in worse]
    assert [one["vantage"] for one in worse] == ["Ash", "Bank"]
    assert any("busy" in words for words in worse[0]["against"])


def test_barred_ones_come_last_and_are_never_offered() -> None:
    found = two({"light_wanted": "front"}, {"light_wanted": "any"}, species=bird())
    assert [one["rank"] for one in found["sightlines"]] == [1, 2]
    close = measurement("Ash", m=6)
    barred = card(
        vantages=[vantage("Bank"), vantage("Ash")],
        sightlines=[sightline("Bank"), sightline("Ash", light_wanted="any")],
        measurements=[measurement("Bank"), close],
    )
    assert order(barred) == ["Bank"]
    assert [(one["vantage"], one["rank"]) for one in barred["barred"]] == [("Ash", None)]
    assert "Ash" not in barred["verdict"]


# Verdict.


def test_verdict_names_the_skies_that_are_worth_it() -> None:
    assert card()["verdict"].startswith("Worth it if clear (")
    assert card()["verdict"].endswith("; not if overcast.")
    anything = card(sightlines=[sightline(light_wanted="any")])["verdict"]
    assert anything.startswith("Worth it under any sky: ")
    none = card(kit=kit(iso_ceiling=100), behaviour="flight")["verdict"]
    assert none == "Not for the light: under no sky does Bank → Stump reach a good minute."


@pytest.mark.parametrize(
    ("sky", "words"),
    [
        ("clear", "Worth it: Bank → Stump, 1"),
        (
            "overcast",
            "Not for the light: Bank → Stump, no good minute under an overcast sky: fr",
        ),
    ],
)
def test_verdict_under_a_typed_sky(sky: str, words: str) -> None:
    found = card(sky=sky)
    assert found["verdict"].startswith(words)
    assert found["asked"]["ranked_by_sky"] == sky
    assert not any("Sky not typed" in said for said in found["not_known"])


def test_nothing_to_rank_is_said() -> None:
    found = card(sightlines=[], measurements=[])
    assert found["verdict"] == "No sightline here yet: connect a vantage to a perch first."
    assert whats(found) == ["civil dawn", "sunrise"]
    every = card(species=bird(keep_distance_open_m=50))
    assert every["verdict"] == "Not this time: every sightline is barred."
    assert every["arrivals"] == []


def test_a_sightline_whose_perch_has_not_come_waits() -> None:
    found = card(sightlines=[sightline(), sightline(end="Elsewhere")])
    assert len(found["sightlines"]) == 1
    assert "One sightline waits: its perch is not here yet." in found["not_known"]


# Timeline.


def test_dawn_runs_from_the_alarm_to_the_way_back() -> None:
    found = card(site=site(drive_min=25), walk_ins=[walk_in(dark_min=18)])
    times = [at(one["at"]) for one in found["timeline"]]
    assert times == sorted(times)
    civil = at(found["session"]["civil"])
    place, car, up = (
        at(entry(found, w)["at"]) for w in ("in place and quiet", "leave the car", "get up")
    )
    # Half an hour before civil dawn; 18 min and 5 to set up; 25 to drive and 30 to get off.
    assert (civil - place).seconds // 60 in (30, 31)
    assert (place - car).seconds // 60 == 18 + 5
    assert (car - up).seconds // 60 == 25 + 30
    assert entry(found, "get up")["note"] == "30 min to get off, 25 min drive"
    assert entry(found, "leave the car")["note"].startswith("18 min walk, 5 min to set up; moon ")
    assert whats(found)[-1] == "leave"


def test_dusk_walks_in_by_day_and_nobody_gets_up_for_it() -> None:
    found = card(
        session="dusk",
        vantages=[vantage(position={"lat": 52.1, "lon": 0.19982})],
        measurements=[measurement(bearing_deg=90)],
        skylines=[skyline([(240, 4), (330, 4)])],
        walk_ins=[walk_in(dark_min=30, day_min=12)],
    )
    assert "get up" not in whats(found)
    leave_home, car, place = (
        at(entry(found, w)["at"]) for w in ("leave home", "leave the car", "in place and quiet")
    )
    assert (at(found["session"]["sun_level"]) - place).seconds // 60 in (90, 91)
    assert (place - car).seconds // 60 == 12 + 5
    assert (car - leave_home).seconds // 60 == 20
    assert "moon" not in entry(found, "leave the car")["note"]
    # What the moon does counts for the way back, once it is dark.
    last = found["timeline"][-1]
    assert last["what"] == "leave"
    assert last["note"].startswith("when the animal has gone or it is dark; moon ")
    assert last["at"] == found["session"]["nautical"]
    assert entry(found, "sun goes behind the skyline")
    shutters = [one for one in whats(found) if one.startswith("1/")]
    assert all(one.endswith(" lost") for one in shutters)
    # The faster the shutter, the sooner it is lost.
    assert shutters == ["1/3200 lost", "1/1000 lost", "1/250 lost"]
    # Light before one is in place is no good minute.
    line = found["sightlines"][0]
    assert line["best"]["from"] == entry(found, "in place and quiet")["at"]
    assert line["stretches"]["clear"][0]["from"]["utc"] < line["best"]["from"]["utc"]
    assert line["good_min"]["sun out"] == line["best"]["minutes"]


def test_early_animals_and_early_arrivals_move_the_alarm() -> None:
    civil = at(card()["session"]["civil"])

    def ahead(**parts: Any) -> tuple[int, str]:
        found = entry(card(**parts), "in place and quiet")
        return (civil - at(found["at"])).seconds // 60, found["note"]

    assert ahead()[0] in (30, 31)
    assert ahead(species=bird(early=True))[0] in (60, 61)
    watch = {"id": ident("w"), "vantage": ident("Bank"), "start": "2026-05-12T02:00:00Z"}
    seen = {
        "id": ident("s"),
        "watch": ident("w"),
        "species": ident("bird"),
        "how": "seen",
        # Of that very dawn, so the sun's altitude carried over is this minute again.
        "time_in": "2026-05-12T03:10:00Z",
    }
    minutes, note = ahead(watches=[watch], sightings=[seen])
    assert minutes in (48, 49)  # civil dawn 03:28; arrival 03:10, and half an hour before it
    assert note == "30 min before the earliest arrival logged"
    # What was only heard, or another animal, moves nothing.
    for change in ({"how": "heard"}, {"how": "sign"}, {"species": ident("other")}):
        assert ahead(watches=[watch], sightings=[{**seen, **change}])[0] in (30, 31)


def test_times_that_hang_on_nothing_known_are_left_out() -> None:
    no_walk = card(walk_ins=[])
    # The latest there can be, and said to be: the alarm clock is what the card is read for.
    timed = card(walk_ins=[walk_in(dark_min=10)])
    later = at(entry(no_walk, "get up")["at"]) - at(entry(timed, "get up")["at"])
    assert later.seconds // 60 == 10
    assert "walk not timed" in entry(no_walk, "leave the car")["note"]
    assert "earlier by the walk" in entry(no_walk, "get up")["note"]
    assert any("Walk-in not timed" in said for said in no_walk["not_known"])
    no_drive = site()
    del no_drive["drive_min"]
    found = card(site=no_drive)
    assert "get up" not in whats(found)
    assert "Drive not noted: when to leave home is not known." in found["not_known"]
    by_day = card(walk_ins=[{"id": ident("d"), "vantage": ident("Bank"), "day_min": 10}])
    assert entry(by_day, "leave the car")["note"].startswith("15 min walk")
    assert any("half as long again" in said for said in by_day["not_known"])


# Words.


def test_words_within_a_sentence_name_the_kind_of_animal() -> None:
    """Its own name stands where it begins a sentence, so that capitals come out right."""
    for animal, noun in ((bird(name="Stonechat"), "bird"), (mammal(name="Roe deer"), "animal")):
        text = " ".join(
            words
            for one in card(species=animal)["sightlines"]
            for words in (one["background"], *one["for"], *one["against"], *one["details"])
        )
        assert f"as long as the {noun}" in text or f"of the {noun}'s length" in text
        assert f"the {animal['name']}" not in text


def test_settings_move_what_they_name() -> None:
    tilted = {**measurement(), "tilt": {"deg": -7, "how": "clinometer"}}
    assert "slightly above" in only(card(measurements=[tilted]))["level"]
    wide = only(card(measurements=[tilted], settings={"level_perch_deg": 8}))
    assert wide["level"].startswith("level (−7°")
    narrow = only(card(measurements=[tilted], settings={"slight_perch_deg": 6}))
    assert "well above" in narrow["level"]


def test_always_the_cautions_and_the_sun_in_the_lens() -> None:
    into_sun = card(
        vantages=[vantage(position={"lat": 52.1, "lon": 0.19982})],
        measurements=[measurement(bearing_deg=70)],
    )
    assert any("never look at or frame the sun" in said for said in into_sun["cautions"])
    assert not any("frame the sun" in said for said in card()["cautions"])
    always = " ".join(card()["cautions"])
    for words in ("alert behaviour", "no active nests", "plan and time of return", "planning aids"):
        assert words in always


def test_answers_do_not_hang_on_the_order_of_records() -> None:
    asked = request(
        perches=[perch(), perch("Post", position={"lat": 52.1002, "lon": 0.2001})],
        vantages=[vantage(), vantage("Ash")],
        sightlines=[sightline(), sightline("Ash"), sightline("Ash", "Post")],
        measurements=[measurement(), measurement("Ash"), measurement("Ash", "Post", m=20)],
    )
    turned = {name: part[::-1] if isinstance(part, list) else part for name, part in asked.items()}
    assert call("outing_card", asked) == call("outing_card", turned)
