"""Cards and maps of the sample folder, made once for the tests of the paper page."""

from __future__ import annotations

import copy
import functools
from datetime import date
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from scout.engine.calls import call
from scout.notebook.asking import card_request
from scout.notebook.folder import read_folder

SAMPLE = Path(__file__).parents[2] / "sample_site"
MADE = "24 Nov 2026, 21:40"
Record = dict[str, Any]

# A name per case: site, species, kit, day, session, and what was typed.
ASKED: dict[str, tuple[str, str, str, str, str, Record]] = {
    "may": ("pellwick", "stonechat", "long-zoom", "2026-05-12", "dawn", {}),
    "winter": (
        "pellwick",
        "stonechat",
        "short-prime",
        "2026-12-20",
        "dawn",
        {"sky": "clear", "wind": "SW 3"},
    ),
    "dusk": ("pellwick", "roe-deer", "long-zoom", "2026-09-12", "dusk", {"wind": "NE 2"}),
    "grey": (
        "pellwick",
        "little-egret",
        "long-zoom",
        "2026-06-20",
        "dawn",
        {"sky": "overcast", "wind": "N 4"},
    ),
    "secret": (
        "hobthorn",
        "otter",
        "long-zoom",
        "2026-05-12",
        "dusk",
        {"discreet": True, "wind": "SW 3"},
    ),
    "secret dawn": ("hobthorn", "roe-deer", "long-zoom", "2026-10-03", "dawn", {"discreet": True}),
    "told": ("hobthorn", "otter", "long-zoom", "2026-05-12", "dusk", {}),
}


@functools.cache
def _folder() -> Any:
    return read_folder(SAMPLE)


def request(name: str) -> Record:
    """Return the request of a case."""
    site, species, kit, day, session, typed = ASKED[name]
    folder = _folder()
    ids = {word: ident for ident, word in folder.words.items()}
    return card_request(
        folder.records,
        site=ids[site],
        species=ids[species],
        kit=ids[kit],
        on=date.fromisoformat(day),
        session=session,
        **typed,
    )


@functools.cache
def _answered(name: str) -> tuple[Record, Record]:
    asked = crowded_request() if name == "crowded" else request(name)
    card, land = call("outing_card", asked), call("site_map", asked)
    assert "error" not in card, card
    assert "error" not in land, land
    return card, land


def card_and_map(name: str) -> tuple[Record, Record]:
    """Return copies of the card and the map of a case; "crowded" has ten sightlines open."""
    return copy.deepcopy(_answered(name))


def crowded_request() -> Record:
    """Return a request in which every vantage looks at many perches at a bold, large animal."""
    asked = request("may")
    asked["species"] |= {"length_m": 1.2, "keep_distance_open_m": 2, "keep_distance_hide_m": 2}
    asked["kit"]["iso_ceiling"] = 102400
    for perch in asked["perches"]:
        perch.pop("closed", None)
    for vantage in asked["vantages"]:
        vantage.pop("usable", None)
    known = {(line["vantage"], line["perch"]) for line in asked["sightlines"]}
    for vantage in asked["vantages"]:
        for perch in asked["perches"]:
            if (vantage["id"], perch["id"]) not in known and len(asked["sightlines"]) < 14:
                word = f"line-{vantage['id']}-{perch['id']}"
                asked["sightlines"].append(
                    {
                        "id": str(uuid5(NAMESPACE_URL, word)),
                        "vantage": vantage["id"],
                        "perch": perch["id"],
                        "light_wanted": "any",
                    }
                )
    return asked


def every_text(value: Any, text: str) -> Any:
    """Replace the free texts of a card or a map, leaving what is computed from."""
    kept = {"state", "sky", "ranked_by_sky", "utc", "clock", "session", "date", "zone", "id"}
    kept |= {"vantage", "perch", "course", "kind", "cover", "animal", "shutter", "letter"}
    if isinstance(value, dict):
        return {
            name: one
            if name in kept and isinstance(one, str) and name not in ("vantage_name",)
            else every_text(one, text)
            for name, one in value.items()
        }
    if isinstance(value, list):
        return [every_text(one, text) for one in value]
    return text if isinstance(value, str) else value
