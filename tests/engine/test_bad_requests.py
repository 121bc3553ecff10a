"""Whatever a request holds, every call answers, or refuses in sentences that name the field.

Two ways of being bad. One part of a sound request is replaced by junk; or all records are sound by
their own rules and make no sense together. Any other exception than a refusal fails the test, and
so does a number that JSON has not.
"""

from __future__ import annotations

import copy
import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.engine.asked import LISTS
from scout.engine.calls import CALLS, call_text
from tests.records import made_records as made

from .cards import bird, ident, kit, reaction, refusal, request, walk_in, watch

JUNK = st.one_of(
    st.none(),
    st.booleans(),
    st.sampled_from(
        [
            "",
            " ",
            "12",
            "NaN",
            "null",
            "2026-02-30",
            "2026-05-12T04:00:00",
            "Europe",
            "\ud800",
            "x" * 9,
        ]
    ),
    st.sampled_from([0, -1, 91, 400, 10**30, 10**400, -(10**400), 1e308, -1e308, 5e-324, -0.0]),
    st.floats(allow_nan=False),
    st.text(max_size=12),
    st.just([]),
    st.just({}),
    st.just([[]]),
    st.just([None]),
    st.just({"lat": 91, "lon": 0}),
    st.just([1, "two", {"three": 3}]),
)


PRESENCE = {
    "anchoring": {"kind": "sunrise and sunset", "rise_min": -440.0, "set_min": 441.5},
    "dawn": {
        "perches": {
            ident("Stump"): {
                "mornings": [
                    {"date": "2026-05-02", "watched": [[-20, 150.5]], "stays": [[60, 75], [90, 95]]}
                ]
            }
        }
    },
    "dusk": {"perches": {}},
}


def full_card() -> dict[str, Any]:
    """Return a sound request in which every part is sent."""
    return request(
        settings={"sun_share": 0.4},
        sky="in and out",
        wind="SW 3",
        behaviour="fidgeting",
        presence=PRESENCE,
        also=[{"species": bird(id=ident("rail"), name="Rail"), "presence": PRESENCE}],
        discreet=True,
        canopies=[{"id": ident("c"), "perch": ident("Stump"), "loss_ev": 1.5, "leaf": "in leaf"}],
        landmarks=[
            {
                "id": ident("l"),
                "site": ident("site"),
                "name": "Pit",
                "kind": "hazard",
                "position": {"lat": 52.1, "lon": 0.2},
            }
        ],
        visits=[{"id": ident("visit w"), "site": ident("site"), "start": "2026-05-01T04:00:00Z"}],
        watches=[watch("w", "2026-05-01T04:00:00Z")],
        sightings=[
            {
                "id": ident("s"),
                "watch": ident("w"),
                "species": ident("bird"),
                "how": "seen",
                "time_in": "2026-05-01T04:40:00Z",
            }
        ],
        reactions=[reaction("r", "w", "2026-05-01T04:50:00Z")],
        light_readings=[
            {
                "id": ident("e"),
                "site": ident("site"),
                "at": "2026-05-01T05:40:00Z",
                "perch": ident("Stump"),
                "facing_deg": 90,
                "ev100": 11,
                "sky": "clear",
            }
        ],
        walk_ins=[walk_in(legs=[{"bearing_deg": 300, "distance_m": 200}])],
    )


PARITY = Path(__file__).resolve().parent.parent / "parity" / "requests"


