"""The smooth curve of activity: arrivals for each watched hour, round the day, with its band.

A von Mises kernel is laid over the arrivals and over the watched minutes alike, and their ratio is
the rate: hours that nobody watched pull nothing down. Not for: the chance that an animal is there
(an occupancy: `steps`), and never a gate that says whether there is a routine.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import frozen

from scout.engine.jeffreys import LEVEL, beta_quantile

FEWEST_RECORDS = 20  # below, the rule of the bandwidth makes a spike of every record
NARROWEST_MIN = 30.0  # of the kernel, as a standard deviation; ours
GRID_MIN = 15

_DAY_MIN = 1440
_BIN_MIN = 5
_BINS = _DAY_MIN // _BIN_MIN
_GROUPS = 20
_WATCHED_ENOUGH_MIN = 37.5  # within a step, so that a rate is said there: five halves of a step
_NONE_SEEN = 1.9207  # upper end of Jeffreys' interval of a Poisson count of none, 90 %
_NEGLIGIBLE = 1e-5  # of the kernel's top
_LARGEST_KAPPA = 500.0


@frozen
class Day:
    """One effort as the curve needs it, in minutes round the clock, any origin [min].

    arrivals: when it came; spans: what was watched.
    """

    arrivals: Sequence[float]
    spans: Sequence[tuple[float, float]]


@frozen
class Point:
    """The rate at one minute [arrivals per watched hour] with its 90 % band."""

    at_min: int
    rate: float
    low: float
    high: float


@frozen
class Curve:
    """A curve over what was watched, in order; `records` arrivals made it, kernel `kappa`."""

    points: tuple[Point, ...]
    records: int
    kappa: float


def bessel_scaled(order: int, x: float) -> float:
    """Return exp(−x) I_order(x), the modified Bessel function of the first kind, for x ≥ 0.

    By its power series, and from 30 on by its asymptotic expansion. Source: NIST Digital Library of
    Mathematical Functions, 10.25.2 and 10.40.1.
    """
    if x < 30.0:
        term = (x / 2.0) ** order / math.factorial(order)
        total, step = term, 1
        while term > total * 1e-17 and term > 0.0:
            term *= (x / 2.0) ** 2 / (step * (step + order))
            total += term
            step += 1
        return total * math.exp(-x)
    mu, term, total = 4.0 * order * order, 1.0, 1.0
    for step in range(1, 30):
        following = term * -(mu - (2 * step - 1) ** 2) / (step * 8.0 * x)
        if abs(following) >= abs(term) or following == 0.0:
            break
        term = following
        total += term
    return total / math.sqrt(2.0 * math.pi * x)


def density(at_rad: float, times_rad: Sequence[float], kappa: float) -> float:
    """Return the von Mises kernel density of some times at one angle [per radian]."""
    top = 2.0 * math.pi * bessel_scaled(0, kappa) * len(times_rad)
    return math.fsum(math.exp(kappa * (math.cos(at_rad - t) - 1.0)) for t in times_rad) / top


def bandwidth(times_rad: Sequence[float]) -> float:
    """Return the kernel's concentration for some times, by the rule, not capped.

    Source: Ridout & Linkie, Journal of Agricultural, Biological and Environmental Statistics 14
    (2009) 322, after Taylor 2008: the largest of the estimates from the first three trigonometric
    moments. 0 for no times.
    """
    count = len(times_rad)
    if not count:
        return 0.0
    c = [math.cos(t) for t in times_rad]
    s = [math.sin(t) for t in times_rad]
    # The double and triple angles by their formulas: a sine costs more than a product.
    moments = (
        (math.fsum(c), math.fsum(s)),
        (
            math.fsum([2.0 * x * x - 1.0 for x in c]),
            math.fsum([2.0 * x * y for x, y in zip(c, s, strict=True)]),
        ),
        (
            math.fsum([x * (4.0 * x * x - 3.0) for x in c]),
            math.fsum([y * (3.0 - 4.0 * y * y) for y in s]),
        ),
    )
    largest = max(
        _concentration(order, math.hypot(x, y) / count) for order, (x, y) in enumerate(moments, 1)
    )
    if largest <= 0.0:
        return 0.0
    ratio = bessel_scaled(2, 2.0 * largest) / bessel_scaled(0, largest) ** 2
    return float((3.0 * count * largest**2 * ratio / (4.0 * math.sqrt(math.pi))) ** 0.4)


def capped(kappa: float, narrowest_min: float = NARROWEST_MIN) -> float:
    """Return a kernel's concentration, capped so that it is never narrower than that [min]."""
    return min(kappa, (_DAY_MIN / (2.0 * math.pi * narrowest_min)) ** 2)


