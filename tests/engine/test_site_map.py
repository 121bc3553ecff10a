"""The site laid flat: distances against an independent geometry, figures against the card."""

from __future__ import annotations

import math
import re
from datetime import date
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.engine.calls import call
from scout.engine.site_map import scale_bar_m
from scout.notebook.asking import card_request
from scout.notebook.folder import read_folder

from . import cards
from .logs import LogBook

SAMPLE = Path(__file__).parents[2] / "sample_site"
Record = dict[str, Any]


def request(site: str = "pellwick", species: str = "stonechat", **typed: Any) -> Record:
    folder = read_folder(SAMPLE)
    ids = {word: ident for ident, word in folder.words.items()}
    return card_request(
        folder.records,
        site=ids[site],
        species=ids[species],
        kit=ids["long-zoom"],
        on=date(2026, 5, 12),
        session="dawn",
        **typed,
    )


def answered(asked: Record) -> Record:
    answer = call("site_map", asked)
    assert "error" not in answer, answer
    return answer


def cartesian(position: Record) -> tuple[float, float, float]:
    """Return earth-centred metres on WGS 84 (constants: NGA.STND.0036)."""
    a, f = 6_378_137.0, 1 / 298.257223563
    lat, lon = math.radians(position["lat"]), math.radians(position["lon"])
    n = a / math.sqrt(1 - f * (2 - f) * math.sin(lat) ** 2)
    return (
        n * math.cos(lat) * math.cos(lon),
        n * math.cos(lat) * math.sin(lon),
        n * (1 - f) ** 2 * math.sin(lat),
    )


def test_distances_are_those_of_the_pins() -> None:
    """Chords between the pins, worked out in three dimensions, agree within the printed 0.1 m."""
    asked = request()
    answer = answered(asked)
    given_at = {
        one["id"]: one["position"] for name in ("perches", "vantages") for one in asked[name]
    }
    pins = [*answer["perches"], *answer["vantages"]]
    assert len(pins) == len(given_at)
    for one, other in combinations(pins, 2):
        flat = math.hypot(one["east_m"] - other["east_m"], one["north_m"] - other["north_m"])
        chord = math.dist(cartesian(given_at[one["id"]]), cartesian(given_at[other["id"]]))
        assert flat == pytest.approx(chord, abs=0.15)


def test_east_is_right_and_north_is_up() -> None:
    asked = request()
    centre = asked["site"]["centre"]
    pins = {one["id"]: one["position"] for one in asked["perches"]}
    for pin in answered(asked)["perches"]:
        assert (pin["east_m"] > 0) == (pins[pin["id"]]["lon"] > centre["lon"])
        assert (pin["north_m"] > 0) == (pins[pin["id"]]["lat"] > centre["lat"])


@pytest.mark.parametrize("species", ["stonechat", "little-egret", "roe-deer"])
def test_figures_are_those_of_the_card(species: str) -> None:
    asked = request(species=species)
    card = call("outing_card", asked)
    on_card = {one["id"]: one["line"] for one in (*card["sightlines"], *card["barred"])}
    lines = answered(asked)["sightlines"]
    assert {one["id"] for one in lines} == set(on_card)
    for one in lines:
        for name in ("bearing_deg", "distance_m", "gap_m", "sky_behind"):
            assert one[name] == on_card[one["id"]][name], name
        assert one["figures"]["bearing"] == f"{one['bearing_deg']}°"
        assert one["figures"]["distance"] == f"{one['distance_m']:.0f} m"
        gap = one["figures"]["gap"]
        if one["gap_m"] is not None:
            shown = re.fullmatch(r"gap ([\d.]+) m", gap)
            assert shown is not None
            assert float(shown[1]) == pytest.approx(one["gap_m"], abs=0.51)
        else:
            assert gap == ("sky behind" if one["sky_behind"] else "gap ?")


