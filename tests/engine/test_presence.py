"""What a card is told of presence, and its headline, worked out by hand."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from scipy.stats import beta

from scout.engine.calls import call
from scout.engine.clocks import clock_words
from scout.engine.presence import Presence, presence_of, read_presence
from scout.engine.stays import (
    InGoodLight,
    headline_words,
    left_words,
    quantile,
    stay_words,
    stays_in_good_light,
    usual_stay_s,
)
from scout.records.trouble import Refused

from .cards import ident, request
from .logs import LogBook, mornings, solar_day, sunrise_s

DAY = date(2026, 4, 20)
GOOD = (60.0, 120.0)  # minutes from sunrise


def told(log: LogBook) -> Presence:
    """Return a log's presence after a journey as JSON text."""
    return read_presence(json.loads(json.dumps(presence_of(log.request()))))


def held(
    log: LogBook,
    on: date = DAY,
    good: tuple[tuple[float, float], ...] = (GOOD,),
    by: float | None = None,
) -> InGoodLight | None:
    zero = sunrise_s(on)
    return stays_in_good_light(
        told(log),
        ident("Stump"),
        "dawn",
        solar_day(on),
        on,
        [(zero + 60 * start, zero + 60 * end) for start, end in good],
        None if by is None else zero + 60 * by,
    )


def twelve() -> LogBook:
    """Twelve mornings: on seven it came in good light, on two before it, on three not at all."""
    log = LogBook()
    for number, year in enumerate(range(2014, 2026)):
        on = date(year, 4, 20)  # one day of the year, so that minutes stay minutes
        watch = log.watch(on, -20, 150)
        if number < 7:
            log.seen(watch, on, 30, 34)
            log.seen(watch, on, 70 + number, 73 + number)
        elif number < 9:
            log.seen(watch, on, 20, 25)
    return log


def test_the_headline_by_hand() -> None:
    found = held(twelve())
    assert found is not None
    assert (found.share.k, found.share.n) == (7, 12)
    # scipy.stats.beta, Jeffreys' prior
    assert found.share.low == pytest.approx(beta.ppf(0.05, 7.5, 5.5), abs=1e-9)
    assert found.share.high == pytest.approx(beta.ppf(0.95, 7.5, 5.5), abs=1e-9)
    assert found.season
    # Seven mornings with three minutes each, of twelve.
    assert found.mean_min == pytest.approx(7 * 3 / 12, abs=0.05)


def test_leaving_against_a_moment() -> None:
    found = held(twelve(), by=75.5)
    assert found is not None
    # It came on nine; the last stays end at 73, 74, 75, 76 … and at 25 on two mornings.
    assert (found.missed.k, found.missed.n) == (5, 9)
    assert found.by_utc is not None
    assert found.by_utc.timestamp() == pytest.approx(sunrise_s(DAY) + 75.5 * 60, abs=1)
    # Whoever went home before that moment does not know.
    late = held(twelve(), by=160)
    assert late is not None
    assert late.missed.n == 0


def test_what_a_card_says_of_it() -> None:
    found = held(twelve(), by=75.5)
    assert found is not None
    assert headline_words(found, "dawn") == (
        "at least one stay in good light on 7 of 12 dawns when that light was watched "
        "(90 %: 35–79 %)"
    )
    assert stay_words(found) == "usual stay 4 min (3 min to 4 min)"
    assert left_words(found, ZoneInfo("Europe/London"), "dawn", 5) == (
        f"it had left by {clock(75.5)} on 5 of the 9 watched dawns it came"
    )
    log = LogBook()
    log.watch(DAY, -20, 150)
    few = held(log, by=75)
    assert few is not None
    assert headline_words(few, "dawn") == (
        "nothing can be said: good light on 0 of 1 watch, of the whole year"
    )
    assert stay_words(few) is None
    assert left_words(few, ZoneInfo("Europe/London"), "dawn", 5) is None
    unseen = held(log, good=((200, 260),))
    assert unseen is not None
    assert headline_words(unseen, "dawn").endswith("its good light was never watched")


