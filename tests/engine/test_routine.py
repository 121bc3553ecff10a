"""What is known of when an animal comes ranks before light, and is said as k of n."""

from __future__ import annotations

from typing import Any

import pytest

from .cards import bird, card, ident, mammal, measurement, perch, sightline, vantage


def routine(**perches: list[tuple[float, float, int, int]]) -> dict[str, Any]:
    """Return a presence argument: steps by perch name."""
    return {
        "perches": {
            ident(name): {
                "steps": [
                    {"from_min": start, "to_min": end, "k": k, "n": n} for start, end, k, n in steps
                ]
            }
            for name, steps in perches.items()
        }
    }


def known(presence: Any, **parts: Any) -> dict[str, Any]:
    """Return a card with two perches, Stump the better lit by the alphabet alone."""
    return card(
        perches=[perch("Stump"), perch("Willow")],
        sightlines=[sightline(end="Stump"), sightline(end="Willow")],
        measurements=[measurement(), measurement(end="Willow")],
        skylines=[],
        presence=presence,
        **parts,
    )


def order(found: dict[str, Any]) -> list[str]:
    return [one["perch"] for one in found["sightlines"]]


def test_null_says_that_no_routine_is_known() -> None:
    found = known(None)
    assert found["routine"] == "No routine is known here: ranked by light alone."
    assert [one["presence"] for one in found["sightlines"]] == [None, None]
    assert order(found) == ["Stump", "Willow"]


def test_the_posterior_mean_ranks_before_light() -> None:
    found = known(routine(Stump=[(90, 105, 3, 12)], Willow=[(90, 105, 7, 12)]))
    assert order(found) == ["Willow", "Stump"]
    assert found["routine"] == "Ranked by the routine in good light, then by light."
    # Sunrise 05:10 by the clock, and 90 to 105 minutes after it.
    assert found["sightlines"][0]["presence"] == (
        "Wren-sized bird: there on 7 of 12 watches at 06:40–06:55, in good light"
    )


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        # (k + 1/2) / (n + 1), Jeffreys' prior: Brown, Cai & DasGupta 2001.
        ((9, 12), (2, 2)),  # 0.73 and 0.83: two of two is more
        ((5, 12), (0, 1)),  # 0.42 and 0.25
        ((1, 1), (7, 12)),  # 0.75 and 0.58
    ],
)
def test_few_watches_weigh_by_their_posterior(
    better: tuple[int, int], worse: tuple[int, int]
) -> None:
    def mean(k: int, n: int) -> float:
        return (k + 0.5) / (n + 1)

    found = known(routine(Stump=[(90, 105, *better)], Willow=[(90, 105, *worse)]))
    expected = ["Stump", "Willow"] if mean(*better) > mean(*worse) else ["Willow", "Stump"]
    assert order(found) == expected


def test_equal_means_fall_to_good_minutes_then_name() -> None:
    alike = routine(Stump=[(90, 105, 4, 8)], Willow=[(90, 105, 4, 8)])
    assert order(known(alike)) == ["Stump", "Willow"]


def test_only_steps_that_lie_in_good_light_count() -> None:
    # Before sunrise there is no front light, whatever comes then.
    early = known(routine(Stump=[(-40, -25, 12, 12), (90, 105, 1, 12)], Willow=[(90, 105, 2, 12)]))
    assert order(early) == ["Willow", "Stump"]
    assert "there on 1 of 12 watches" in early["sightlines"][1]["presence"]
    dark = known(routine(Stump=[(-40, -25, 12, 12)]))
    assert dark["routine"] == "No routine is known in good light: ranked by light alone."
    assert dark["sightlines"][0]["presence"] is None
    # Under a typed overcast there is no front light either.
    typed = known(routine(Willow=[(90, 105, 9, 12)]), sky="overcast")
    assert order(typed) == ["Stump", "Willow"]


def test_a_step_never_watched_says_nothing() -> None:
    found = known(routine(Willow=[(90, 105, 0, 0)]))
    assert [one["presence"] for one in found["sightlines"]] == [None, None]


def test_barred_ones_stay_barred_however_sure_the_animal() -> None:
    found = known(
        routine(Willow=[(90, 105, 12, 12)]),
        vantages=[vantage()],
        species=mammal(keep_distance_open_m=30),
    )
    assert found["sightlines"] == []
    assert len(found["barred"]) == 2


def test_at_dusk_steps_count_from_sunset() -> None:
    found = card(
        session="dusk",
        species=bird(),
        sightlines=[sightline(light_wanted="any")],
        presence=routine(Stump=[(-60, -45, 5, 9)]),
    )
    # Sunset 20:45 by the clock on that day.
    sunset = found["session"]["sun_level"]["clock"]
    minutes = int(sunset[:2]) * 60 + int(sunset[3:])
    first = f"{(minutes - 60) // 60:02}:{(minutes - 60) % 60:02}"
    assert f"there on 5 of 9 watches at {first}–" in found["sightlines"][0]["presence"]
    table_words = found["sightlines"][0]["presence"]
    assert table_words.endswith(", in good light")
