"""What the log says ranks before light, and is said as k of n: a card worked out by hand."""

from __future__ import annotations

import math
from datetime import date, datetime
from typing import Any

import pytest
from scipy.stats import beta

from scout.engine.calls import call
from scout.engine.presence import joined, presence_of, read_presence

from .cards import bird, card, ident, mammal, measurement, perch, refusal, sightline, skyline
from .logs import LogBook, sunrise_s, sunset_s

ON = date(2026, 4, 20)
PERCHES = ("Stump", "Willow")
TREES = [skyline([(40, 4), (80, 4), (120, 4)], pin=name) for name in PERCHES]


def told(log: LogBook, **parts: Any) -> dict[str, Any]:
    answer = call("presence", log.request(**parts))
    assert "error" not in answer, answer
    del answer["engine"]
    return answer


def years(count: int) -> list[date]:
    """Return one day of the year in so many years, so that minutes from sunrise stay minutes."""
    return [date(2026 - back, 4, 20) for back in range(1, count + 1)]


def log_of(stays: dict[str, list[tuple[float, float] | None]], until: float = 185) -> LogBook:
    """Return a log: each perch's stay on each of its mornings, None where nothing came."""
    log = LogBook(*PERCHES)
    for name, mornings in stays.items():
        for on, stay in zip(years(len(mornings)), mornings, strict=True):
            watch = log.watch(on, -20, until, perches=[ident(name)])
            if stay is not None:
                log.seen(watch, on, *stay, perch=name)
    return log


def known(log: LogBook | None, **parts: Any) -> dict[str, Any]:
    """Return a card of two perches that are lit alike, so that the alphabet alone orders them."""
    return card(
        **{
            "date": ON.isoformat(),
            "perches": [perch(name) for name in PERCHES],
            "sightlines": [sightline(end=name) for name in PERCHES],
            "measurements": [measurement(end=name) for name in PERCHES],
            "skylines": TREES,
            "presence": None if log is None else told(log),
            **parts,
        }
    )


def order(found: dict[str, Any]) -> list[str]:
    return [one["perch"] for one in found["sightlines"]]


def good_min(line: dict[str, Any], case: str) -> list[tuple[float, float]]:
    """Return a card's good stretches in minutes from the sunrise of its day."""

    def minutes(moment: dict[str, str]) -> float:
        at = datetime.fromisoformat(moment["utc"].replace("Z", "+00:00"))
        return (at.timestamp() - sunrise_s(ON)) / 60

    return [
        (minutes(one["from"]), minutes(one["to"]))
        for one in line["stretches"][case]
        if one["state"] == "good"
    ]


TWELVE: list[tuple[float, float] | None] = [
    *[(80.0, 84.0), (90.0, 93.0), (100.0, 101.0), (110.0, 113.0), (120.0, 125.0)],
    *[(130.0, 133.0), (140.0, 144.0)],
    *[(8.0, 9.0), (9.0, 12.0)],  # before the sun is over the trees
    *[None, None, None],
]


def test_a_card_by_hand() -> None:
    """Seven of twelve, the interval by scipy's beta, the leaving and the minutes by counting."""
    found = known(log_of({"Stump": TWELVE}), sightlines=[sightline()], sky="clear")
    (line,) = found["sightlines"]
    good = good_min(line, "clear")
    assert 12 < good[0][0] < 60  # the sun comes over trees of four degrees
    hits = [
        stay is not None and any(stay[0] < end and stay[1] >= start for start, end in good)
        for stay in TWELVE
    ]
    assert sum(hits) == 7
    counts = line["presence_counts"]
    assert (counts["k"], counts["n"], counts["season"], counts["enough"]) == (7, 12, True, True)
    # Jeffreys' interval, scipy.stats.beta.
    low, high = beta.ppf([0.05, 0.95], 7.5, 5.5)
    assert counts["low"] == pytest.approx(low, abs=0.0006)
    assert counts["high"] == pytest.approx(high, abs=0.0006)
    assert line["presence"] == (
        "Wren-sized bird: at least one stay in good light on 7 of 12 dawns when that light "
        f"was watched (90 %: {100 * low:.0f}–{100 * high:.0f} %)"
    )
    # Stays last 4 3 1 3 5 3 4 1 3 min: 3 in the middle, 3 and 4 at the quarters.
    assert line["stay"] == "usual stay 3 min (3 min to 4 min)"
    # It came on nine; at the shutter's arrival, about sunrise, it had left on none of them.
    arrival = line["arrivals"][0]["clear"]
    assert line["left"] == f"it had left by {arrival['clock']} on 0 of the 9 watched dawns it came"
    inside = math.fsum(b - a for a, b in (stay for stay in TWELVE[:7] if stay))
    assert line["expected"] == f"about {round(inside / 12)} min in good light a dawn"
    # Blank ones stand at 92.5 min, the middle of what was watched.
    assert line["marks"] == [*[True] * 4, *[False] * 3, *[True] * 5]
    assert found["verdict"].startswith("Worth it: Bank → Stump, ")
    assert (
        "at least one stay in good light on 7 of 12 dawns when that light was watched"
        in found["verdict"]
    )