def clock(minutes: float) -> str:
    at = datetime.fromtimestamp(round(sunrise_s(DAY) + 60 * minutes), UTC)
    return clock_words(at, ZoneInfo("Europe/London"))


def test_usual_stay() -> None:
    found = held(twelve())
    assert found is not None
    assert found.stay_s == (180, 240, 240)  # seven of 3 min, seven of 4 and two of 5


@pytest.mark.parametrize(
    ("end", "counted"),
    [(85.0, 0), (88.0, 0), (95.0, 1)],  # settled from 0 on; half of the good hour ends at 90
)
def test_a_morning_counts_when_half_of_the_good_light_was_watched(end: float, counted: int) -> None:
    log = LogBook()
    log.watch(DAY, -20, end)
    found = held(log)
    assert found is not None
    assert found.share.n == counted


def test_a_success_on_a_morning_hardly_watched_counts_neither_way() -> None:
    log = LogBook()
    watch = log.watch(DAY, -20, 75)
    log.seen(watch, DAY, 65, 70)
    found = held(log)
    assert found is not None
    assert (found.share.k, found.share.n) == (0, 0)


def test_an_arrival_without_a_departure_counts_and_lasts_nothing() -> None:
    log = LogBook()
    watch = log.watch(DAY, -20, 150)
    log.seen(watch, DAY, 65)
    found = held(log)
    assert found is not None
    assert (found.share.k, found.share.n, found.mean_min, found.stay_s) == (1, 1, 0.0, None)


def test_several_stretches_of_good_light() -> None:
    log = LogBook()
    watch = log.watch(DAY, -20, 150)
    log.seen(watch, DAY, 80, 82)
    for good, k in ((((60, 79), (83, 120)), 0), (((60, 70), (81, 120)), 1)):
        found = held(log, good=good)
        assert found is not None
        assert (found.share.k, found.share.n) == (k, 1)


def test_the_season_speaks_where_it_is_known_else_the_year() -> None:
    log = LogBook()
    for on in mornings(5, date(2025, 4, 10)):
        watch = log.watch(on, -20, 150)
        log.seen(watch, on, 70, 80)
    for on in mornings(9, date(2025, 10, 10)):
        log.watch(on, -20, 150)
    spring = held(log, date(2026, 4, 20))
    assert spring is not None
    assert (spring.share.k, spring.share.n, spring.season) == (5, 5, True)
    summer = held(log, date(2026, 7, 20))
    assert summer is not None
    assert (summer.share.k, summer.share.n, summer.season) == (5, 14, False)


def test_mornings_move_with_the_sun() -> None:
    """An hour after sunrise in April is a longer hour in June, as the day is longer."""
    log = LogBook()
    on = date(2026, 4, 1)
    watch = log.watch(on, -20, 150)
    log.seen(watch, on, 100, 101)
    june = date(2026, 6, 20)
    spring, summer = solar_day(on), solar_day(june)
    assert spring.day_min is not None
    assert summer.day_min is not None
    there = 100 * summer.day_min / spring.day_min
    for good, k in (((there - 1, there + 2), 1), ((100, 102), 0)):
        found = held(log, june, (good,))
        assert found is not None
        assert found.share.k == k


def test_nothing_known_and_nothing_good_say_nothing() -> None:
    assert held(LogBook()) is None
    dark = held(twelve(), good=(), by=75.5)
    assert dark is not None
    assert headline_words(dark, "dawn") == "there is no good light to come in"
    # When it leaves is known all the same.
    assert (dark.share.n, dark.missed.k, dark.missed.n) == (0, 5, 9)


