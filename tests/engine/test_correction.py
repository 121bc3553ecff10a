"""Readings taken at a site move the light of the card, once, and only where they are alike."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from scout.engine.calls import call

from .cards import bird, card, ident, kit, only, request


def modelled(at: str, **parts: Any) -> float:
    """Return the model's own EV on the perch's lit side at a time [EV at ISO 100]."""
    asked = request(date=at[:10], **parts)
    del asked["session"]
    asked["sightline"] = asked["sightlines"][0]["id"]
    rows = call("light_day", asked)["rows"]
    near = min(rows, key=lambda row: abs(when(row["at"]["utc"]) - when(at)))
    return float(near["ev100"]["clear"])


def when(text: str) -> float:
    return datetime.fromisoformat(text.replace("Z", "+00:00")).timestamp()


def readings(off_ev: float, times: list[str], **parts: Any) -> list[dict[str, Any]]:
    return [
        {
            "id": ident(f"reading {number}"),
            "site": ident("site"),
            "perch": ident("Stump"),
            "facing_deg": 90,
            "at": at,
            "ev100": round(modelled(at) + off_ev, 2),
            "sky": "clear",
            **parts,
        }
        for number, at in enumerate(times)
    ]


# The light of the half hour, so that the reading stands beside a row of the day's table.
HALF_HOURS = ["2026-05-08T05:30:00Z", "2026-05-09T05:30:00Z", "2026-05-10T05:30:00Z"]


def chosen(light_readings: list[dict[str, Any]], **parts: Any) -> tuple[float, dict[str, Any]]:
    """Return the clear sky's correction and the card's line, the sun well up."""
    asked = {"species": bird(perched_s=1 / 3200), "kit": kit(iso_ceiling=2500), **parts}
    line = only(card(light_readings=light_readings, **asked))
    return line["light"]["correction_ev"]["clear"], line


def test_three_alike_readings_move_the_light_by_their_median() -> None:
    correction, line = chosen(readings(-1.0, HALF_HOURS))
    assert correction == pytest.approx(-1.0, abs=0.1)  # the table prints a tenth
    assert any("site correction -1.0 stops" in words.replace("−", "-") for words in line["details"])
    _, plain = chosen([])
    assert line["good_min"]["clear"] < plain["good_min"]["clear"]


@pytest.mark.parametrize(
    ("times", "parts"),
    [
        (HALF_HOURS[:2], {}),
        (HALF_HOURS, {"sky": "overcast"}),
        (HALF_HOURS, {"leaf": "bare"}),
        (["2026-05-08T09:30:00Z", "2026-05-09T09:30:00Z", "2026-05-10T09:30:00Z"], {}),
    ],
)
def test_too_few_or_unlike_readings_move_nothing(times: list[str], parts: dict[str, Any]) -> None:
    assert chosen(readings(-1.0, times, **parts))[0] == 0.0


def test_the_same_leaves_are_never_counted_twice() -> None:
    """Readings under a canopy that was measured agree with the model: nothing is left over."""
    canopy = [{"id": ident("c"), "perch": ident("Stump"), "loss_ev": 2, "leaf": "in leaf"}]
    under = [{**one, "ev100": one["ev100"] - 2.0} for one in readings(0.0, HALF_HOURS)]
    correction, _ = chosen(under, canopies=canopy)
    assert correction == pytest.approx(0.0, abs=0.1)
    # Without the canopy the same readings are two stops of correction.
    assert chosen(under)[0] == pytest.approx(-2.0, abs=0.1)


def test_a_canopy_counts_in_its_own_leaf_alone() -> None:
    canopy = [{"id": ident("c"), "perch": ident("Stump"), "loss_ev": 2, "leaf": "bare"}]
    found = card(canopies=canopy)
    assert only(found)["light"]["canopy_loss_ev"] == 0
    assert "Stump: light under the leaves measured only in the other season." in found["not_known"]
    assert only(card(canopies=canopy, date="2026-04-12"))["light"]["canopy_loss_ev"] == 2
    # Of several measurings the median counts.
    three = [
        {**canopy[0], "id": ident(f"c{n}"), "loss_ev": n, "leaf": "in leaf"} for n in (1, 2, 6)
    ]
    assert only(card(canopies=three))["light"]["canopy_loss_ev"] == 2