def test_landmarks_have_letters_and_hazards_stand_apart() -> None:
    answer = answered(request())
    assert [one["letter"] for one in answer["landmarks"]] == ["A", "B", "C"]
    assert [one["name"] for one in answer["hazards"]] == ["Soft edge"]
    starts = {way["letter"] for way in answer["ways"]}
    yard = next(one for one in answer["landmarks"] if one["name"] == "Dray yard")
    assert starts == {yard["letter"]}


def test_bounds_hold_every_perch_and_vantage() -> None:
    answer = answered(request())
    bounds = answer["bounds"]
    for pin in (*answer["perches"], *answer["vantages"]):
        assert bounds["west_m"] <= pin["east_m"] <= bounds["east_m"]
        assert bounds["south_m"] <= pin["north_m"] <= bounds["north_m"]
    assert answer["scale_bar_m"] == scale_bar_m(bounds["east_m"] - bounds["west_m"])


def test_site_without_pins_has_bounds_all_the_same() -> None:
    bare: Record = {"perches": [], "vantages": [], "sightlines": [], "measurements": []}
    answer = answered({**request(), **bare})
    assert answer["bounds"] == {
        "west_m": -10.0,
        "east_m": 10.0,
        "south_m": -10.0,
        "north_m": 10.0,
    }


def test_order_of_the_records_does_not_matter() -> None:
    asked = request()
    turned = {
        name: value[::-1] if isinstance(value, list) else value for name, value in asked.items()
    }
    assert answered(turned) == answered(asked)


@pytest.mark.parametrize("species", ["otter", "stonechat"])
def test_sensitive_place_has_no_map_when_discreet(species: str) -> None:
    answer = answered(request("hobthorn", species, discreet=True))
    assert set(answer) == {"engine", "withheld"}
    assert answer["withheld"] is True


def test_open_place_has_a_map_when_discreet() -> None:
    assert answered(request(discreet=True)) == answered(request())


def test_bad_request_is_refused_in_sentences() -> None:
    asked = request()
    asked["site"]["centre"]["lat"] = 91
    answer = call("site_map", asked)
    assert "site.centre.lat: 91 is out of range" in " ".join(answer["error"]["sentences"])


@pytest.mark.parametrize(
    ("width", "bar"), [(20, 5), (39, 5), (40, 10), (130, 20), (200, 50), (3.9, 0.5), (8000, 2000)]
)
def test_scale_bar_is_round(width: float, bar: float) -> None:
    assert scale_bar_m(width) == bar


@given(st.floats(0.5, 1e6))
def test_scale_bar_fills_between_a_tenth_and_a_quarter(width: float) -> None:
    assert width / 10.0 * 0.999 <= scale_bar_m(width) <= width / 4.0 * 1.001


@pytest.mark.parametrize("width", [0.0, -1.0, math.inf, math.nan])
def test_scale_bar_of_no_width_is_refused(width: float) -> None:
    with pytest.raises(ValueError, match="width of a map"):
        scale_bar_m(width)


def test_a_perch_says_on_how_many_dawns_it_came() -> None:
    """Of its season where enough was watched in it, of the whole year else; null: never watched."""
    log = LogBook()
    for number in range(12):
        on = date(2025, 5 if number < 7 else 10, 5 + number)
        watch = log.watch(on, -20, 150)
        if number % 2:
            log.seen(watch, on, 60, 70)
    known = call("presence", log.request())
    del known["engine"]
    asked = {**cards.request(presence=known), "perches": [cards.perch(), cards.perch("Willow")]}
    by_name = {one["name"]: one["came"] for one in call("site_map", asked)["perches"]}
    assert by_name == {"Stump": {"k": 3, "n": 7}, "Willow": None}
    winter = call("site_map", {**asked, "date": "2026-01-10"})
    assert [one["came"] for one in winter["perches"] if one["name"] == "Stump"] == [
        {"k": 6, "n": 12}
    ]
    assert call("site_map", cards.request())["perches"][0]["came"] is None