def test_null_says_that_no_routine_is_known() -> None:
    found = known(None)
    assert found["routine"] == "No routine is known here: ranked by light alone."
    for one in found["sightlines"]:
        assert one["presence"] is None
        assert one["presence_counts"] is None
        assert one["marks"] == one["each"] == []
    assert order(found) == ["Stump", "Willow"]


def some(k: int, n: int) -> list[tuple[float, float] | None]:
    return [(100.0, 104.0)] * k + [None] * (n - k)


def test_mornings_rank_before_light() -> None:
    found = known(log_of({"Stump": some(3, 12), "Willow": some(7, 12)}))
    assert order(found) == ["Willow", "Stump"]
    assert found["routine"] == "Ranked by how often there was a stay in good light, then by light."


@pytest.mark.parametrize(
    ("stump", "willow"), [((5, 6), (9, 12)), ((5, 12), (2, 5)), ((0, 5), (0, 12)), ((7, 8), (8, 9))]
)
def test_shares_weigh_by_their_posterior(stump: tuple[int, int], willow: tuple[int, int]) -> None:
    # (k + 1/2) / (n + 1), Jeffreys' prior: Brown, Cai & DasGupta 2001; to the hundredth.
    means = [round((k + 0.5) / (n + 1), 2) for k, n in (stump, willow)]
    found = known(log_of({"Stump": some(*stump), "Willow": some(*willow)}))
    assert order(found) == (["Willow", "Stump"] if means[1] > means[0] else ["Stump", "Willow"])


def test_too_few_watches_say_nothing_and_rank_nothing() -> None:
    found = known(log_of({"Willow": some(4, 4)}))
    assert order(found) == ["Stump", "Willow"]
    assert found["sightlines"][1]["presence"] == (
        "Wren-sized bird: nothing can be said: good light on 4 of 4 watches, of the whole year"
    )
    assert found["sightlines"][0]["presence"] is None
    assert found["routine"] == (
        "Its good light was watched on 4 dawns at most, which says nothing yet (5 are the "
        "fewest): ranked by light alone."
    )
    # The fewest that say something are a setting.
    own = known(log_of({"Willow": some(4, 4)}), settings={"fewest_watches": 4})
    assert order(own) == ["Willow", "Stump"]


@pytest.mark.parametrize(("share", "first"), [((9, 10), "Stump"), ((1, 10), "Alder")])
def test_what_was_never_watched_stands_at_the_middle_of_the_others(
    share: tuple[int, int], first: str
) -> None:
    """Of two watched perches, 5 of 10 taken together; the third was never looked at."""
    names = ("Alder", "Stump", "Willow")
    log = LogBook(*names)
    for name, (k, n) in {"Stump": share, "Willow": (5, 10)}.items():
        for on, stay in zip(years(n), some(k, n), strict=True):
            watch = log.watch(on, -20, 185, perches=[ident(name)])
            if stay is not None:
                log.seen(watch, on, *stay, perch=name)
    found = known(
        log,
        perches=[perch(name) for name in names],
        sightlines=[sightline(end=name) for name in names],
        measurements=[measurement(end=name) for name in names],
        skylines=[skyline([(40, 4), (120, 4)], pin=name) for name in names],
    )
    places = order(found)
    watched = {"Stump": (share[0] + 0.5) / 11, "Willow": 5.5 / 11}
    middle = (share[0] + 5.5) / 21
    assert places == sorted(names, key=lambda name: (-round(watched.get(name, middle), 2), name))
    assert places[1] == "Alder"
    assert found["routine"].endswith(
        "What was watched too little stands at the middle of the others."
    )


