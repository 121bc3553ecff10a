"""Jeffreys' interval against published rows, scipy's beta law, and its own promise of coverage."""

from __future__ import annotations

import json
import random
from math import fsum
from pathlib import Path

import pytest
from scipy.special import betainc
from scipy.stats import beta, binom

from scout.engine.jeffreys import (
    beta_quantile,
    beta_share,
    more_watches,
    share_of,
)

PUBLISHED = json.loads((Path(__file__).parents[1] / "reference" / "activity.json").read_text())[
    "jeffreys_95"
]


@pytest.mark.parametrize("row", PUBLISHED)
def test_published_rows(row: str) -> None:
    """Brown, Cai & DasGupta 2001, and the rows of Newcombe 1998's table under this interval."""
    k, n = (int(part) for part in row.split("/"))
    found = share_of(k, n, 0.95)
    assert [found.low, found.high] == pytest.approx(PUBLISHED[row], abs=1e-6)


@pytest.mark.parametrize("n", [1, 2, 3, 7, 12, 40, 250, 2000])
def test_ends_are_those_of_the_beta_law(n: int) -> None:
    """scipy.stats.beta, 90 %."""
    for k in range(0, n + 1, max(1, n // 25)):
        found = share_of(k, n)
        low = 0.0 if k == 0 else beta.ppf(0.05, k + 0.5, n - k + 0.5)
        high = 1.0 if k == n else beta.ppf(0.95, k + 0.5, n - k + 0.5)
        assert [found.low, found.high] == pytest.approx([low, high], abs=1e-9)


@pytest.mark.parametrize(("a", "b"), [(0.5, 0.5), (0.5, 9.5), (3, 2.5), (700.5, 0.5), (81.5, 182)])
def test_beta_law_itself(a: float, b: float) -> None:
    """scipy.special.betainc, and its inverse."""
    for x in (1e-9, 0.001, 0.1, 0.37, 0.5, 0.9, 0.9999):
        assert beta_share(x, a, b) == pytest.approx(betainc(a, b, x), rel=1e-9, abs=1e-14)
    for share in (0.001, 0.05, 0.5, 0.95, 0.999):
        assert beta_share(beta_quantile(share, a, b), a, b) == pytest.approx(share, abs=1e-8)


@pytest.mark.parametrize("n", [3, 5, 12, 40])
def test_it_covers_nine_truths_of_ten_over_a_flat_prior(n: int) -> None:
    """Exactly, by scipy's beta law: the chance of the truth within, truths spread evenly."""
    found = [share_of(k, n) for k in range(n + 1)]
    within = [
        beta.cdf(one.high, k + 1, n - k + 1) - beta.cdf(one.low, k + 1, n - k + 1)
        for k, one in enumerate(found)
    ]
    assert 0.88 <= fsum(within) / (n + 1) <= 0.92


def test_it_covers_in_simulation_too() -> None:
    chance = random.Random(20)
    hits = 0
    for _ in range(4000):
        truth, n = chance.random(), chance.randint(3, 30)
        k = int(binom.ppf(chance.random(), n, truth))
        found = share_of(k, n)
        hits += found.low <= truth <= found.high
    assert 0.88 <= hits / 4000 <= 0.92


def test_nothing_watched_is_nothing_known() -> None:
    found = share_of(0, 0)
    assert (found.low, found.high, found.words) == (0.0, 1.0, "not watched")
    assert share_of(7, 12).words == "7 of 12 (90 %: 35–79 %)"


@pytest.mark.parametrize(("k", "n", "width"), [(0, 0, 0.3), (1, 2, 0.3), (7, 12, 0.3), (3, 9, 0.2)])
def test_more_watches_are_just_enough(k: int, n: int, width: float) -> None:
    def wide(more: int) -> float:
        there = (k / n if n else 0.5) * (n + more)
        law = beta(there + 0.5, n + more - there + 0.5)
        return float(law.ppf(0.95) - law.ppf(0.05))

    more = more_watches(k, n, width)
    assert more > 0
    assert wide(more) <= width < wide(more - 1)


def test_narrow_enough_needs_none() -> None:
    assert more_watches(0, 40, 0.3) == 0
    assert more_watches(500, 1000, 0.3) == 0


@pytest.mark.parametrize(
    ("k", "n", "level", "says"),
    [
        (3, 2, 0.9, "between 0 and n"),
        (-1, 2, 0.9, "between 0 and n"),
        (1, 2, 1.0, "a share between 0 and 1"),
    ],
)
def test_nonsense_is_refused(k: int, n: int, level: float, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        share_of(k, n, level)
    with pytest.raises(ValueError, match="width"):
        more_watches(1, 2, 1.5)
    with pytest.raises(ValueError, match="share"):
        beta_quantile(1.5, 1, 1)