def curve_of(days: Sequence[Day]) -> Curve | None:
    """Return the curve of some efforts, None below 20 arrivals or 2 efforts.

    The band comes from leaving out a twentieth of the efforts at a time (a jackknife by groups), so
    that many arrivals of one morning do not pass for many mornings; where none came near, its upper
    end is that of a Poisson count of none.
    """
    arrivals = [at for day in days for at in day.arrivals]
    if len(arrivals) < FEWEST_RECORDS or len(days) < 2:
        return None
    kappa = capped(bandwidth([at * 2.0 * math.pi / _DAY_MIN for at in arrivals]))
    groups = min(_GROUPS, len(days))
    came = [[0.0] * _BINS for _ in range(groups)]
    watched = [[0.0] * _BINS for _ in range(groups)]
    for place, day in enumerate(days):
        _fill(day, came[place % groups], watched[place % groups])
    kernel = _kernel(kappa)
    reach = len(kernel) - 1
    quantile = _student(1.0 - (1.0 - LEVEL) / 2.0, groups - 1)
    points = []
    for at in range(0, _DAY_MIN, GRID_MIN):
        middle = at // _BIN_MIN
        near = [(middle + off) % _BINS for off in range(GRID_MIN // _BIN_MIN)]
        if math.fsum(row[b] for row in watched for b in near) < _WATCHED_ENOUGH_MIN:
            continue
        centre = middle + 1  # of the step's three bins
        window = [(centre + off) % _BINS for off in range(-reach, reach + 1)]
        weights = [kernel[abs(off)] for off in range(-reach, reach + 1)]
        each = [
            (
                math.fsum([w * row[b] for w, b in zip(weights, window, strict=True)]),
                math.fsum([w * seen[b] for w, b in zip(weights, window, strict=True)]) / 60.0,
            )
            for row, seen in zip(came, watched, strict=True)
        ]
        squared = math.fsum(
            w * w * math.fsum([row[b] for row in watched])
            for w, b in zip(weights, window, strict=True)
        )
        points.append(_point(at + GRID_MIN // 2, each, squared / 60.0, quantile))
    return Curve(tuple(points), len(arrivals), kappa)


def _point(
    at_min: int, each: Sequence[tuple[float, float]], squared_h: float, quantile: float
) -> Point:
    arrivals = math.fsum(came for came, _ in each)
    hours = math.fsum(watched for _, watched in each)
    rate = arrivals / hours
    left_out = [
        (arrivals - came) / (hours - watched) if hours - watched > 1e-9 else rate
        for came, watched in each
    ]
    count = len(left_out)
    mean = math.fsum(left_out) / count
    spread = math.sqrt((count - 1) / count * math.fsum((value - mean) ** 2 for value in left_out))
    none_seen = _NONE_SEEN * squared_h / hours**2  # over the hours that the kernel reaches
    return Point(
        at_min,
        rate,
        max(0.0, rate - quantile * spread),
        max(rate + quantile * spread, none_seen),
    )


def _fill(day: Day, came: list[float], watched: list[float]) -> None:
    for at in day.arrivals:
        came[math.floor(at / _BIN_MIN) % _BINS] += 1.0
    for start, end in day.spans:
        first, last = math.floor(start / _BIN_MIN), math.floor(end / _BIN_MIN)
        if first == last:
            watched[first % _BINS] += end - start
            continue
        watched[first % _BINS] += (first + 1) * _BIN_MIN - start
        for b in range(first + 1, last):
            watched[b % _BINS] += _BIN_MIN
        watched[last % _BINS] += end - last * _BIN_MIN


def _kernel(kappa: float) -> list[float]:
    """The kernel's weight at each bin's distance from its top, as far as it matters."""
    weights = []
    for off in range(_BINS // 2):
        weight = math.exp(kappa * (math.cos(2.0 * math.pi * off / _BINS) - 1.0))
        if weight < _NEGLIGIBLE:
            break
        weights.append(weight)
    return weights


def _concentration(order: int, moment: float) -> float:
    """The concentration at which the law's moment of an order is the one found, by bisection."""
    low, high = 0.0, _LARGEST_KAPPA
    if moment >= bessel_scaled(order, high) / bessel_scaled(0, high):
        return high
    for _ in range(60):
        middle = (low + high) / 2.0
        if bessel_scaled(order, middle) / bessel_scaled(0, middle) < moment:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _student(share: float, freedom: int) -> float:
    """The quantile of Student's law for a share above one half, through the beta law."""
    x = beta_quantile(2.0 * share - 1.0, 0.5, freedom / 2.0)
    return math.sqrt(freedom * x / (1.0 - x))
