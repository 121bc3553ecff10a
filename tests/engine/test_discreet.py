"""A card that leaves the notebook shows a sensitive place by its code name alone.

The sample folder's sensitive site is searched for in the JSON: every name, note and coordinate.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from scout.engine.calls import call_text
from scout.notebook.asking import card_request
from scout.notebook.folder import read_folder

from .cards import bird, card, ident, mammal, perch, permission, site, vantage, walk_in

FOLDER = Path(__file__).parents[2] / "sample_site"


def sensitive_requests() -> Iterator[tuple[str, dict[str, Any]]]:
    """Return a discreet request of every call that tells of a place, for the sensitive site."""
    records = read_folder(FOLDER).records
    (place,) = (one for one in records["site"].values() if one.sensitivity not in (None, "open"))
    kit = next(iter(records["kit"]))
    for species in sorted(records["species"]):
        for session, day in (("dawn", dt.date(2026, 5, 10)), ("dusk", dt.date(2026, 12, 1))):
            asked = card_request(
                records,
                site=place.id,
                species=species,
                kit=kit,
                on=day,
                session=session,
                discreet=True,
            )
            yield "outing_card", asked
            base = {name: part for name, part in asked.items() if name not in ("date", "session")}
            yield "choice_table", {"sites": [base], "first": day.isoformat(), "days": 2}
            line = base["sightlines"][0]["id"]
            yield "light_day", {**base, "date": day.isoformat(), "sightline": line}
            yield "site_map", asked


REQUESTS = list(sensitive_requests())


def secrets(asked: dict[str, Any]) -> set[str]:
    """Return every free text and coordinate of a request, code names left out."""
    records = read_folder(FOLDER).records
    allowed = {
        value
        for kind in ("site", "perch", "vantage")
        for one in records[kind].values()
        if (value := one.code_name)
    }
    allowed |= {one.name for one in records["kit"].values()}
    found: set[str] = set()

    def collect(part: Any, name: str) -> None:
        if isinstance(part, dict):
            for key, value in part.items():
                collect(value, key)
        elif isinstance(part, list):
            for value in part:
                collect(value, name)
        elif isinstance(part, str) and name in TEXTS:
            found.add(part)
            # A note may leak by one of its sentences.
            found.update(words for words in part.split(". ") if len(words) > 12)
        elif isinstance(part, float) and name in ("lat", "lon"):
            # To three decimals: a hundred metres.
            found.update({f"{part:.3f}", f"{abs(part):.3f}", str(part)})

    for part in asked.get("sites", [asked]):
        collect({k: v for k, v in part.items() if k not in ("kit", "wind", "sky")}, "")
    return {text for text in found if text not in allowed and text.strip()}


TEXTS = frozenset(
    {"name", "code_name", "access", "cautions", "note", "why", "from_whom", "for_what"}
    | {"conditions", "reference", "by", "made_from", "behaviour"}
)
# Words of the trade that stand in such a field and on every card.
PLAIN = frozenset({"perched", "feeding", "true", "magnetic"})


@pytest.mark.parametrize("number", range(len(REQUESTS)))
def test_no_name_note_or_coordinate_of_a_sensitive_site(number: int) -> None:
    name, asked = REQUESTS[number]
    text = json.dumps(json.loads(call_text(name, json.dumps(asked))), ensure_ascii=False)
    assert "error" not in json.loads(text)
    hidden = secrets(asked)
    assert len(hidden) > 20
    told = sorted(secret for secret in hidden if secret.lower() in text.lower())
    assert [secret for secret in told if secret not in PLAIN] == []


def test_the_search_does_find_them_in_an_open_card() -> None:
    name, asked = REQUESTS[0]
    text = call_text(name, json.dumps({**asked, "discreet": False}))
    plain = json.dumps(json.loads(text), ensure_ascii=False)
    assert sum(secret in plain for secret in secrets(asked)) > 5


def test_figures_are_the_same_with_and_without_names() -> None:
    _, asked = REQUESTS[0]
    shown, hidden = (
        json.loads(call_text("outing_card", json.dumps({**asked, "discreet": flag})))
        for flag in (False, True)
    )
    assert hidden["title"]["code_name_only"] is True
    assert shown["title"]["code_name_only"] is False
    by_id = {one["id"]: one for one in shown["sightlines"] + shown["barred"]}
    for one in hidden["sightlines"] + hidden["barred"]:
        for part in ("good_min", "stretches", "arrivals", "clears", "line", "light"):
            assert one[part] == by_id[one["id"]][part]


@pytest.mark.parametrize(
    "parts",
    [
        {"site": site(sensitivity="high")},
        {"species": bird(places="low")},
        {"perches": [perch(sensitivity="withheld")]},
        {"vantages": [vantage(sensitivity="medium")]},
    ],
)
def test_the_strictest_of_all_that_stands_on_a_card_rules_it(parts: dict[str, Any]) -> None:
    found = card(discreet=True, **parts)
    text = json.dumps(found)
    assert found["title"]["code_name_only"] is True
    assert found["title"]["site"] == "withheld site"
    assert found["title"]["species"] == "the animal"
    for name in ("Sallow", "Stump", "Bank", "Wren"):
        assert name not in text
    assert found["sightlines"][0]["name"] == "vantage A → perch A"
    assert card(**parts)["title"]["site"] == "Sallow Flat"


def test_open_places_keep_their_names_when_asked_discreetly() -> None:
    found = card(discreet=True, site=site(sensitivity="open"))
    assert found["title"]["code_name_only"] is False
    assert found["title"]["site"] == "Sallow Flat"


def test_safety_is_not_hidden_with_the_names() -> None:
    hazard = {
        "id": ident("pit"),
        "site": ident("site"),
        "name": "Kelham shaft",
        "kind": "hazard",
        "position": {"lat": 52.1005, "lon": 0.2},
        "note": "Open shaft beside Kelham lane",
    }
    found = card(
        discreet=True,
        site=site(sensitivity="high", cautions="Kelham lane floods"),
        landmarks=[hazard],
        walk_ins=[walk_in(cautions="Past Kelham lock")],
        permissions=[permission(from_whom="Kelham estate", ends_on="2026-06-01")],
        species=mammal(),
    )
    assert "Kelham" not in json.dumps(found)
    said = found["cautions"]
    assert "This place has cautions of its own: read them in the notebook before going." in said
    assert "Walk-in: has cautions of its own, kept in the notebook." in said
    assert any(words.startswith("Hazard, ") and "from the vantage" in words for words in said)
    assert found["permission"] == "Permission from the owner, until 2026-06-01."
    # What bars still bars.
    lapsed = [permission(from_whom="Kelham estate", ends_on="2026-05-01")]
    barred = card(discreet=True, site=site(sensitivity="high"), permissions=lapsed)
    assert barred["permission"] == "Permission lapsed on 2026-05-01: ask again before going."
    assert barred["sightlines"] == []
