"""No answer brings more visits to what is to be left alone: asked of the places of a kept layer."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from scout.engine.calls import call

from .cards import bird, ident, moved, perch, permission, sightline, site, vantage

SPRING = [{"from_day": "03-15", "to_day": "07-31", "why": "Nesting"}]


def _spot(name: str, east_m: float, distance_m: float = 20.0) -> dict[str, Any]:
    return {
        "perch": ident(name),
        "position": moved(east_m, 0),
        "distance_m": distance_m,
        "bearing_deg": 270,
    }


def _layer(*spots: dict[str, Any], **parts: Any) -> dict[str, Any]:
    return {
        "id": ident("layer"),
        "site": ident("site"),
        "kind": "finder result",
        "bounds": {"south_deg": 52.0, "west_deg": 0.1, "north_deg": 52.2, "east_deg": 0.3},
        "blob": "0" * 64,
        "made_from": "bare earth",
        "species": ident("bird"),
        "spots": list(spots),
        **parts,
    }


def _asked(on: str = "2026-05-12", **parts: Any) -> Any:
    """Ask of a place 20 m east of the Stump, which is known to ±3 m, unless parts say another."""
    request = {
        "layer": _layer(_spot("Stump", 20.0)),
        "site": site(),
        "animals": [bird()],
        "perches": [perch("Stump")],
        "date": on,
        **parts,
    }
    answer = call("kept_places", request)
    assert "error" not in answer, answer["error"]
    return answer["places"]


def test_each_perch_is_spared_for_a_reason_that_is_said() -> None:
    far = {"position": moved(500, 0)}
    perches = [
        perch("Stump"),
        perch("Willow", closed=SPRING, **far),
        perch("Hollow", kind="nest or den", **far),
        perch("Bank", sensitivity="low", **far),
    ]
    layer = _layer(*(_spot(one["name"], 20.0) for one in perches), _spot("Gone", 20.0))
    assert _asked(perches=perches, layer=layer) == [
        None,
        "Willow is closed from 03-15 to 07-31: Nesting.",
        "Hollow is a nest or den: no place is suggested near it. In many countries the law "
        "forbids it or asks for a licence.",
        "Bank is sensitive: it is never suggested for more visits.",
        "Its perch is not here (any more).",
    ]
    assert _asked("2026-08-01", perches=perches, layer=layer)[1] is None


@pytest.mark.parametrize(
    ("parts", "why"),
    [
        ({"permissions": [permission(ends_on="2026-05-12")]}, None),
        ({"permissions": [permission(ends_on="2026-05-01")]}, "Permission lapsed on 2026-05-01"),
        ({"site": site(sensitivity="medium")}, "This site is sensitive"),
        ({"site": site(closed=SPRING)}, "The site is closed"),
        ({"animals": [bird(places="low")]}, "This animal's places are sensitive"),
        ({"animals": [bird(keep_distance_open_m=None)]}, "No keep-distance of your own"),
        ({"animals": []}, "It is not known here for which animal"),
        ({"layer": _layer(_spot("Stump", 20.0), species=None)}, "It is not known here for which"),
        # 20 m away of a pin known to ±3 m.
        ({"animals": [bird(keep_distance_open_m=17)]}, None),
        (
            {"animals": [bird(keep_distance_open_m=17.5)]},
            "Stump: nearer than your keep-distance of 17.5 m and its pin's ±3 m.",
        ),
        (
            {
                "animals": [bird(keep_distance_open_m=60, keep_distance_hide_m=8)],
                "layer": _layer(_spot("Stump", 20.0), in_hide=True),
            },
            None,
        ),
    ],
)
def test_a_kept_place_is_judged_by_what_is_known_today(
    parts: dict[str, Any], why: str | None
) -> None:
    (said,) = _asked(**parts)
    assert said is None if why is None else said.startswith(why)


@pytest.mark.parametrize(
    ("days", "count", "cause", "rests"),
    [
        (0, 3, "me", True),
        (0, 3, "other", False),
        (1, 1, "me", False),
        (14, 3, "me", True),
        (15, 3, "me", False),
    ],
)
def test_a_kept_place_rests_after_reactions_from_any_vantage(
    days: int, count: int, cause: str, rests: bool
) -> None:
    # Half an hour after the local midnight it is the day before in UTC: the local day counts.
    at = f"{date(2026, 5, 12) - timedelta(days=days):%Y-%m-%d}T00:30:00+01:00"
    watch = {"id": ident("watch"), "vantage": vantage()["id"], "start": at}
    reaction = {"watch": watch["id"], "what": "alarm", "at": at, "cause": cause}
    reactions = [{**reaction, "id": ident(f"r {number}")} for number in range(count)]
    (said,) = _asked(watches=[watch], sightlines=[sightline()], reactions=reactions)
    assert (said is not None) == rests
    assert said is None or said.startswith("Stump was disturbed lately: 3 reactions")


def test_a_kept_place_keeps_off_the_other_perches_of_today() -> None:
    # The place lies 20 m east of the Stump; the others 130 m and 60 m further east, known to ±3 m.
    def said(**hollow: Any) -> Any:
        others = [perch("Hollow", position=moved(150, 0), **hollow), perch("Pool")]
        others[1]["position"] = moved(80, 0)
        return _asked(perches=[perch("Stump"), *others], **seen)[0]

    seen: dict[str, Any] = {}
    assert said(kind="nest or den") is None
    animals = [bird(), {**bird(), "id": ident("heron"), "name": "Heron"}]
    animals[1]["keep_distance_open_m"] = 140
    seen = {"animals": animals}
    assert said(kind="nest or den") == "Near a spared perch."
    assert said(sensitivity="withheld") == "Near a spared perch."
    assert said(closed=SPRING) == "Near a spared perch: Hollow."
    assert said() is None
    sighting = {
        "id": ident("seen"),
        "watch": ident("watch"),
        "species": ident("heron"),
        "how": "seen",
        "time_in": "2026-05-01T06:00:00Z",
        "perch": ident("Pool"),
    }
    seen["sightings"] = [sighting]
    assert said() == "Within the keep-distance of what was seen at Pool."
