"""The strips on paper: each state at its minutes, visits beneath, hours and sun at their time."""

from __future__ import annotations

import itertools
import re
from datetime import datetime, timedelta
from xml.etree import ElementTree as Tree

import pytest

from scout.server.paper import paper_page

from .pages import MADE, Record, card_and_map
from .paper import CASES, PAPERS, SVG, parsed

CASE_OF_SKY = {"clear": ["clear"], "in and out": ["sun out", "sun in"], "overcast": ["overcast"]}


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", CASES)
def test_strips_agree_with_the_stretches(name: str, paper: str) -> None:
    card, land = card_and_map(name)
    tree = parsed(paper_page(card, land, MADE, paper))
    sky = card["asked"]["sky"]
    lines = {line["name"]: line for line in card["sightlines"]}
    everyone = [*card["sightlines"], *card["barred"]]
    ends = sorted(
        datetime.fromisoformat(stretch[end]["utc"])
        for line in everyone
        for stretches in line["stretches"].values()
        for stretch in stretches
        for end in ("from", "to")
    )
    drawn = 0
    for svg in tree.iter(f"{SVG}svg"):
        label = svg.get("aria-label", "")
        if not label.startswith("Light on "):
            continue
        line = lines[label.removeprefix("Light on ")]
        skies = [sky] if sky else list(CASE_OF_SKY)
        cases = [group for group in svg.iter(f"{SVG}g") if group.get("data-case")]
        shown = [group.get("data-case") for group in cases]
        full = [case for one in skies for case in CASE_OF_SKY[one]]
        assert shown in (full, CASE_OF_SKY[card["asked"]["ranked_by_sky"]])
        for group in cases:
            cells = list(group.iter(f"{SVG}rect"))
            left, right = edges(svg)
            told = line["stretches"][str(group.get("data-case"))]
            # Cells lie end to end over the whole strip.
            for cell, after in itertools.pairwise(cells):
                end = float(cell.get("x", "")) + float(cell.get("width", ""))
                assert end == pytest.approx(float(after.get("x", "")), abs=0.021)
            for stretch in told:
                for end in ("from", "to"):
                    at = datetime.fromisoformat(stretch[end]["utc"])
                    inside = min(max(at, ends[0]), ends[-1])
                    share = (inside - ends[0]) / (ends[-1] - ends[0])
                    middle = at + timedelta(seconds=30 if end == "from" else -30)
                    x = left + (middle - ends[0]) / (ends[-1] - ends[0]) * (right - left)
                    assert 0.0 <= share <= 1.0
                    assert state_at(cells, x) == stretch["state"]
        drawn += 1
    worth = [line for line in card["sightlines"] if any(line["good_min"].values())]
    assert drawn >= min(10, len(worth))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", CASES)
def test_visits_stand_under_the_strip_and_never_in_it(name: str, paper: str) -> None:
    """One mark a watched morning in order of sun time: filled seen, open watched and blank."""
    card, land = card_and_map(name)
    tree = parsed(paper_page(card, land, MADE, paper))
    lines = {line["name"]: line for line in card["sightlines"]}
    rows = 0
    for svg in tree.iter(f"{SVG}svg"):
        line = lines.get(svg.get("aria-label", "").removeprefix("Light on "))
        for row in (one for one in svg.iter(f"{SVG}g") if one.get("class") == "visits"):
            assert line is not None
            marks = list(row.iter(f"{SVG}circle"))
            assert [mark.get("fill") == "#000" for mark in marks] == line["marks"]
            places = [float(mark.get("cx", "")) for mark in marks]
            assert places == sorted(places)
            left, right = edges(svg)
            assert left < places[0] <= places[-1] < right
            lowest = max(
                float(one.get("y", "")) + float(one.get("height", ""))
                for one in svg.iter(f"{SVG}rect")
            )
            assert all(float(one.get("cy", "")) > lowest for one in marks)
            told = f"{sum(line['marks'])} of {len(line['marks'])}"
            assert told in "".join(svg.itertext())
            rows += 1
    first = card["sightlines"][0]["marks"] if card["sightlines"] else []
    assert (rows > 0) is bool(first)  # the first is always in full


def edges(svg: Tree.Element) -> tuple[float, float]:
    """Return where the frame of a strip begins and ends [mm]."""
    frame = next(one for one in svg.iter(f"{SVG}rect") if one.get("fill") == "none")
    left = float(frame.get("x", ""))
    return left, left + float(frame.get("width", ""))


def first_strip() -> tuple[Record, Tree.Element]:
    """Answer the first sightline of the May card, and its strip."""
    card, land = card_and_map("may")
    tree = parsed(paper_page(card, land, MADE))
    line = card["sightlines"][0]
    label = f"Light on {line['name']}"
    return line, next(svg for svg in tree.iter(f"{SVG}svg") if svg.get("aria-label") == label)


def test_hours_stand_at_their_time() -> None:
    line, svg = first_strip()
    left, right = edges(svg)
    first, last = (line["stretches"]["clear"][place] for place in (0, -1))
    # British summer time in May: the clock is an hour ahead of UTC.
    start, end = (minutes(first["from"]["clock"]), minutes(last["to"]["clock"]))
    hours = [one for one in svg.iter(f"{SVG}text") if re.fullmatch(r"\d\d:00", one.text or "")]
    assert [one.text for one in hours] == ["04:00", "05:00", "06:00", "07:00", "08:00"]
    for one in hours:
        share = (minutes(one.text or "") - start) / (end - start)
        assert float(one.get("x", "")) == pytest.approx(left + share * (right - left), abs=0.02)


def minutes(clock: str) -> int:
    hours, rest = clock.split(":")
    return 60 * int(hours) + int(rest)


def state_at(cells: list[Tree.Element], x: float) -> str:
    """Return the state of the cell a point lies in, and check it is filled as the legend says."""
    fills = {"dark": "#fff", "sky light": "url(#stipple)", "sun": "url(#hatch)", "good": "#000"}
    for cell in cells:
        left = float(cell.get("x", ""))
        if left - 0.011 <= x <= left + float(cell.get("width", "")) + 0.011:
            state = cell.get("data-state", "")
            assert cell.get("fill") == fills[state]
            return state
    raise AssertionError(f"no cell at {x} mm")


def test_notch_stands_where_the_sun_clears_the_skyline() -> None:
    line, svg = first_strip()
    left, right = edges(svg)
    start = datetime.fromisoformat(line["stretches"]["clear"][0]["from"]["utc"])
    end = datetime.fromisoformat(line["stretches"]["clear"][-1]["to"]["utc"])
    per_minute = (right - left) / ((end - start).total_seconds() / 60)
    at = datetime.fromisoformat(line["clears"]["at"]["utc"])
    x = left + (at - start).total_seconds() / 60 * per_minute
    marks = {one.get("class"): one.get("d", "") for one in svg.iter(f"{SVG}path")}
    points = [float(number) for number in re.findall(r"[\d.]+", marks["notch"])]
    assert points[2] == pytest.approx(x, abs=0.02)
    bracket = [float(number) for number in re.findall(r"[\d.]+", marks["bracket"])]
    spread = line["clears"]["plus_minus_min"] * per_minute
    assert bracket[0] == pytest.approx(x - spread, abs=0.02)
    assert bracket[-2] == pytest.approx(x + spread, abs=0.02)
