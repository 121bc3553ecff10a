"""An animal without habits shows none; one with habits does, in the right step."""

from __future__ import annotations

import random

import pytest

from scout.engine.effort import Place
from scout.engine.haunts import read_haunts
from scout.engine.steps import standing_out, steps_of

from .cards import ident
from .logs import LogBook, mornings, uniform_log

STUMP = Place(frozenset((ident("Stump"),)))


def test_a_uniform_animal_yields_no_routine_in_nine_logs_of_ten() -> None:
    chance = random.Random(4)
    shown = 0
    for _ in range(60):
        found = steps_of(read_haunts(uniform_log(chance, 25).request()).efforts.at(STUMP), "dawn")
        shown += bool(standing_out(found))
    assert shown / 60 <= 0.1


def test_a_regular_animal_yields_its_hour() -> None:
    chance = random.Random(5)
    for _ in range(10):
        log = LogBook()
        for on in mornings(25):
            watch = log.watch(on, -40, 200)
            if chance.random() < 0.8:
                at = chance.gauss(97, 5)
                log.seen(watch, on, at, at + 4)
        found = steps_of(read_haunts(log.request()).efforts.at(STUMP), "dawn")
        out = [step.from_min for step in standing_out(found)]
        assert 90 in out
        assert all(75 <= start <= 105 for start in out)


@pytest.mark.parametrize(("seen", "out"), [(1, []), (2, []), (3, [90])])
def test_one_sighting_in_34_watches_is_no_routine(seen: int, out: list[int]) -> None:
    log = LogBook()
    for number, on in enumerate(mornings(34)):
        watch = log.watch(on, -40, 200)
        if number < seen:
            log.seen(watch, on, 92, 95)
    found = steps_of(read_haunts(log.request()).efforts.at(STUMP), "dawn")
    # scipy.stats.beta.ppf(0.05, 1.5, 33.5) is 0.005: above the nothing of all other times.
    assert next(step.share.low for step in found if step.from_min == 90) > 0.0
    assert [step.from_min for step in standing_out(found)] == out


def test_two_watches_stand_out_from_nothing() -> None:
    log = LogBook()
    for on in mornings(2):
        watch = log.watch(on, -40, 200)
        log.seen(watch, on, 90, 100)
    found = steps_of(read_haunts(log.request()).efforts.at(STUMP), "dawn")
    assert {step.from_min: step.share.k for step in found}[90] == 2
    assert standing_out(found) == ()
    assert standing_out(()) == ()
