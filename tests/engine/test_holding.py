"""Whether a routine holds: the tests against scipy's, the words by hand."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest
from scipy.stats import fisher_exact as scipy_fisher
from scipy.stats import mannwhitneyu

from scout.engine.holding import Kept, fisher_exact, holding, median, rank_sum

ON = date(2026, 5, 20)


@pytest.mark.parametrize(
    "table",
    [(1, 6, 9, 12), (0, 3, 5, 5), (3, 3, 0, 5), (7, 12, 7, 12), (0, 4, 0, 9), (20, 31, 3, 40)],
)
def test_fishers_exact_test(table: tuple[int, int, int, int]) -> None:
    """scipy.stats.fisher_exact, two-sided."""
    k, n, other_k, other_n = table
    expected = scipy_fisher([[k, n - k], [other_k, other_n - other_k]])[1]
    assert fisher_exact(*table) == pytest.approx(expected, abs=1e-9)


def test_rank_sum_test() -> None:
    """scipy.stats.mannwhitneyu, asymptotic, ties and continuity corrected."""
    chance = random.Random(6)
    for size in (4, 7, 15):
        one = [float(round(chance.gauss(0, 9))) for _ in range(size)]
        other = [float(round(chance.gauss(6, 9))) for _ in range(size + 3)]
        expected = mannwhitneyu(one, other, method="asymptotic", alternative="two-sided").pvalue
        assert rank_sum(one, other) == pytest.approx(expected, abs=1e-9)
    assert rank_sum([3.0, 3.0], [3.0, 3.0]) == 1.0


def kept(recent: list[float | None], before: list[float | None]) -> list[Kept]:
    found = [Kept(ON - timedelta(days=2 * i), at) for i, at in enumerate(recent)]
    return found + [Kept(ON - timedelta(days=30 + i), at) for i, at in enumerate(before)]


def test_too_little_says_so() -> None:
    found = holding(kept([10.0, None], [10.0] * 9), ON, 45)
    assert found.holds is None
    assert found.words == (
        "Whether it holds cannot be said: 2 watched in the last 28 days, 9 before in this season."
    )


def test_it_stays_away() -> None:
    found = holding(kept([None] * 5 + [90.0], [90.0] * 10 + [None]), ON, 45)
    assert found.holds is False
    assert found.words == (
        "May have changed: it comes less often, there on 1 of 6 watched since 22 Apr, "
        "on 10 of 11 watched before."
    )


def test_it_comes_later() -> None:
    found = holding(kept([130.0, 128, 133, 131, 135], [91.0, 95, 99, 90, 97, 94]), ON, 45)
    assert found.holds is False
    assert found.words == (
        "May have changed: by the sun it comes 36 min later since 22 Apr (5 arrivals against 6)."
    )


def test_it_holds() -> None:
    found = holding(kept([90.0, 96, None, 99], [91.0, 95, None, 90, 97, 94]), ON, 45)
    assert found.holds is True
    assert (
        found.words
        == "No change to be seen: there on 3 of 4 watched since 22 Apr, on 5 of 6 watched before."
    )


def test_another_season_is_no_witness_and_the_future_neither() -> None:
    winter = [Kept(ON - timedelta(days=180 + i), 90.0) for i in range(9)]
    ahead = [Kept(ON + timedelta(days=1 + i), 90.0) for i in range(9)]
    found = holding(kept([None] * 4, []) + winter + ahead, ON, 45)
    assert (found.recent.n, found.before.n) == (4, 0)


def test_an_unchanged_animal_is_seldom_flagged() -> None:
    chance = random.Random(9)
    flagged = 0
    for _ in range(300):
        draws = [chance.gauss(90, 15) if chance.random() < 0.6 else None for _ in range(25)]
        flagged += holding(kept(draws[:7], draws[7:]), ON, 45).holds is False
    assert flagged / 300 <= 0.1


def test_the_middle() -> None:
    assert median([3.0, 1.0, 2.0]) == 2.0
    assert median([4.0, 1.0]) == 2.5
