"""How sure a count of mornings is: Jeffreys' interval for k of n, and the beta law behind it.

The lower end is 0 where it was never there, the upper 1 where it always was (Brown, Cai & DasGupta,
Statistical Science 16 (2001) 101). Not for: deciding what counts as one of the n (`effort`).
"""

from __future__ import annotations

import math
from functools import lru_cache

from attrs import frozen

LEVEL = 0.90
MOST_MORE = 10_000  # watches; nobody sits more often than that

_TINY = 1e-300
_SAME = 1e-15


@frozen
class Share:
    """k of n with its interval: `low` and `high` are shares from 0 to 1."""

    k: int
    n: int
    low: float
    high: float

    @property
    def mean(self) -> float:
        """The posterior mean under Jeffreys' prior."""
        return (self.k + 0.5) / (self.n + 1.0)

    @property
    def words(self) -> str:
        """Such as "7 of 12 (90 %: 35–79 %)"; without a watch, "not watched"."""
        return self.counted("")

    @property
    def band(self) -> str:
        """The interval as it is printed wherever it is: "35–79 %"."""
        return f"{round(100 * self.low)}–{round(100 * self.high)} %"

    def counted(self, what: str) -> str:
        """Say what the n are: "7 of 12 watched dawns (90 %: 35–79 %)"; "not watched" without."""
        if self.n == 0:
            return "not watched"
        return f"{self.k} of {self.n}{what and ' '}{what} (90 %: {self.band})"

    def written(self) -> dict[str, float | int]:
        """Write it as {"k", "n", "low", "high"}, the shares to three decimals."""
        return {"k": self.k, "n": self.n, "low": round(self.low, 3), "high": round(self.high, 3)}


@lru_cache(maxsize=4096)
def share_of(k: int, n: int, level: float = LEVEL) -> Share:
    """Return k of n with its Jeffreys interval, 0 to 1 where nothing was watched.

    Raises ValueError unless 0 ≤ k ≤ n and 0 < level < 1.
    """
    if not 0 <= k <= n:
        raise ValueError(f"k is {k} of n {n}: k must lie between 0 and n.")
    if not 0.0 < level < 1.0:
        raise ValueError(f"level is {level}: give a share between 0 and 1, such as 0.9.")
    if n == 0:
        return Share(0, 0, 0.0, 1.0)
    tail = (1.0 - level) / 2.0
    low = 0.0 if k == 0 else beta_quantile(tail, k + 0.5, n - k + 0.5)
    high = 1.0 if k == n else beta_quantile(1.0 - tail, k + 0.5, n - k + 0.5)
    return Share(k, n, low, high)


def more_watches(k: int, n: int, width: float, level: float = LEVEL) -> int:
    """Return how many more watches narrow the interval to a width, were the share to stay as it is.

    0 where it is as narrow already; `width` is a share between 0 and 1, both left out. With no
    watch yet the widest case is reckoned, a share of one half. Raises ValueError for another width.
    """
    if not 0.0 < width < 1.0:
        raise ValueError(f"width is {width}: give a share between 0 and 1, such as 0.3.")
    share = k / n if n else 0.5
    tail = (1.0 - level) / 2.0

    def wide(more: int) -> bool:
        if n + more == 0:
            return True
        there = share * (n + more)
        a, b = there + 0.5, n + more - there + 0.5
        low = 0.0 if there == 0.0 else beta_quantile(tail, a, b)
        high = 1.0 if share == 1.0 else beta_quantile(1.0 - tail, a, b)
        return round(high - low, 9) > width

    if not wide(0):
        return 0
    too_few, enough = 0, 1
    while wide(enough):
        too_few, enough = enough, enough * 2
        if enough > MOST_MORE:
            return MOST_MORE
    while enough - too_few > 1:
        middle = (too_few + enough) // 2
        too_few, enough = (middle, enough) if wide(middle) else (too_few, middle)
    return enough


def beta_share(x: float, a: float, b: float) -> float:
    """Return the regularised incomplete beta function I_x(a, b), by its continued fraction.

    Source: NIST Digital Library of Mathematical Functions, 8.17.22; evaluated by Lentz's method.
    """
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    front = math.exp(_log_front(x, a, b))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _fraction(x, a, b) / a
    return 1.0 - front * _fraction(1.0 - x, b, a) / b


def beta_quantile(share: float, a: float, b: float) -> float:
    """Return the x at which I_x(a, b) is a share from 0 to 1: Newton's steps kept in a bracket."""
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"share is {share}: give a number from 0 to 1.")
    if share in (0.0, 1.0):
        return share
    low, high = 0.0, 1.0
    x = a / (a + b)
    if abs(share - 0.5) > 0.3:  # a tail: begin there, not at the mean
        spread = math.sqrt(x * (1.0 - x) / (a + b + 1.0))
        x = min(max(x + math.copysign(1.6 * spread, share - 0.5), x / 2.0), (1.0 + x) / 2.0)
    for _ in range(200):
        off = beta_share(x, a, b) - share
        if off > 0.0:
            high = x
        else:
            low = x
        slope = math.exp(_log_front(x, a, b)) / (x * (1.0 - x))
        after = x - off / slope if slope > 0.0 else low
        if not low < after < high:
            after = (low + high) / 2.0
        if abs(after - x) <= 1e-13 * max(x, 1e-6):
            return after
        x = after
    return x


def _log_front(x: float, a: float, b: float) -> float:
    beta = math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)
    return a * math.log(x) + b * math.log1p(-x) - beta


def _fraction(x: float, a: float, b: float) -> float:
    c = 1.0
    d = 1.0 - (a + b) * x / (a + 1.0)
    d = 1.0 / (d if abs(d) > _TINY else _TINY)
    value = d
    for m in range(1, 2000):
        for numerator in (
            m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0)),
        ):
            d = 1.0 + numerator * d
            d = 1.0 / (d if abs(d) > _TINY else _TINY)
            c = 1.0 + numerator / c
            c = c if abs(c) > _TINY else _TINY
            value *= c * d
        if abs(c * d - 1.0) < _SAME * 10:
            break
    return value
