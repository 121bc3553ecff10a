"""Crossings: when a height that changes with time passes through zero, all of them.

One search for everything: sun altitude minus a level, apparent altitude minus a skyline. It
knows nothing of the sun; it is handed a function of time. Not for physics.

A coarse scan misses a short visit above zero between two samples:

        zero ------------.-^-.-----------
                       *       *          <- samples, all below
                   *               *

so wherever the samples turn towards zero without reaching it, the turn itself is followed
(golden section) until it crosses or has clearly turned back.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import datetime

from attrs import frozen

from scout.engine.instants import instant_of, seconds_of

Height = Callable[[float], float]  # of seconds since 1970-01-01 UTC; any unit, zero is the level

_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
_ROOT_WITHIN_S = 0.5
_TURN_WITHIN_S = 0.5


@frozen
class Crossing:
    """One passage through zero: seconds since 1970-01-01 UTC [s], and whether upwards."""

    at_s: float
    rising: bool

    @property
    def at_utc(self) -> datetime:
        """The moment on the whole second."""
        return instant_of(self.at_s)


@frozen
class Crossings:
    """All passages within an interval, in order, and which side it starts on.

    A height of exactly zero counts as above. With no passage, `always_above` or
    `always_below` says which.
    """

    found: tuple[Crossing, ...]
    starts_above: bool

    @property
    def always_above(self) -> bool:
        """Whether the height never falls below zero in the interval."""
        return self.starts_above and not self.found

    @property
    def always_below(self) -> bool:
        """Whether the height never reaches zero in the interval."""
        return not self.starts_above and not self.found

    def first(self, *, rising: bool) -> Crossing | None:
        """Return the first passage in a direction, or None."""
        return next((c for c in self.found if c.rising is rising), None)

    def last(self, *, rising: bool) -> Crossing | None:
        """Return the last passage in a direction, or None."""
        return next((c for c in reversed(self.found) if c.rising is rising), None)


def crossings(
    height: Height, start_utc: datetime, end_utc: datetime, step_s: float = 600.0
) -> Crossings:
    """Find all moments between two aware times at which a height passes through zero.

    height: function of seconds since 1970-01-01 UTC. step_s: spacing of the coarse scan [s]; the
    height may turn once between neighbouring samples, not more. Each passage is found to 0.5 s;
    a visit above or below zero shorter than about 2 s may be lost.
    Raises ValueError for naive or reversed times, a step that is not positive, a NaN height.
    """
    start, end = seconds_of(start_utc, "start_utc"), seconds_of(end_utc, "end_utc")
    if not start < end:
        raise ValueError(
            f"start_utc ({start_utc.isoformat()}) must lie before end_utc ({end_utc.isoformat()})."
        )
    return crossings_between(height, scan(start, end, step_s))


def scan(start_s: float, end_s: float, step_s: float) -> list[float]:
    """Return evenly spaced moments from start to end, both included, at most a step apart [s]."""
    if not (math.isfinite(step_s) and step_s > 0.0):
        raise ValueError(f"step_s is {step_s}: the scan needs a positive number of seconds.")
    count = max(1, math.ceil((end_s - start_s) / step_s - 1e-9))
    return [start_s + (end_s - start_s) * i / count for i in range(count)] + [end_s]


def crossings_between(
    height: Height,
    moments_s: Sequence[float],
    heights: Sequence[float] | None = None,
    hidden_most: float = math.inf,
) -> Crossings:
    """Find all passages through zero given the moments of the scan [s], in ascending order.

    heights: the height at each moment where the caller has them already. Moments need not be
    evenly spaced: put one beside every kink of the height. hidden_most: the most by which the
    height can go beyond its samples between them; turns further off zero are not followed.
    """
    values = [height(t) for t in moments_s] if heights is None else list(heights)
    if len(values) < 2 or len(values) != len(moments_s):
        raise ValueError("A search for crossings needs at least two moments, each with a height.")
    if any(math.isnan(value) for value in values):
        raise ValueError("The height of a crossing search is not a number at some moment.")
    found: list[Crossing] = []
    last = len(values) - 1
    for i, (t, value) in enumerate(zip(moments_s, values, strict=True)):
        near = abs(value) <= hidden_most
        turn = _turn_beside(height, moments_s, values, i, last) if near else None
        if turn is not None:
            t_turn, value_turn = turn
            left = max(0, i - 1)
            right = min(last, i + 1)
            found += [
                _root(height, moments_s[left], values[left], t_turn, value_turn),
                _root(height, t_turn, value_turn, moments_s[right], values[right]),
            ]
        if i < last and (value >= 0.0) != (values[i + 1] >= 0.0):
            found.append(_root(height, t, value, moments_s[i + 1], values[i + 1]))
    return Crossings(tuple(found), values[0] >= 0.0)


def extreme_s(height: Height, start_s: float, end_s: float, *, highest: bool) -> float:
    """Return the moment [s], to 0.5 s, of the one highest (or lowest) height in an interval."""
    sign = 1.0 if highest else -1.0
    return _golden(lambda t: sign * height(t), start_s, end_s, stop_at=math.inf)[0]


def _turn_beside(
    height: Height, moments: Sequence[float], values: Sequence[float], i: int, last: int
) -> tuple[float, float] | None:
    """Return a moment beyond zero around sample i, where the samples only turned towards it."""
    value = values[i]
    above = value >= 0.0
    beside = [values[k] for k in (i - 1, i + 1) if 0 <= k <= last]
    if any((other >= 0.0) is not above for other in beside):
        return None
    nearness = [abs(other) - abs(value) for other in beside]
    if min(nearness) < 0.0 or max(nearness) == 0.0:
        return None
    # Two equal samples around a turn would both lead to it: the earlier one does.
    if i > 0 and nearness[0] == 0.0:
        return None
    start, end = moments[max(0, i - 1)], moments[min(last, i + 1)]
    sign = -1.0 if above else 1.0
    if i in (0, last):  # a turn inside the outermost step shows as a move towards zero at its end
        inward = moments[i] + (1.0 if i == 0 else -1.0) * min(1.0, (end - start) / 4.0)
        if sign * (height(inward) - value) <= 0.0:
            return None
    t, nearest = _golden(lambda t: sign * height(t), start, end, stop_at=0.0)
    crossed = nearest > 0.0 if above else nearest >= 0.0
    return (t, sign * nearest) if crossed else None


def _golden(height: Height, start: float, end: float, stop_at: float) -> tuple[float, float]:
    a, b = start, end
    c, d = b - _GOLDEN * (b - a), a + _GOLDEN * (b - a)
    fc, fd = height(c), height(d)
    while b - a > _TURN_WITHIN_S and max(fc, fd) <= stop_at:
        if fc >= fd:
            b, d, fd = d, c, fc
            c = b - _GOLDEN * (b - a)
            fc = height(c)
        else:
            a, c, fc = c, d, fd
            d = a + _GOLDEN * (b - a)
            fd = height(d)
    best = max(fc, fd)
    ends = (height(start), height(end)) if b - a <= _TURN_WITHIN_S else ()
    if ends and max(ends) > best:
        return (start, ends[0]) if ends[0] >= ends[1] else (end, ends[1])
    return (c, fc) if fc >= fd else (d, fd)


def _root(height: Height, a: float, fa: float, b: float, fb: float) -> Crossing:
    """Close in on the one passage in a bracket: the secant's guess, halving where it is slow."""
    rising = fb >= 0.0
    while b - a > _ROOT_WITHIN_S:
        width = b - a
        guess = a + width * fa / (fa - fb) if fa != fb else a + width / 2.0
        # Step half the tolerance beyond the nearer end, so that both ends close on the passage.
        nudge = _ROOT_WITHIN_S * 0.45
        guess = min(max(guess, a + nudge), b - nudge)
        for t in (guess, guess + nudge, guess - nudge, None):
            if t is None:
                t = (a + b) / 2.0
                if b - a <= width / 2.0:
                    break
            if not a < t < b:
                continue
            value = height(t)
            if (value >= 0.0) is rising:
                b, fb = t, value
            else:
                a, fa = t, value
            if b - a <= _ROOT_WITHIN_S:
                break
    at = a + (b - a) * fa / (fa - fb) if fa != fb else (a + b) / 2.0
    return Crossing(at, rising)
