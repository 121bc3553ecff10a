"""What outings have taught: every figure by hand."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from scout.engine.calls import call

from .cards import bird, ident, kit, request, site, vantage
from .logs import LogBook, mornings, sunrise_s, text

ON = date(2026, 5, 12)


def taught(log: LogBook, **parts: Any) -> dict[str, Any]:
    whole = request(**parts)
    del whole["session"]
    for name in ("visits", "watches", "sightings", "reactions"):
        whole[name] = log.request()[name]
    answer = call("after_outings", whole)
    assert "error" not in answer, answer["error"]
    return answer


def frames() -> LogBook:
    log = LogBook()
    rows = [
        (100, 10, ["light"]),
        (80, 0, ["light", "distance"]),
        (60, 30, []),
        (0, 0, ["absence"]),
        (None, None, ["absence"]),
    ]
    for on, (taken, kept, failed) in zip(mornings(5), rows, strict=True):
        counts = {} if taken is None else {"frames": taken, "keepers": kept}
        log.watch(on, 0, 120, **counts, failed_by=failed)
    return log


def test_what_costs_the_most_pictures() -> None:
    found = taught(frames())
    assert (found["visits"], found["frames"], found["keepers"]) == (5, 240, 40)
    # 90 of the first visit and half of the second's 80; the other half was distance.
    assert [(row["what"], row["pictures"], row["visits"]) for row in found["failed"]] == [
        ("light", 130, 2),
        ("distance", 40, 1),
        ("absence", 0, 2),
    ]
    # 90 + 80, and the 30 of the third visit, which named no cause.
    assert found["lost_words"] == (
        "Lost: 200 frames were not kept. 170 of them stand in the rows, a visit's shared evenly "
        "among what failed on it; for the other 30 no cause was noted. "
        "Absence cost 2 of 5 outings and no frames."
    )
    assert found["failed"][0]["words"] == "light: 130 pictures, on 2 visits"
    assert found["failed"][2]["words"] == "absence: on 2 visits"


def test_which_vantages_earn_them() -> None:
    log = frames()
    # The first visit went on from the Bank to the Oak for a third of its time.
    log.watches.append(
        {
            **log.watches[0],
            "id": ident("second"),
            "vantage": ident("Oak"),
            "start": text(sunrise_s(mornings(1)[0]) + 7200),
            "end": text(sunrise_s(mornings(1)[0]) + 10800),
        }
    )
    found = taught(log, vantages=[vantage(), vantage("Oak"), vantage("Never")])
    assert [(row["name"], row["visits"], row["keepers"]) for row in found["vantages"]] == [
        ("Bank", 5, 37),  # 2/3 of 10, and 30
        ("Oak", 1, 3),
    ]
    assert found["vantages"][0]["hours"] == 10.0
    assert found["vantages"][1]["words"] == "Oak: 3 kept of 33 on 1 visit, 1 h"


def reacted(*distances: float, **parts: Any) -> LogBook:
    log = LogBook()
    watch = log.watch(ON, 0, 120)
    log.reactions = [
        {
            "id": ident(f"r {number}"),
            "watch": watch,
            "species": ident("bird"),
            "what": "looked up",
            "at": text(sunrise_s(ON) + 600),
            "distance_m": distance,
            **parts,
        }
        for number, distance in enumerate(distances)
    ]
    return log


def test_a_keep_distance_from_ones_own_reactions() -> None:
    found = taught(reacted(12.0, 31.0, 25.0))["keep_distances"]
    # A quarter more than 31 m, to the next whole metre.
    assert found["open"]["proposed_m"] == 39
    assert found["open"]["own_m"] == 10
    assert found["open"]["words"] == (
        "3 reactions in the open, the furthest at 31 m: 39 m proposed."
    )
    assert found["hide"] is None


def test_never_below_the_persons_own() -> None:
    found = taught(reacted(31.0), species=bird(keep_distance_open_m=60))["keep_distances"]["open"]
    assert found["proposed_m"] == 60
    assert found["words"].endswith("your own 60 m stands.")


def test_a_hide_has_its_own() -> None:
    hidden = {"vantages": [vantage(cover="hide")], "species": bird(keep_distance_hide_m=5)}
    found = taught(reacted(12.0), **hidden)["keep_distances"]
    assert found["open"] is None
    assert found["hide"]["proposed_m"] == 15


@pytest.mark.parametrize(
    "parts", [{"cause": "other"}, {"species": ident("mammal")}, {"distance_m": None}]
)
def test_what_tells_nothing_of_a_distance(parts: dict[str, Any]) -> None:
    assert taught(reacted(31.0, **parts))["keep_distances"]["open"] is None


def shots(*off_ev: float) -> list[dict[str, Any]]:
    """Return test shots by so many stops brighter than the model, level at noon under clear sky."""
    whole = request(date="2026-05-10")
    del whole["session"]
    whole["sightline"] = whole["sightlines"][0]["id"]
    rows = call("light_day", whole)["rows"]
    row = next(row for row in rows if row["at"]["utc"] == "2026-05-10T07:00Z")
    return [
        {
            "id": ident(f"shot {number}"),
            "site": ident("site"),
            "perch": ident("Stump"),
            "facing_deg": 90,
            "at": text((sunrise_s(ON) // 86400 - 2) * 86400 + 7 * 3600 + number),
            "ev100": row["ev100"]["clear"] + off,
            "sky": "clear",
            "source": "test shot",
        }
        for number, off in enumerate(off_ev)
    ]


def test_predicted_against_actual_shutter() -> None:
    # At a low ceiling, so that a bright morning stays on the dial.
    found = taught(LogBook(), light_readings=shots(1.0, 0.0, 0.5), kit=kit(iso_ceiling=400))
    assert [row["error_ev"] for row in found["shutters"]] == pytest.approx([1, 0, 0.5], abs=0.11)
    first = found["shutters"][0]
    predicted, actual = (int(first[name].split("/")[1]) for name in ("predicted", "actual"))
    assert actual / predicted == pytest.approx(2.0, rel=0.2)  # a stop is half the time
    assert first["words"].startswith(f"1/{predicted} predicted, 1/{actual} as shot: ")
    assert found["shutter_words"].startswith("3 test shots: in the middle 0.")
    assert "brighter than predicted" in found["shutter_words"]


def test_meters_are_no_test_shots() -> None:
    readings = [{**shot, "source": "meter"} for shot in shots(1.0)]
    found = taught(LogBook(), light_readings=readings)
    assert found["shutters"] == []
    assert found["shutter_words"].startswith("No test shot that qualifies yet")


def test_an_empty_notebook_answers() -> None:
    found = taught(LogBook())
    assert (found["visits"], found["failed"], found["vantages"]) == (0, [], [])


def test_discreet_answers_name_no_place() -> None:
    found = taught(
        frames(), discreet=True, site=site(code_name="Slate"), species=bird(places="withheld")
    )
    assert "Bank" not in str(found)
    assert found["vantages"][0]["name"] == "vantage A"