def sound() -> dict[str, dict[str, Any]]:
    """Return one sound request for every call that takes one."""
    whole = full_card()
    base = {name: part for name, part in whole.items() if name not in ("date", "session")}
    vantage = whole["vantages"][0]
    return {
        "outing_card": whole,
        "choice_table": {"sites": [base], "first": "2026-05-12", "days": 2, "sessions": ["dusk"]},
        "light_day": {**base, "date": "2026-05-12", "sightline": whole["sightlines"][0]["id"]},
        "site_map": whole,
        "kit_table": {
            "kits": [kit(seen_width={"distance_m": 10, "frame_width_m": 0.8})],
            "species": bird(),
            "distance_m": 12,
            "gap_m": 40,
            "background": "reeds",
            "tone": "dark",
            "in_shade": True,
            "speed_mps": 8,
            "residue": 0.1,
            "settings": {"output_px": 3000},
        },
        "stand_where": {
            "kit": kit(),
            "species": bird(),
            "distance_m": 12,
            "gap_m": 40,
            "times_animal": 0.4,
            "in_hide": False,
        },
        "compass": {
            "position": {"lat": 52.1, "lon": 0.2},
            "at": "2026-05-12T08:00:00Z",
            "bearing": {"read_deg": 275, "reference": "magnetic", "how": "phone compass"},
            "along_shadow": True,
        },
        "place_perch": {
            "vantage": {**vantage, "lens_height_m": 1, "ground_elevation": {"m": 4}},
            "bearing": {"read_deg": 275, "reference": "magnetic"},
            "distance": {"m": 14},
            "tilt": {"deg": 2},
            "at": "2026-05-12T08:00:00Z",
        },
        "sector": {
            "position": {"lat": 52.1, "lon": 0.2},
            "date": "2026-05-12",
            "session": "dusk",
        },
        "kept_places": json.loads((PARITY / "kept_places.json").read_text("utf-8"))[3]["request"],
        **habits(),
    }


def habits() -> dict[str, dict[str, Any]]:
    """Return the first sound request of each call about habits, as both Pythons are asked."""
    asked = json.loads((PARITY / "habits.json").read_text(encoding="utf-8"))
    kept = [row for row in asked if not row.get("refused")]
    return {row["name"]: row["request"] for row in reversed(kept)}


SOUND = sound()


