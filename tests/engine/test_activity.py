"""The curve and its parts: published values, scipy, and a truth known by design."""

from __future__ import annotations

import json
import random
from math import cos, pi
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ive
from scipy.stats import t as student
from scipy.stats import vonmises

from scout.engine.activity import (
    Day,
    bandwidth,
    bessel_scaled,
    capped,
    curve_of,
    density,
)
from scout.engine.jeffreys import beta_quantile

PUBLISHED = json.loads((Path(__file__).parents[1] / "reference" / "activity.json").read_text())[
    "tiny_hours"
]


def radians_of(hours: list[float]) -> list[float]:
    return [hour * pi / 12 for hour in hours]


@pytest.mark.parametrize("order", [0, 1, 2, 3])
def test_bessel_functions(order: int) -> None:
    """scipy.special.ive."""
    for x in (0.0, 1e-6, 0.3, 2.0, 11.0, 29.9, 30.0, 75.0, 400.0, 1000.0):
        assert bessel_scaled(order, x) == pytest.approx(ive(order, x), rel=1e-10, abs=1e-15)


@pytest.mark.parametrize("name", ["a", "b"])
def test_published_bandwidths(name: str) -> None:
    """Ridout & Linkie 2009, as R's overlap prints it; its root search stops at about 1e-4."""
    found = bandwidth(radians_of(PUBLISHED[name]))
    assert found == pytest.approx(PUBLISHED["bw"]["ab".index(name)], rel=2e-5)


def test_published_density() -> None:
    """R's overlap, kernel concentration 10, at 6, 12 and 18 h [per radian]."""
    times = radians_of(PUBLISHED["a"])
    found = [density(pi * hour / 12, times, 10.0) for hour in (6, 12, 18)]
    assert found == pytest.approx(PUBLISHED["density_a_bw10_at_6_12_18h_per_rad"], abs=1e-9)


@pytest.mark.parametrize("kappa", [0.5, 7.0, 58.0])
def test_density_is_a_mean_of_kernels(kappa: float) -> None:
    """scipy.stats.vonmises; and it integrates to one."""
    times = [0.1, 1.5, 1.6, 5.9]
    for at in (0.0, 1.55, 4.0):
        expected = np.mean([vonmises.pdf(at, kappa, loc=one) for one in times])
        assert density(at, times, kappa) == pytest.approx(expected, rel=1e-9)
    assert quad(lambda x: density(x, times, kappa), 0, 2 * pi, limit=200)[0] == pytest.approx(1.0)


def test_the_cap_is_half_an_hour() -> None:
    spiky = bandwidth(radians_of(PUBLISHED["a"]))
    assert capped(spiky) == spiky  # 53.5: 31 minutes
    assert capped(500.0) == pytest.approx((1440 / (2 * pi * 30)) ** 2)
    assert bandwidth([]) == 0.0


def test_students_law_by_the_beta_law() -> None:
    for freedom in (1, 4, 19):
        x = beta_quantile(0.9, 0.5, freedom / 2)
        assert (freedom * x / (1 - x)) ** 0.5 == pytest.approx(student.ppf(0.95, freedom), rel=1e-8)


def made_days(chance: random.Random, count: int, level: float = 1.0) -> list[Day]:
    """Return mornings of random length with arrivals at a rate known by design [per hour]."""
    days = []
    for _ in range(count):
        start, end = chance.uniform(200, 330), chance.uniform(420, 640)
        arrivals, at = [], start
        while True:
            at += chance.expovariate(3.0 * level / 60)
            if at >= end:
                break
            if chance.random() < true_rate(at) / 3.0:
                arrivals.append(at)
        days.append(Day(arrivals, [(start, end)]))
    return days


def true_rate(at_min: float) -> float:
    return 1.5 + 1.4 * cos(2 * pi * (at_min - 400) / 480)


def test_no_curve_below_twenty_arrivals() -> None:
    few = [Day([300.0 + i], [(280.0, 400.0)]) for i in range(19)]
    assert curve_of(few) is None
    assert curve_of([*few, Day([310.0], [(280.0, 400.0)])]) is not None
    # However many came on one morning alone, it is one morning.
    assert curve_of([Day([300.0 + i for i in range(50)], [(280.0, 400.0)])]) is None


def test_unwatched_hours_have_no_rate() -> None:
    curve = curve_of(made_days(random.Random(2), 40))
    assert curve is not None
    assert min(point.at_min for point in curve.points) >= 195
    assert max(point.at_min for point in curve.points) <= 645


def test_hours_nobody_watched_pull_nothing_down() -> None:
    """Twice the watching at one end of the morning, the same rate: the curve stays level."""
    chance = random.Random(7)
    days = []
    for number in range(200):
        end = 400.0 if number % 2 else 600.0
        arrivals = [200 + (end - 200) * chance.random() for _ in range(round((end - 200) / 40))]
        days.append(Day(arrivals, [(200.0, end)]))
    curve = curve_of(days)
    assert curve is not None
    for point in curve.points:
        assert point.rate == pytest.approx(1.5, rel=0.25)


def test_the_curve_finds_a_rate_known_by_design_within_its_band() -> None:
    within = total = 0
    for seed in range(12):
        curve = curve_of(made_days(random.Random(seed), 60))
        assert curve is not None
        for point in curve.points:
            if 280 <= point.at_min <= 560:  # the outermost kernels lean over the edge
                total += 1
                within += point.low <= true_rate(point.at_min) <= point.high
    assert within / total >= 0.8


def test_the_band_has_an_upper_end_where_none_came() -> None:
    days = [Day([300.0], [(280.0, 600.0)]) for _ in range(25)]
    curve = curve_of(days)
    assert curve is not None
    last = curve.points[-1]
    assert last.rate == pytest.approx(0.0, abs=1e-6)
    assert 0.01 < last.high < 1.0
