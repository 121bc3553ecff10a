"""A page by code name alone: no place, no animal, no map and no position is on it."""

from __future__ import annotations

from typing import Any

import pytest

from scout.engine.calls import call
from scout.server.paper import paper_name, paper_page

from .pages import MADE, Record, card_and_map, request
from .paper import PAPERS

# What must not leave the notebook with a discreet page, read from the records themselves.
SECRETS = ("hobthorn", "dean", "otter", "russet", "withheld", "keeper", "lay-by", "leaning", "oak")


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("mark", ["low", "medium", "high", "withheld"])
def test_an_animal_of_any_class_but_open_is_neither_named_nor_mapped(mark: str, paper: str) -> None:
    asked = request("may") | {"discreet": True}
    asked["species"] = asked["species"] | {"places": mark}
    card, land = call("outing_card", asked), call("site_map", asked)
    said = paper_page(card, land, MADE, paper)
    assert land["withheld"] is True
    assert "Code name only" in said
    for secret in (asked["species"]["name"], "Pellwick", "Bramble", "Pump house"):
        assert secret.lower() not in said.lower()
    asked["species"] = asked["species"] | {"places": "open"}
    card, land = call("outing_card", asked), call("site_map", asked)
    assert "Pump house" in paper_page(card, land, MADE, paper)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["secret", "secret dawn"])
def test_discreet_page_names_no_place_and_no_animal(name: str, paper: str) -> None:
    asked = request(name)
    card, _ = card_and_map(name)
    # Even the full map must not get onto it.
    land = call("site_map", {**asked, "discreet": False})
    assert land["withheld"] is False
    text = paper_page(card, land, MADE, paper)
    assert text == paper_page(card, None, MADE, paper)
    assert "Slate" in text
    low = text.lower()
    for secret in (*SECRETS, *names_in(asked)):
        assert secret.lower() not in low, secret
    for number in positions_in(asked):
        for digits in (3, 4, 5):
            assert f"{abs(number):.{digits}f}" not in text
    assert paper_name(card) in ("slate-2026-05-12-dusk.html", "slate-2026-10-03-dawn.html")


def names_in(asked: Record) -> list[str]:
    """Return every name, id and free text of a request's places that a reader could recognise."""
    found = [asked["site"]["name"], asked["site"]["id"], asked["species"]["name"]]
    found += [asked["site"][text] for text in ("access", "cautions")]
    for name in ("perches", "vantages", "landmarks"):
        for one in asked[name]:
            found += [one["name"], one["id"], *([one["note"]] if one.get("note") else [])]
    found += [one["id"] for one in asked["sightlines"]]
    for one in asked["permissions"]:
        found += [one[text] for text in ("from_whom", "for_what", "conditions", "reference")]
    return found


def positions_in(value: Any) -> list[float]:
    """Return every latitude and longitude in a request."""
    if isinstance(value, dict):
        here = [value[name] for name in ("lat", "lon") if isinstance(value.get(name), int | float)]
        return here + [one for part in value.values() for one in positions_in(part)]
    if isinstance(value, list):
        return [one for part in value for one in positions_in(part)]
    return []


def test_the_same_place_told_openly_would_be_caught() -> None:
    """The search above can fail: the page made without discretion holds what it looks for."""
    card, land = card_and_map("told")
    low = paper_page(card, land, MADE).lower()
    assert "hobthorn" in low
    assert "otter" in low


def test_withheld_map_is_no_map() -> None:
    card, _ = card_and_map("may")
    assert paper_page(card, {"withheld": True}, MADE) == paper_page(card, None, MADE)