def paths(part: Any, here: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Return the way to every part of a request, the request itself left out."""
    found = [here] if here else []
    inner: list[tuple[str | int, Any]] = []
    if isinstance(part, dict):
        inner = list(part.items())
    elif isinstance(part, list):
        inner = list(enumerate(part))
    for step, value in inner:
        found += paths(value, (*here, step))
    return found


def replaced(whole: dict[str, Any], path: tuple[str | int, ...], junk: Any) -> dict[str, Any]:
    """Return a copy with junk where the path leads."""
    bad = copy.deepcopy(whole)
    inner: Any = bad
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = junk
    return bad


def answered(name: str, asked: dict[str, Any]) -> dict[str, Any]:
    """Ask through the front door as text; json.dumps there refuses NaN and infinity itself."""
    answer: dict[str, Any] = json.loads(call_text(name, json.dumps(asked)))
    if "error" in answer:
        assert answer["error"]["sentences"]
        for sentence in answer["error"]["sentences"]:
            assert sentence.strip(), answer
            assert sentence[-1] in ".!?", sentence
            assert "Traceback" not in sentence
    return answer


def test_sound_requests_cover_every_call() -> None:
    assert set(SOUND) | {"engine"} == set(CALLS)


@pytest.mark.parametrize("name", sorted(SOUND))
def test_sound_requests_are_answered(name: str) -> None:
    assert "error" not in answered(name, SOUND[name])


@pytest.mark.parametrize("name", sorted(SOUND))
@given(data=st.data())
def test_junk_in_one_part_is_answered_or_refused(name: str, data: st.DataObject) -> None:
    path = data.draw(st.sampled_from(paths(SOUND[name])))
    junk = data.draw(JUNK)
    answered(name, replaced(SOUND[name], path, junk))


# A log has tens of thousands of rows, of which these read only what they count.
SPARING = {"presence", "routine", "season_strip", "after_outings"}


@pytest.mark.parametrize("name", sorted(set(SOUND) - SPARING))
def test_every_part_is_read_by_somebody(name: str) -> None:
    """An object where a plain value belongs is refused at every leaf, by the leaf's name."""
    for path in paths(SOUND[name]):
        inner: Any = SOUND[name]
        for step in path:
            inner = inner[step]
        if isinstance(inner, dict | list):
            continue
        answer = answered(name, replaced(SOUND[name], path, {"no": "such"}))
        assert "error" in answer, path
        said = " ".join(answer["error"]["sentences"])
        named = [str(step) for step in path if isinstance(step, str)]
        assert any(step in said for step in named), (path, said)


@given(data=st.data())
def test_sound_records_that_fit_badly_are_answered_or_refused(data: st.DataObject) -> None:
    """Records made at random from the schema, tied together by their ids."""
    tied = {
        "site": ident("site"),
        "perch": ident("perch"),
        "vantage": ident("vantage"),
        "sightline": ident("sightline"),
        "pin": ident("perch"),
        "watch": ident("watch"),
        "species": ident("species"),
        "visit": ident("visit"),
    }

    def one(kind: str, **parts: Any) -> dict[str, Any]:
        record = dict(data.draw(made.objects(made.KINDS[kind]), label=kind))
        for name, value in tied.items():
            if name in record:
                record[name] = value
        # Rules across fields are tested elsewhere; here they would refuse nearly everything.
        record.pop("iso_base", None)
        if "gap" in record:
            record["gap"] = data.draw(st.sampled_from([{"sky": True}, {"m": 0}, "about 12 m"]))
        if kind == "skyline":
            record["nodes"] = [{"azimuth_deg": 80, "altitude_deg": data.draw(st.floats(-10, 90))}]
            record["source"] = data.draw(st.sampled_from(["aimed", "photo", "terrain"]))
        return {**record, "id": ident(kind), **parts}

    asked: dict[str, Any] = {
        "site": one("site", zone=data.draw(st.sampled_from(["Europe/London", "Asia/Tokyo"]))),
        "species": one("species"),
        "kit": one("kit"),
        "date": data.draw(st.dates(date(1950, 1, 1), date(2100, 12, 31)).map(str)),
        "session": data.draw(st.sampled_from(["dawn", "dusk"])),
    }
    for name, kind in LISTS.items():
        if data.draw(st.booleans()) or kind in ("perch", "vantage", "sightline"):
            asked[name] = [one(kind)]
    answered("outing_card", asked)
    del asked["session"]
    answered("light_day", {**asked, "sightline": ident("sightline")})


def test_faults_are_said_all_at_once_each_by_its_field() -> None:
    asked = request(date="12 May", session="noon", wind="from behind", sky="grey", nonsense=1)
    said = refusal("outing_card", asked)
    for field in ("date: ", "session: ", "wind: ", "sky: ", "nonsense: "):
        assert field in said, field


@pytest.mark.parametrize(
    ("presence", "words"),
    [
        ([], "presence: a list […] is not an object"),
        ({}, 'presence.anchoring: needs a "kind"'),
        ({**PRESENCE, "dusk": {}}, 'presence.dusk: needs "perches"'),
        (
            {**PRESENCE, "dawn": {"perches": {ident("Stump"): {}}}},
            "mornings: is no list of mornings",
        ),
    ],
)
def test_presence_of_the_wrong_shape_is_refused(presence: Any, words: str) -> None:
    assert words in refusal("outing_card", request(presence=presence))


def test_a_bad_site_of_the_choice_table_is_named() -> None:
    good = {name: part for name, part in request().items() if name not in ("date", "session")}
    bad = {**good, "kit": {**good["kit"], "iso_ceiling": "12"}}
    said = refusal("choice_table", {"sites": [good, bad], "first": "2026-05-12", "days": 1})
    assert "sites[2].kit.iso_ceiling" in said
    said = refusal("choice_table", {"sites": [good, 7], "first": "2026-05-12", "days": 1})
    assert "sites[2]: 7 is no card's request" in said
    said = refusal("choice_table", {"sites": [good], "first": "2026-05-12", "days": 1.5})
    assert "days: 1.5 is not a whole number" in said