def test_barred_ones_stay_barred_however_sure_the_animal() -> None:
    shy = mammal(keep_distance_open_m=30, id=ident("bird"))
    found = known(log_of({"Willow": some(12, 12)}), species=shy)
    assert found["sightlines"] == []
    assert len(found["barred"]) == 2


def test_a_verdict_for_each_sky() -> None:
    """It leaves before the overcast shutter comes: worth it only under a sun."""
    stays: list[tuple[float, float] | None] = [(14.0 + number, 24.0) for number in range(9)]
    found = known(
        log_of({"Stump": [*stays, None, None, None]}),
        sightlines=[sightline(light_wanted="any")],
        skylines=[skyline([(40, 0), (120, 0)])],
        behaviour="fidgeting",
    )
    (line,) = found["sightlines"]
    by = {case: line["arrivals"][1][case]["clock"] for case in ("sun out", "overcast")}
    overcast = good_min(line, "overcast")[0][0]
    assert good_min(line, "clear")[0][0] < 23 < 24 < overcast
    assert found["verdict"].startswith("Worth it if clear (")
    assert "then there on 9 of 12 watched dawns)" in found["verdict"]
    assert (
        f"it had left by {by['overcast']} on 9 of the 9 watched dawns it came." in found["verdict"]
    )
    assert "; not if overcast (" in found["verdict"]
    assert found["worth"] == ["clear", "in and out"]
    assert "then there on 0 of 12 watched dawns): it had left" in found["verdict"]


def test_seldom_there_is_said_though_the_light_is_good() -> None:
    found = known(log_of({"Stump": some(1, 12)}), sightlines=[sightline()], sky="clear")
    assert found["verdict"].startswith(
        "Seldom: Bank → Stump, at least one stay in good light on 1 of"
    )
    assert found["worth"] == []
    own = known(
        log_of({"Stump": some(1, 12)}),
        sightlines=[sightline()],
        sky="clear",
        settings={"worth_share": 0.05},
    )
    assert own["verdict"].startswith("Worth it: ")
    assert own["worth"] == ["clear"]


def test_at_dusk_its_coming_is_held_against_the_last_shutter() -> None:
    log = LogBook("Stump")
    for number, on in enumerate(years(8)):
        late = (sunset_s(on) - sunrise_s(on)) / 60
        watch = log.watch(on, late - 190, late + 60, in_the_dark=True)
        at = late - 60 if number < 3 else late + 45
        log.seen(watch, on, at, at + 5)
    found = known(log, session="dusk", sightlines=[sightline(light_wanted="any")], sky="clear")
    (line,) = found["sightlines"]
    until = line["arrivals"][0]["clear"]["clock"]
    assert line["left"] == f"it came only after {until} on 5 of the 8 watched dusks it came"
    assert line["presence_counts"]["k"] == 3
    assert line["presence"].endswith("on 3 of 8 dusks when that light was watched (90 %: 15–66 %)")
    assert beta.ppf([0.05, 0.95], 3.5, 5.5) == pytest.approx([0.15, 0.66], abs=0.005)


# Several animals.


def two_animals() -> tuple[LogBook, dict[str, Any]]:
    """A bird on the first three of ten mornings, another on the last two and the first."""
    log = log_of({"Stump": some(3, 10)})
    other = bird(id=ident("other"), name="Rail")
    for place in (0, 8, 9):
        on = years(10)[place]
        log.seen(log.watches[place]["id"], on, 120, 130, species=ident("other"))
    return log, other