def test_steps_serve_todays_card() -> None:
    """What the call answers is the argument that a card takes."""
    told_now = call("presence", twelve().request())
    steps = told_now["dawn"]["perches"][ident("Stump")]["steps"]
    by_start = {step["from_min"]: (step["k"], step["n"]) for step in steps}
    assert by_start[60] == (5, 12)
    assert by_start[75] == (4, 12)
    there = told_now["dawn"]["perches"][ident("Stump")]["there"]
    assert (there["k"], there["n"]) == (9, 12)
    low, high = beta.ppf([0.05, 0.95], 9.5, 3.5)
    assert (there["low"], there["high"]) == pytest.approx((low, high), abs=6e-4)
    assert there["words"] == f"9 of 12 (90 %: {100 * low:.0f}–{100 * high:.0f} %)"
    del told_now["engine"]
    card = call("outing_card", request(presence=told_now))
    assert "error" not in card


def test_a_whole_cards_request_may_be_handed_over() -> None:
    whole = request(date="2026-04-20", wind="SW 3")
    log = twelve()
    whole.update({name: log.request()[name] for name in ("visits", "watches", "sightings")})
    told_now = call("presence", whole)
    assert told_now["watched"] == 12
    assert told_now["anchoring"]["kind"] == "sunrise and sunset"


def broken(*path: Any, value: Any) -> dict[str, Any]:
    whole: dict[str, Any] = json.loads(json.dumps(presence_of(twelve().request())))
    part: Any = whole
    for step in path[:-1]:
        part = part[step]
    part[path[-1]] = value
    return whole


MORNINGS = ("dawn", "perches", ident("Stump"), "mornings")


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (None, "is not an object"),
        (broken("anchoring", value={}), "anchoring: needs a"),
        (broken("anchoring", "set_min", value=-900), "anchoring.set_min: must lie after"),
        (broken("anchoring", "rise_min", value="x"), "anchoring.rise_min"),
        (broken("dusk", value=[]), "dusk: needs"),
        (broken(*MORNINGS, value={}), "mornings: is no list"),
        (broken(*MORNINGS, 0, value=3), r"mornings\[1\]: 3 is not an object"),
        (broken(*MORNINGS, 0, "date", value="May"), r"mornings\[1\].date"),
        (broken(*MORNINGS, 0, "watched", value=[]), "a morning nobody watched"),
        (broken(*MORNINGS, 0, "watched", value=[[3, None]]), "needs an end"),
        (broken(*MORNINGS, 0, "stays", value=[[3, 2]]), "ends before it starts"),
        (broken(*MORNINGS, 0, "stays", value=[3]), "no span of two numbers"),
        (broken(*MORNINGS, 0, "stays", value=[["a", 2]]), r"stays\[1\]\[1\]"),
    ],
)
def test_junk_is_refused_with_its_place(raw: Any, says: str) -> None:
    with pytest.raises(Refused, match=says):
        read_presence(raw)


def test_quantiles_are_the_usual_ones() -> None:
    """numpy.quantile, its default method."""
    np = pytest.importorskip("numpy")
    values = [1.0, 2.5, 4.0, 9.0, 11.0, 30.0]
    for share in (0.0, 0.25, 0.5, 0.6, 0.75, 1.0):
        assert quantile(values, share) == pytest.approx(np.quantile(values, share))
    assert usual_stay_s([(0, 1), (0, None), (5, 6)]) is None
    assert usual_stay_s([(0, 0.5), (0, 1), (0, 10)]) == (45, 60, 360)  # 5.5 min to the even


def test_dusk_is_apart_from_dawn() -> None:
    log = twelve()
    late = (solar_day(DAY).day_min or 0) - 30  # minutes from sunrise, so before sunset
    watch = log.watch(DAY, late - 60, late + 30)
    log.seen(watch, DAY, late, late + 5)
    known = told(log)
    assert len(known.mornings["dawn"][ident("Stump")]) == 12
    (dusk,) = known.mornings["dusk"][ident("Stump")]
    assert dusk.stays[0] == pytest.approx((-30, -25), abs=1.0)
    assert dusk.date == DAY
