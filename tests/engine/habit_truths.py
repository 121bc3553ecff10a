"""Animals whose habits are known by design, watched on some mornings; for recovery and its bench.

Four perches, watched two at a time; each has a chance that the animal comes on a morning, a sun
time it comes at, and a stretch of good light. The best outing is the perch with the highest true
chance of a stay in good light, which is worked out from the same law by a hundred thousand draws.
"""

from __future__ import annotations

import random
from datetime import date, timedelta

import attrs

from scout.engine.presence import presence_of, read_presence
from scout.engine.stays import stays_in_good_light

from .cards import ident
from .logs import LogBook, mornings, solar_day, sunrise_s

PERCHES = ("Alder", "Birch", "Cairn", "Dyke")
FIRST = date(2026, 4, 1)
WATCHED = (-20.0, 210.0)  # minutes from sunrise


@attrs.frozen
class Habit:
    """One perch's truth: chance of coming, sun time of coming and its spread, good light [min]."""

    chance: float
    at_min: float
    spread_min: float
    good: tuple[float, float]

    def stay(self, draw: random.Random) -> tuple[float, float] | None:
        if draw.random() >= self.chance:
            return None
        start = draw.gauss(self.at_min, self.spread_min)
        return start, start + draw.uniform(2, 12)

    def in_good_light(self, draws: int) -> float:
        draw = random.Random(1)
        hits = 0
        for _ in range(draws):
            stay = self.stay(draw)
            hits += stay is not None and stay[0] < self.good[1] and stay[1] >= self.good[0]
        return hits / draws


def made_habits(draw: random.Random) -> dict[str, Habit]:
    """Return a truth for each perch."""
    habits = {}
    for name in PERCHES:
        first = draw.uniform(20, 90)
        habits[name] = Habit(
            chance=draw.uniform(0.1, 0.95),
            at_min=draw.uniform(10, 170),
            spread_min=draw.uniform(8, 25),
            good=(first, first + draw.uniform(45, 110)),
        )
    return habits


def days_of(visits: int) -> list[date]:
    """Return the mornings of so many visits, forty a spring, the last springs first."""
    springs = [mornings(40, FIRST.replace(year=FIRST.year - back)) for back in range(10)]
    return [on for spring in springs for on in spring][:visits]


def made_log(habits: dict[str, Habit], visits: int, draw: random.Random) -> LogBook:
    """Return the log of so many visits, two perches in view on each, none before settling."""
    log = LogBook(*PERCHES)
    for on in days_of(visits):
        seen = draw.sample(PERCHES, 2)
        watch = log.watch(on, *WATCHED, perches=[ident(name) for name in seen])
        for name in seen:
            stay = habits[name].stay(draw)
            if stay is not None and stay[0] > 0:
                log.seen(watch, on, *stay, perch=name)
    return log


def first_ranked(habits: dict[str, Habit], log: LogBook, visits: int) -> str:
    """Return the perch that a card would name first: by the posterior mean, then by name."""
    known = read_presence(presence_of(log.request()))
    on = FIRST + timedelta(days=20)
    zero = sunrise_s(on)
    ranked = []
    for name in PERCHES:
        first, last = habits[name].good
        good = [(zero + 60 * first, zero + 60 * last)]
        found = stays_in_good_light(known, ident(name), "dawn", solar_day(on), on, good)
        mean = 0.0 if found is None or not found.share.n else round(found.share.mean, 2)
        ranked.append((-mean, name))
    return min(ranked)[1]


def share_near_best(visits: int, logs: int, seed: int, draws: int = 4000) -> float:
    """Return the share of logs whose first-ranked outing is within 10 % of the best possible."""
    draw = random.Random(seed)
    near = 0
    for _ in range(logs):
        habits = made_habits(draw)
        true = {name: habit.in_good_light(draws) for name, habit in habits.items()}
        name = first_ranked(habits, made_log(habits, visits, draw), visits)
        near += true[name] >= 0.9 * max(true.values())
    return near / logs