def test_several_animals_are_taken_together_and_each_is_told() -> None:
    log, other = two_animals()
    also = [{"species": other, "presence": told(log, species=other)}]
    found = known(log, also=also, sightlines=[sightline()], sky="clear")
    (line,) = found["sightlines"]
    assert (line["presence_counts"]["k"], line["presence_counts"]["n"]) == (5, 10)
    assert line["presence"].startswith("Wren-sized bird or Rail: at least one stay")
    assert [one["species"] for one in line["each"]] == ["Wren-sized bird", "Rail"]
    assert "on 3 of 10 dawns" in line["each"][0]["presence"]
    assert "on 3 of 10 dawns" in line["each"][1]["presence"]
    assert line["stay"] is None
    assert line["each"][1]["stay"] == "usual stay 10 min"
    assert "they had left by" in line["left"]
    assert found["asked"]["also"] == ["Rail"]


def test_a_sightline_is_offered_for_those_it_is_not_barred_for() -> None:
    """Nearer than the keep-distance of one: not for that one, and its mornings do not count."""
    log, other = two_animals()
    shy = {**other, "keep_distance_open_m": 30}
    also = [{"species": shy, "presence": told(log, species=shy)}]
    found = known(log, also=also, sightlines=[sightline()], sky="clear")
    (line,) = found["sightlines"]
    assert "Not for Rail: 12 m is nearer than your keep-distance" in " ".join(line["against"])
    assert (line["presence_counts"]["k"], line["presence_counts"]["n"]) == (3, 10)
    assert line["presence"].startswith("Wren-sized bird: at least one stay")
    assert line["each"] == []
    own = known(
        log,
        also=[{"species": other, "presence": told(log, species=other)}],
        species=bird(keep_distance_open_m=30),
        sightlines=[sightline()],
        sky="clear",
    )
    (line,) = own["sightlines"]
    assert "Not for Wren-sized bird: 12 m is nearer" in " ".join(line["against"])
    assert line["presence"].startswith("Rail: at least one stay in good light on 3 of 10")
    none = known(log, also=also, species=bird(keep_distance_open_m=30), sightlines=[sightline()])
    assert none["sightlines"] == []
    barred = " ".join(none["barred"][0]["barred"])
    assert "12 m is nearer than your keep-distance of 30 m in the open." in barred


def test_a_sensitive_one_among_several_veils_the_card() -> None:
    log, other = two_animals()
    also = [{"species": {**other, "places": "medium"}, "presence": told(log, species=other)}]
    found = known(log, also=also, sightlines=[sightline()], discreet=True)
    assert found["title"]["code_name_only"]
    assert "Rail" not in str(found)
    assert "Wren-sized bird" not in str(found)
    assert found["sightlines"][0]["presence"].startswith("the animal: at least one stay")


def test_joined_is_every_morning_of_either() -> None:
    log, other = two_animals()
    one, two = (
        read_presence(presence_of(log.request(**parts))) for parts in ({}, {"species": other})
    )
    whole = joined([one, two]).mornings["dawn"][ident("Stump")]
    assert len(whole) == 10
    assert sum(bool(morning.stays) for morning in whole) == 5
    assert [len(morning.stays) for morning in whole if morning.date == years(10)[0]] == [2]
    assert joined([one]) is one


@pytest.mark.parametrize(
    ("also", "says"),
    [
        ({}, "also: must be a list"),
        ([3], "also[1]: is not an object with a species"),
        ([{}], "also[1].species: is missing"),
        ([{"species": bird()}], "also[1].species: stands among the animals already"),
        ([{"species": bird(id=ident("x")), "more": 1}], "also[1].more: is no part"),
        ([{"species": bird(id=ident("x")), "presence": {}}], "also[1].presence.anchoring: needs"),
    ],
)
def test_other_animals_are_checked(also: Any, says: str) -> None:
    assert says in refusal("outing_card", {**_plain(), "also": also})


def test_presence_drawn_from_another_log_is_refused() -> None:
    log, other = two_animals()
    elsewhere = LogBook("Stump")
    elsewhere.watch(date(2025, 7, 1), -20, 100)
    asked = {
        **_plain(),
        "presence": told(log),
        "also": [{"species": other, "presence": told(elsewhere, species=other)}],
    }
    assert "also[1].presence: is drawn from another log" in refusal("outing_card", asked)


def _plain() -> dict[str, Any]:
    from .cards import request

    return request(date=ON.isoformat())
