"""What bars a sightline, each with its reason, and what only has to be said.

Periods, permissions and keep-distances are a person's own; the winds are common practice.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from .cards import (
    bird,
    card,
    ident,
    mammal,
    measurement,
    only,
    perch,
    permission,
    site,
    skyline,
    vantage,
    walk_in,
)


def bars(**parts: Any) -> list[str]:
    found: list[str] = only(card(**parts))["barred"]
    return found


def test_nothing_bars_a_sound_sightline() -> None:
    assert bars() == []


# Closed periods.


@pytest.mark.parametrize(
    ("first", "last", "day", "closed"),
    [
        ("03-01", "07-31", "2026-05-12", True),
        ("03-01", "07-31", "2026-03-01", True),
        ("03-01", "07-31", "2026-07-31", True),
        ("03-01", "07-31", "2026-02-28", False),
        ("03-01", "07-31", "2026-08-01", False),
        # Across new year.
        ("11-15", "02-15", "2026-12-31", True),
        ("11-15", "02-15", "2026-01-01", True),
        ("11-15", "02-15", "2026-02-15", True),
        ("11-15", "02-15", "2026-11-14", False),
        ("11-15", "02-15", "2026-02-16", False),
        # One day of the year.
        ("02-29", "02-29", "2028-02-29", True),
        ("02-29", "02-29", "2026-03-01", False),
    ],
)
@pytest.mark.parametrize("where", ["site", "perch"])
def test_closed_periods(first: str, last: str, day: str, closed: bool, where: str) -> None:
    period = [{"from_day": first, "to_day": last, "why": "nesting"}]
    parts: dict[str, Any] = (
        {"site": site(closed=period)} if where == "site" else {"perches": [perch(closed=period)]}
    )
    expected = [f"The {where} is closed from {first} to {last}: nesting."] if closed else []
    assert bars(date=day, **parts) == expected


# Permissions.


def test_permissions_bar_once_they_have_lapsed_or_before_they_begin() -> None:
    lapsed = permission(ends_on="2026-05-11")
    assert bars(permissions=[lapsed]) == [
        "Permission lapsed on 2026-05-11: ask again before going."
    ]
    assert bars(permissions=[permission(ends_on="2026-05-12")]) == []
    early = permission(starts_on="2026-05-13")
    assert bars(permissions=[early]) == ["Permission begins only on 2026-05-13."]
    assert bars(permissions=[permission(starts_on="2026-05-12")]) == []
    # One that covers the day is enough.
    other = permission(id=ident("other"), from_whom="the mill")
    found = card(permissions=[lapsed, other])
    assert only(found)["barred"] == []
    assert found["permission"] == "Permission from the mill."


def test_no_permission_recorded_is_said_and_bars_nothing() -> None:
    found = card(permissions=[])
    assert only(found)["barred"] == []
    assert found["permission"] == "No permission recorded: ask the landowner."
    assert found["permission"] in found["not_known"]


# Keep-distance.


@pytest.mark.parametrize(
    ("cover", "outside", "inside", "m", "words"),
    [
        ("open", 10, None, 9.9, "9.9 m is nearer than your keep-distance of 10 m in the open."),
        ("open", 10, 5, 9.9, "9.9 m is nearer than your keep-distance of 10 m in the open."),
        ("open", 10, None, 10, None),
        ("vehicle", 10, 5, 9, "9 m is nearer than your keep-distance of 10 m in the open."),
        # A hide lowers it only where a distance for a settled hide was noted.
        ("hide", 10, 5, 6, None),
        ("hide", 10, 5, 4.9, "4.9 m is nearer than your keep-distance of 5 m from a settled hide."),
        ("hide", 10, None, 6, "6 m is nearer than your keep-distance of 10 m in the open."),
        ("open", None, 5, 6, None),
    ],
)
def test_keep_distance(
    cover: str, outside: float | None, inside: float | None, m: float, words: str | None
) -> None:
    animal = bird()
    del animal["keep_distance_open_m"]
    if outside is not None:
        animal["keep_distance_open_m"] = outside
    if inside is not None:
        animal["keep_distance_hide_m"] = inside
    found = only(
        card(species=animal, vantages=[vantage(cover=cover)], measurements=[measurement(m=m)])
    )
    assert found["barred"] == ([words] if words else [])
    notes = " ".join(found["notes"])
    unset = "No keep-distance of your own is set for this animal: set one first."
    assert (unset in notes) == (outside is None)
    only_hide = "Nearer than your open keep-distance: only from the hide, and settled."
    assert (only_hide in notes) == (cover == "hide" and inside == 5 and m == 6)


def test_a_distance_that_may_be_too_near_is_said() -> None:
    found = only(card(measurements=[measurement(m=10.4)]))  # a rangefinder is good to a metre
    assert found["barred"] == []
    assert (
        "Within its ±1 m the distance may be less than your keep-distance of 10 m in the open: "
        "measure it." in found["notes"]
    )


# Usable bearings.


@pytest.mark.parametrize(
    ("start", "end", "bearing", "free"),
    [
        (250, 290, 270, True),
        (250, 290, 250, True),
        (250, 290, 291, False),
        # Across north.
        (340, 20, 350, True),
        (340, 20, 5, True),
        (340, 20, 359.7, True),
        (340, 20, 339, False),
        (340, 20, 21, False),
        (340, 20, 180, False),
        (0, 360, 123, True),
    ],
)
def test_usable_bearings(start: float, end: float, bearing: float, free: bool) -> None:
    found = bars(
        vantages=[vantage(usable={"from_deg": start, "to_deg": end})],
        measurements=[measurement(bearing_deg=bearing)],
    )
    expected = (
        f"The perch lies at {round(bearing) % 360}°, outside the bearings that this vantage can "
        f"use ({start}° to {end}°)."
    )
    assert found == ([] if free else [expected])


# Wind. The line runs west, so an east wind carries scent to the animal.


@pytest.mark.parametrize(
    ("wind", "verdict"),
    [
        ("E 3", "barred"),
        ("NE 4", "barred"),  # 45° off: the edge counts
        ("SE 4", "barred"),
        ("67° 2", "barred"),
        ("30° force 2", "barred"),  # 60° in a light wind
        ("N 4", "free"),
        ("W 3", "free"),
        ("30° force 4", "near"),  # degrees by eye are known to ±22°
        ("NNE 4", "free"),  # a word of the sixteen to ±11°
        ("calm", "unknown"),
        ("variable 2", "unknown"),
    ],
)
def test_scent_is_a_veto_for_mammals_and_nothing_to_birds(wind: str, verdict: str) -> None:
    found = only(card(species=mammal(), wind=wind))
    against = " ".join(found["against"])
    assert found["bad_winds"] == "NE to SE"
    assert bool(found["barred"]) == (verdict == "barred")
    if verdict == "barred":
        worst = "NE to SE" if wind[-1] > "2" else "NNE to SSE"  # wider while it is light
        assert f"carries scent to the perch (bad: {worst})." in found["barred"][0]
    assert ("is close to the bad winds" in against) == (verdict == "near")
    assert ("where the scent drifts is not known" in against) == (verdict == "unknown")
    flying = only(card(wind=wind))
    assert flying["barred"] == []
    assert flying["bad_winds"] == "none (bird)"
    assert "scent" not in " ".join(flying["against"])


def test_wind_not_typed_is_not_known_to_be_good() -> None:
    found = card(species=mammal())
    assert only(found)["bad_winds"] == "NE to SE"
    assert "Wind not typed: bad winds are not tested." in found["not_known"]
    assert not any("Wind not typed" in said for said in card()["not_known"])
    other = {**mammal(), "animal": "other"}
    assert only(card(species=other, wind="E 3"))["barred"] == []


def test_winds_on_the_walk_in_speak_against() -> None:
    # Coming up from the south, the perch lies north-west: a south-east wind goes ahead of you.
    way = walk_in(legs=[{"bearing_deg": 0, "distance_m": 300}])
    found = only(card(species=mammal(), wind="S 3", walk_ins=[way]))
    assert found["barred"] == []
    assert any(
        said.startswith("Walk-in leg 1, heading N: Wind from S") for said in found["against"]
    )
    narrow = only(
        card(species=mammal(), wind="SSE 3", walk_ins=[way], settings={"scent_half_width_deg": 5})
    )
    assert not any("carries scent" in said for said in narrow["against"])


def test_bad_winds_follow_the_setting() -> None:
    found = only(card(species=mammal(), settings={"scent_half_width_deg": 90}))
    assert found["bad_winds"] == "N to S"


# Too far, nests.


def test_too_far_for_this_kit() -> None:
    # 500 mm at 100 m: an animal of 0.2 m is 1 mm long on 36 mm.
    found = only(card(measurements=[measurement(m=100)]))
    assert found["barred"] == [
        "Too far for this kit: bird 2.8 % of the frame at 100 m; a picture of the place at most."
    ]
    assert bars(measurements=[measurement(m=100)], settings={"least_frame_share": 0.02}) == []


def test_nests_are_left_alone() -> None:
    found = only(card(perches=[perch(kind="nest or den")]))
    assert (
        "A nest or den: not while it is in use, unless the law and a licence allow it."
        in (found["notes"])
    )


# Wear.


def watches(*days_ago: int, at: str = "Bank", **parts: Any) -> list[dict[str, Any]]:
    return [
        {
            "id": ident(f"watch {ago} {at}"),
            "visit": ident(f"visit {ago}"),
            "vantage": ident(at),
            "start": f"{date(2026, 5, 12) - timedelta(days=ago)}T03:30:00Z",
            **parts,
        }
        for ago in days_ago
    ]


def noticed(ago: int, number: int = 0, **parts: Any) -> dict[str, Any]:
    return {
        "id": ident(f"noticed {ago} {number}"),
        "watch": ident(f"watch {ago} Bank"),
        "what": "moved off",
        "at": f"{date(2026, 5, 12) - timedelta(days=ago)}T04:30:00Z",
        **parts,
    }


def test_visits_of_the_last_fortnight_are_counted() -> None:
    assert only(card(watches=[]))["notes"] == []
    found = only(card(watches=watches(1, 13, 14, 15)))
    # The session begins at 02:32: the watch of fourteen days before, 03:30, is within, and the
    # one of fifteen days is not.
    assert "3 visits in 14 days, no reaction." in found["notes"]
    assert "1 visit in 14 days, no reaction." in only(card(watches=watches(2)))["notes"]


def test_what_is_no_visit_is_not_counted() -> None:
    later, elsewhere = watches(-1), watches(1, at="Ash")
    camera = watches(2, trail_camera=True)
    found = card(vantages=[vantage(), vantage("Ash")], watches=[*later, *elsewhere, *camera])
    assert only(found)["notes"] == []
    # Away and back again within one visit is one visit.
    twice = [*watches(3), {**watches(3)[0], "id": ident("again"), "start": "2026-05-09T05:00:00Z"}]
    assert "1 visit in 14 days, no reaction." in only(card(watches=twice))["notes"]


def test_two_reactions_rest_a_vantage() -> None:
    once = only(card(watches=watches(1, 2), reactions=[noticed(1)]))
    assert "2 visits in 14 days, 1 reaction (moved off)." in once["against"]
    found = card(watches=watches(1, 2), reactions=[noticed(1), noticed(2, what="alarm")])
    line = only(found)
    assert "Rest this one: 2 visits in 14 days, 2 reactions (alarm, moved off)." in line["against"]
    # It stays where its light ranks it, and the verdict does not send anybody there unwarned.
    assert line["rank"] == 1
    assert found["verdict"].endswith(" But rest Bank: see the reactions.")


@pytest.mark.parametrize(
    "reactions",
    [
        [noticed(1, cause="other"), noticed(2, cause="other")],
        [noticed(15), noticed(20)],
        [noticed(-1), noticed(-2)],
    ],
)
def test_what_others_caused_or_is_long_past_does_not_count(reactions: list[Any]) -> None:
    found = card(watches=watches(1, 2, 15, 20, -1, -2), reactions=reactions)
    assert not any("reaction (" in s or "Rest" in s for s in only(found)["against"])


def test_windows_and_numbers_of_wear_are_settings() -> None:
    seen = watches(1, 10)
    parts: dict[str, Any] = {"watches": seen, "reactions": [noticed(1)]}
    week = only(card(**parts, settings={"rest_days": 7, "rest_reactions": 1}))
    assert "Rest this one: 1 visit in 7 days, 1 reaction (moved off)." in week["against"]


def test_bars_do_not_hang_on_light() -> None:
    """A perch in deep shade is barred, or not, as one in the sun."""
    hidden = {"skylines": [skyline([(0, 60), (40, 60), (80, 60), (120, 60)])]}
    assert bars(**hidden) == []
    assert bars(**hidden, measurements=[measurement(m=4)]) != []
