"""The crossing search against closed forms, scipy, and cases made to be missed."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from scout.engine.crossings import crossings, crossings_between, extreme_s, scan

START = datetime(2025, 5, 14, tzinfo=UTC)
START_S = START.timestamp()
DAY = timedelta(days=1)
ONE_SECOND = 1.0


def test_a_sine_crosses_where_it_must() -> None:
    def height(t: float) -> float:
        return math.sin(2 * math.pi * (t - START_S) / 7200 + 0.3)

    found = crossings(height, START, START + DAY).found
    expected = [7200 * (k * math.pi - 0.3) / (2 * math.pi) for k in range(1, 25)]
    assert len(found) == 24
    for crossing, at in zip(found, expected, strict=True):
        assert crossing.at_s - START_S == pytest.approx(at, abs=ONE_SECOND)
    assert [c.rising for c in found] == [False, True] * 12
    assert found[0].at_utc == START + timedelta(seconds=round(expected[0]))


@given(
    centre=st.floats(0, 86400),
    half_width=st.floats(2, 4000),
    up=st.booleans(),
    step=st.sampled_from([300.0, 600.0, 1200.0]),
)
def test_no_short_visit_is_lost(centre: float, half_width: float, up: bool, step: float) -> None:
    # A parabola that visits the other side once, wherever between the samples.
    sign = 1.0 if up else -1.0

    def height(t: float) -> float:
        return sign * (1.0 - ((t - START_S - centre) / half_width) ** 2)

    found = crossings(height, START, START + DAY, step).found
    expected = [
        (at, rising is up)
        for at, rising in ((centre - half_width, True), (centre + half_width, False))
        if 0 < at < 86400
    ]
    near_edge = any(
        abs(at - edge) < 2.5
        for at in (centre - half_width, centre + half_width)
        for edge in (0, 86400)
    )
    if near_edge:
        return
    assert [c.rising for c in found] == [rising for _, rising in expected]
    for crossing, (at, _) in zip(found, expected, strict=True):
        assert crossing.at_s - START_S == pytest.approx(at, abs=ONE_SECOND)


@given(a=st.floats(-3, 3), b=st.floats(-3, 3), c=st.floats(0.1, 3))
def test_roots_are_those_of_brentq(a: float, b: float, c: float) -> None:
    def height(t: float) -> float:
        x = (t - START_S) / 86400 * 6
        return math.exp(-c * x / 4) * math.sin(c * x + a) + b / 3

    for crossing in crossings(height, START, START + DAY).found:
        left, right = crossing.at_s - 2, crossing.at_s + 2
        if height(left) * height(right) < 0:
            assert crossing.at_s == pytest.approx(brentq(height, left, right), abs=ONE_SECOND)
        else:  # a visit of a second or two around a turn
            assert abs(height(crossing.at_s)) < 1e-6


@given(jump=st.floats(1, 86399))
def test_a_jump_is_found_to_the_second(jump: float) -> None:
    found = crossings(lambda t: 1.0 if t - START_S >= jump else -1.0, START, START + DAY).found
    assert len(found) == 1
    assert found[0].rising
    assert found[0].at_s - START_S == pytest.approx(jump, abs=ONE_SECOND)


def test_never_crossing_says_which_side() -> None:
    above = crossings(lambda t: 1.0, START, START + DAY)
    below = crossings(lambda t: -1e-12, START, START + DAY)
    zero = crossings(lambda t: 0.0, START, START + DAY)
    assert above.always_above
    assert not above.always_below
    assert below.always_below
    assert not below.always_above
    assert zero.always_above
    assert above.first(rising=True) is None


def test_touching_from_above_is_no_crossing() -> None:
    found = crossings(lambda t: ((t - START_S - 40000) / 600) ** 2 + 1e-6, START, START + DAY)
    assert found.always_above


def test_first_and_last_by_direction() -> None:
    found = crossings(lambda t: math.sin((t - START_S) / 3000 + 1), START, START + DAY)
    ups = [c for c in found.found if c.rising]
    assert found.first(rising=True) == ups[0]
    assert found.last(rising=True) == ups[-1]
    assert found.starts_above


def test_extremes() -> None:
    at = extreme_s(lambda t: -((t - 1234.5) ** 2), 0, 5000, highest=True)
    assert at == pytest.approx(1234.5, abs=ONE_SECOND)
    assert extreme_s(lambda t: t, 0, 5000, highest=False) == 0


def test_scan_includes_both_ends() -> None:
    assert scan(0, 1000, 300) == [0, 250, 500, 750, 1000]
    assert scan(0, 10, 600) == [0, 10]


@pytest.mark.parametrize(
    ("start", "end", "step", "words"),
    [
        (START, START, 600.0, "must lie before"),
        (START.replace(tzinfo=None), START + DAY, 600.0, "start_utc has no time zone"),
        (START, START + DAY, 0.0, "step_s is 0"),
        (START, START + DAY, math.nan, "step_s is nan"),
    ],
)
def test_bad_windows_are_sentences(start: datetime, end: datetime, step: float, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        crossings(lambda t: 1.0, start, end, step)


def test_a_height_that_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="not a number"):
        crossings(lambda t: math.nan, START, START + DAY)
    with pytest.raises(ValueError, match="at least two moments"):
        crossings_between(lambda t: 1.0, [0.0])
