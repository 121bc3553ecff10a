"""What counts as watched: every rule by a log that differs in one thing."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import Any

import pytest

from scout.engine.effort import Effort, Place, merged
from scout.engine.haunts import Haunts, inside, read_haunts
from scout.engine.steps import steps_of

from .cards import ident, reaction
from .logs import LogBook, solar_day, sunrise_s, sunset_s, text

DAY = date(2026, 5, 12)
STUMP = Place(frozenset((ident("Stump"),)))


def efforts(log: LogBook, place: Place = STUMP, **parts: Any) -> tuple[Effort, ...]:
    return haunts(log, **parts).efforts.at(place)


def haunts(log: LogBook, **parts: Any) -> Haunts:
    return read_haunts(log.request(**parts))


def watched_min(found: tuple[Effort, ...]) -> float:
    return math.fsum((end - start) / 60 for one in found for start, end in one.spans_s)


def only_span(found: tuple[Effort, ...], on: date = DAY) -> tuple[float, float]:
    """Return the one watched span in minutes from sunrise."""
    ((start, end),) = found[0].spans_s
    return (start - sunrise_s(on)) / 60, (end - sunrise_s(on)) / 60


def test_the_first_twenty_minutes_do_not_count() -> None:
    log = LogBook()
    log.watch(DAY, 0, 100)
    assert only_span(efforts(log)) == pytest.approx((20, 100), abs=0.02)


@pytest.mark.parametrize(("quiet", "from_min"), [(5, 5), (40, 40)])
def test_quiet_again_says_from_when(quiet: float, from_min: float) -> None:
    log = LogBook()
    log.watch(DAY, 0, 100, quiet_from=text(sunrise_s(DAY) + 60 * quiet))
    assert only_span(efforts(log)) == pytest.approx((from_min, 100), abs=0.02)


def test_a_trail_camera_counts_from_its_start_and_through_the_night() -> None:
    log = LogBook()
    log.watch(DAY, -200, 100, visit=None, trail_camera=True)
    assert only_span(efforts(log)) == pytest.approx((-200, 100), abs=0.02)


def test_darker_than_civil_dawn_is_not_watched() -> None:
    log = LogBook()
    log.watch(DAY, -120, 60)
    day = solar_day(DAY)
    assert day.civil_rise_min is not None
    assert day.rise_min is not None
    civil = day.civil_rise_min - day.rise_min
    assert only_span(efforts(log)) == pytest.approx((civil, 60), abs=0.02)
    dark = LogBook()
    dark.watch(DAY, -120, 60, in_the_dark=True)
    assert only_span(efforts(dark)) == pytest.approx((-100, 60), abs=0.02)


def test_after_civil_dusk_neither() -> None:
    log = LogBook()
    late = (sunset_s(DAY) - sunrise_s(DAY)) / 60
    log.watch(DAY, late - 60, late + 120)
    day = solar_day(DAY)
    (found,) = efforts(log)
    assert found.half == "dusk"
    assert day.civil_set_min is not None
    assert found.spans_s[0][1] == pytest.approx(day.noon_s + 60 * day.civil_set_min, abs=1)


def test_a_step_in_which_it_was_heard_in_the_dark_is_watched_and_empty() -> None:
    log = LogBook()
    watch = log.watch(DAY, -150, 30)
    log.seen(watch, DAY, -80, how="heard", perch="Stump")
    found = efforts(log)
    spans = found[0].spans_min
    assert len(spans) == 2
    assert spans[0] == pytest.approx((-90, -75), abs=0.05)
    assert found[0].stays == ()
    steps = {step.from_min: (step.share.k, step.share.n) for step in steps_of(found, "dawn")}
    assert steps[-90] == (0, 1)
    assert -105 not in steps


@pytest.mark.parametrize("how", ["heard", "sign"])
def test_heard_and_sign_are_never_on_the_perch(how: str) -> None:
    log = LogBook()
    watch = log.watch(DAY, 0, 100)
    log.seen(watch, DAY, 50, 55, how=how)
    (found,) = efforts(log)
    assert not found.there


def test_a_forgotten_tail_is_not_watched() -> None:
    log = LogBook()
    watch = log.watch(DAY, 0, 400, end_unsure=True)
    log.seen(watch, DAY, 60, 75)
    assert only_span(efforts(log)) == pytest.approx((20, 75), abs=0.02)
    blank = LogBook()
    blank.watch(DAY, 0, 400, end_unsure=True)
    assert efforts(blank) == ()


def test_what_else_was_noted_confirms_a_tail() -> None:
    log = LogBook()
    watch = log.watch(DAY, 0, 400, end_unsure=True)
    log.seen(watch, DAY, 60, 75, species=ident("mammal"))
    log.reactions.append({**reaction("r", "", text(sunrise_s(DAY) + 6000)), "watch": watch})
    assert only_span(efforts(log)) == pytest.approx((20, 100), abs=0.02)


def test_a_watch_without_an_end_takes_its_visits() -> None:
    log = LogBook()
    log.watch(DAY, 0, 100)
    del log.watches[0]["end"]
    assert only_span(efforts(log)) == pytest.approx((20, 100), abs=0.02)
    del log.visits[0]["end"]
    assert efforts(log) == ()


def test_two_observers_on_one_morning_are_one() -> None:
    log = LogBook()
    first = log.watch(DAY, 0, 100)
    second = log.watch(DAY, 30, 130)
    for watch in (first, second):
        log.seen(watch, DAY, 60, 70)
    (found,) = efforts(log)
    assert only_span((found,)) == pytest.approx((20, 130), abs=0.02)
    assert len(found.visits) == 2
    steps = {step.from_min: (step.share.k, step.share.n) for step in steps_of([found], "dawn")}
    assert steps[60] == (1, 1)


def test_a_camera_of_many_days_is_an_effort_each_dawn_and_dusk() -> None:
    log = LogBook()
    log.watch(DAY, 0, 3 * 1440, visit=None, trail_camera=True)
    found = efforts(log)
    assert [one.half for one in found] == ["dawn", "dusk"] * 3 + ["dawn"]
    assert watched_min(found) == pytest.approx(3 * 1440, abs=0.1)


def test_only_perches_in_view_are_watched() -> None:
    log = LogBook("Stump", "Willow")
    log.watch(DAY, 0, 100, perches=[ident("Willow")])
    assert efforts(log) == ()
    assert len(efforts(log, Place())) == 1
    # Without a list, those that the vantage has a sightline to.
    log.watch(DAY + timedelta(days=1), 0, 100, perches=None)
    assert len(efforts(log)) == 1


def test_a_stay_counts_only_where_it_was_watched() -> None:
    log = LogBook()
    watch = log.watch(DAY, 0, 100)
    log.seen(watch, DAY, 2, 9)
    (found,) = efforts(log)
    assert not found.there
    log.seen(watch, DAY, 15, 25)
    (found,) = efforts(log)
    assert found.there
    # In the steps it stands from minute 20 on, where somebody was settled.
    steps = {step.from_min: (step.share.k, step.share.n) for step in steps_of([found], "dawn")}
    assert steps == {15: (1, 1), 30: (0, 1), 45: (0, 1), 60: (0, 1), 75: (0, 1), 90: (0, 1)}


def test_half_of_a_step_must_be_watched() -> None:
    log = LogBook()
    log.watch(DAY, 3, 37)  # watched from 23 to 37: seven minutes of each step
    assert steps_of(efforts(log), "dawn") == ()
    wide = LogBook()
    wide.watch(DAY, 2, 38)
    assert [step.from_min for step in steps_of(efforts(wide), "dawn")] == [15, 30]


def test_another_sites_log_is_left_out() -> None:
    log = LogBook()
    log.watch(DAY, 0, 100)
    log.visits[0]["site"] = ident("elsewhere")
    assert efforts(log) == ()


def test_steps_follow_the_sun_through_the_year() -> None:
    """The animal comes at sunrise plus an hour, on whatever date; by the clock two hours apart."""
    log = LogBook()
    for on in (date(2026, 3, 20), date(2026, 3, 25), date(2026, 9, 22)):
        watch = log.watch(on, 0, 120)
        log.seen(watch, on, 62, 70)
    steps = {step.from_min: step.share.k for step in steps_of(efforts(log), "dawn")}
    assert steps[60] == 3
    assert steps[30] == 0


def test_spans_that_touch_are_one() -> None:
    assert merged([(3, 4), (0, 1), (1, 2), (1.5, 1.7)]) == ((0, 2), (3, 4))


def test_inside_an_outline_also_across_the_date_line() -> None:
    square = [(1.0, 179.0), (1.0, -179.0), (-1.0, -179.0), (-1.0, 179.0)]
    assert inside((0.0, 179.9), square)
    assert inside((0.0, -179.9), square)
    assert not inside((0.0, 178.9), square)
    assert not inside((1.1, 180.0), square)


def test_unusual_records_are_read_by_their_own_reader() -> None:
    log = LogBook()
    watch = log.watch(DAY, 0, 100)
    log.seen(watch, DAY, 60, 70)
    plain = efforts(log)
    moment = log.sightings[0]["time_in"]
    log.sightings[0]["time_in"] = {"at": moment, "source": "person"}
    log.sightings[0]["count"] = 2
    assert efforts(log) == plain
    log.sightings[0]["time_in"] = "2026-05-12T06:00:00"
    with pytest.raises(ValueError, match=r"sightings\[1\].time_in"):
        efforts(log)
    log.sightings[0]["time_in"] = moment
    log.sightings.append(dict(log.sightings[0]))
    with pytest.raises(ValueError, match="twice"):
        efforts(log)
