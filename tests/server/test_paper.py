"""The paper page is one well-formed file that says what the card says, and no more than it may."""

from __future__ import annotations

import itertools
import re
from datetime import datetime, timedelta
from typing import Any
from xml.etree import ElementTree as Tree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.engine.calls import call
from scout.engine.cautions import ALWAYS
from scout.server.clipped import clipped, fitted, shortened
from scout.server.layout import lines_of, reasons_in
from scout.server.paper import paper_name, paper_page
from scout.server.sheet_sizes import SHEETS

from .pages import ASKED, MADE, Record, card_and_map, every_text, request

SVG = "{http://www.w3.org/2000/svg}"
PAPERS = ("A4", "A5")
CASES = (*ASKED, "crowded")
NASTY = "<script>alert('x')</script>\"&amp;' ]]> <!-- \x00\x0b --> }} {% raw %} ‮" * 7
OPEN_CASES = [name for name in CASES if not name.startswith("secret")]
CASE_OF_SKY = {"clear": ["clear"], "in and out": ["sun out", "sun in"], "overcast": ["overcast"]}


def page(name: str, paper: str = "A4") -> str:
    return paper_page(*card_and_map(name), MADE, paper)


def parsed(text: str) -> Tree.Element:
    """Read a page as XML: stricter than any browser reads it."""
    head, body = text.split("\n", 1)
    assert head == "<!DOCTYPE html>"
    return Tree.fromstring(body)


def words(tree: Tree.Element) -> str:
    """Return the words of a page, as a person would read them."""
    return " ".join(" ".join(tree.itertext()).replace("\u00a0", " ").split())


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", CASES)
def test_is_well_formed_and_asks_for_nothing(name: str, paper: str) -> None:
    text = page(name, paper)
    tree = parsed(text)
    for element in tree.iter():
        assert element.tag.split("}")[-1] not in {
            "script",
            "link",
            "img",
            "iframe",
            "object",
            "use",
        }
        for attribute in element.attrib:
            assert not re.match(r"on|src|href|.*\}href", attribute), attribute
    addresses = set(re.findall(r"[a-z]+://[^\s\"'<]+", text))
    assert addresses == {"http://www.w3.org/2000/svg"}
    assert set(re.findall(r"url\([^)]*\)", text)) <= {"url(#stipple)", "url(#hatch)"}
    assert "@import" not in text
    faces = re.findall(r"@font-face \{[^}]*src: ([^;]*)", text)
    assert faces
    assert all(re.fullmatch(r'local\("[^"]+"\)', face) for face in faces), faces


@pytest.mark.parametrize("paper", PAPERS)
def test_nasty_texts_stay_texts(paper: str) -> None:
    card, land = card_and_map("may")
    tree = parsed(paper_page(every_text(card, NASTY), every_text(land, NASTY), NASTY, paper))
    assert not [element for element in tree.iter() if element.tag.split("}")[-1] == "script"]
    assert "<script>alert" in words(tree)
    assert not re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", words(tree))


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


def test_hours_stand_at_their_time() -> None:
    card, land = card_and_map("may")
    tree = parsed(paper_page(card, land, MADE))
    line = card["sightlines"][0]
    svg = next(
        svg for svg in tree.iter(f"{SVG}svg") if svg.get("aria-label") == f"Light on {line['name']}"
    )
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
    card, land = card_and_map("may")
    tree = parsed(paper_page(card, land, MADE))
    line = card["sightlines"][0]
    svg = next(
        svg for svg in tree.iter(f"{SVG}svg") if svg.get("aria-label") == f"Light on {line['name']}"
    )
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


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", OPEN_CASES)
def test_says_what_the_card_says(name: str, paper: str) -> None:
    card, land = card_and_map(name)
    said = words(parsed(paper_page(card, land, MADE, paper)))
    for part in (card["title"]["site"], card["title"]["day"], MADE, f"engine {card['engine']}"):
        assert part in said
    for entry in card["timeline"]:
        assert entry["at"]["clock"] in said
    for row in card["arrivals"]:
        assert row["shutter"] in said
        for case in ("clear", "sun out", "sun in", "overcast"):
            assert row[case] is None or row[case]["clock"] in said
    for line in card["sightlines"]:
        assert line["name"] in said
        if any(line["good_min"].values()) and line["rank"] <= 10:
            assert f"{line['line']['bearing_deg']}° " in said
    names = [line["name"] for line in card["barred"] if line["name"] in said]
    rest = len(card["barred"]) - len(names)
    assert len(names) >= min(3, len(card["barred"]))
    assert not rest or f"{rest} more in the notebook" in said
    for legend in ("too dark", "shutter reached, other light", "sun, shutter not reached", "good"):
        assert legend in said


@pytest.mark.parametrize("name", [name for name in CASES if name != "crowded"])
def test_no_caution_is_lost_on_a4(name: str) -> None:
    card, land = card_and_map(name)
    said = words(parsed(paper_page(card, land, MADE)))
    for caution in card["cautions"]:
        assert caution in said


def test_on_a5_what_always_holds_moves_to_the_back_and_is_not_lost() -> None:
    card, land = card_and_map("may")
    tree = parsed(paper_page(card, land, MADE, "A5"))
    (behind,) = [one for one in tree.iter("section") if one.get("class") == "always"]
    (front,) = [one for one in tree.iter("section") if one.get("class") == "going"]
    for one in ALWAYS:
        assert one in words(behind)
        assert one not in words(front)
    for caution in card["cautions"]:
        assert caution in words(tree)
    # A caution of the place comes before the light, for it is read on the way there.
    text = words(tree)
    assert text.index(card["cautions"][0]) < text.index("Sightlines in order")


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", OPEN_CASES)
def test_what_is_owed_to_the_animal_stands_with_every_sightline_shown(
    name: str, paper: str
) -> None:
    """Keep-distances and reactions: common practice of fieldcraft, no source."""
    card, land = card_and_map(name)
    minded = REACTED if name == "may" else ""
    for line in card["sightlines"]:
        line["notes"] = ["Nearer than your open keep-distance: only from the hide, and settled."]
        line["against"] = [*line["against"], *([minded] if minded else [])]
    tree = parsed(paper_page(card, land, MADE, paper))
    shown = [one for one in tree.iter("article")]
    assert shown
    for article in shown:
        assert "only from the hide, and settled." in words(article)
        assert minded in words(article)
    named = re.findall(
        r"Also, in order: (.*?) (?:Barred|Always|Cautions|Walk-in|Made)", words(tree)
    )
    for others in named:
        for other in others.split(" · "):
            assert other.endswith("(hide only)") or other.startswith("…")


REACTED = "2 reactions in 14 days, the last at 30 m."


def test_a_sightline_that_is_only_named_says_that_animals_noticed() -> None:
    card, land = card_and_map("crowded")
    for line in card["sightlines"]:
        line["notes"] = []
        line["against"] = [REACTED]
    said = words(parsed(paper_page(card, land, MADE, "A5")))
    assert "(animals noticed)" in said


@given(
    st.lists(st.text("abc def", min_size=1, max_size=150), min_size=1, max_size=8),
    st.lists(st.text("ghi jkl", min_size=1, max_size=150), max_size=4),
    st.integers(1, 9),
)
def test_what_is_owed_is_never_cut(said: list[str], owed: list[str], lines: int) -> None:
    sheet = SHEETS["A5"]
    whole = [said[0], *owed, *said[1:]]
    kept = reasons_in(sheet, whole, lines, owed)
    assert kept[: 1 + len(owed)] == whole[: 1 + len(owed)]
    most = max(lines, lines_of(whole[: 1 + len(owed)], sheet.reason) + 1)
    assert lines_of(kept, sheet.reason) <= most


@pytest.mark.parametrize("paper", PAPERS)
def test_distances_at_the_edge_are_from_where_one_stands_as_in_the_cautions(paper: str) -> None:
    card, land = card_and_map("may")
    (hazard,) = [one for one in card["cautions"] if one.startswith("Hazard Soft edge")]
    far = re.search(r"(\d+) m from the vantage", hazard)
    assert far is not None
    said = words(parsed(paper_page(card, land, MADE, paper)))
    assert f"Soft edge {far[1]} m" in said
    assert "at the edge: m from Pump house" in said


@pytest.mark.parametrize("name", CASES)
def test_a_caution_that_has_no_room_on_the_front_of_a5_stands_on_the_back(name: str) -> None:
    card, land = card_and_map(name)
    tree = parsed(paper_page(card, land, MADE, "A5"))
    (front,) = [one for one in tree.iter("section") if one.get("class") == "going"]
    cautions = next(one for one in front if one.get("class") == "c2")
    assert "more in the notebook" not in words(cautions)
    for caution in card["cautions"]:
        assert caution[:100] in words(tree)


def test_crowded_card_has_ten_sightlines_open() -> None:
    card, _ = card_and_map("crowded")
    assert len(card["sightlines"]) >= 10


@pytest.mark.parametrize("name", OPEN_CASES)
def test_map_shows_its_marks(name: str) -> None:
    card, land = card_and_map(name)
    tree = parsed(paper_page(card, land, MADE))
    svg = next(
        svg for svg in tree.iter(f"{SVG}svg") if svg.get("aria-label", "").startswith("Sketch")
    )
    told = [text.text or "" for text in svg.iter(f"{SVG}text")]
    assert "N" in told
    assert any(re.fullmatch(r"[125]0* m|0\.[125] m", text) for text in told)
    strokes = [one for one in svg.iter(f"{SVG}path") if one.get("data-rank")]
    assert strokes
    ranks = {str(line["rank"]) for line in card["sightlines"]}
    assert {one.get("data-rank") for one in strokes} <= ranks
    width, height = (float(n) for n in svg.get("viewBox", "").split()[2:])
    for text in svg.iter(f"{SVG}text"):
        assert 0 <= float(text.get("x", "")) <= width
        assert 0 <= float(text.get("y", "")) <= height


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


def test_other_paper_is_refused() -> None:
    card, land = card_and_map("may")
    with pytest.raises(ValueError, match="A4 or A5"):
        paper_page(card, land, MADE, "A3")


@pytest.mark.parametrize(
    ("site", "name"),
    [
        ("Pellwick Meadows", "pellwick-meadows-2026-05-12-dawn.html"),
        ("Übersee / ../etc", "ubersee-etc-2026-05-12-dawn.html"),
        ("…", "site-2026-05-12-dawn.html"),
        ("x" * 500, f"{'x' * 40}-2026-05-12-dawn.html"),
    ],
)
def test_file_name_is_plain(site: str, name: str) -> None:
    card, _ = card_and_map("may")
    card["title"]["site"] = site
    assert paper_name(card) == name


def test_a_session_that_does_not_come_is_still_a_page() -> None:
    """Far north in June there is no dawn; the page says so."""
    asked = request("may")
    asked["date"] = "2026-06-21"
    asked["site"]["centre"] = {"lat": 80.0, "lon": 15.0}
    for name in ("perches", "vantages", "landmarks"):
        for one in asked[name]:
            one["position"] = {
                "lat": 80.0 + (one["position"]["lat"] - 52.87),
                "lon": 15.0 + (one["position"]["lon"] + 0.47),
            }
    card, land = call("outing_card", asked), call("site_map", asked)
    assert "error" not in card
    parsed(paper_page(card, land, MADE))


def test_a_site_without_sightlines_is_still_a_page() -> None:
    asked = {**request("may"), "sightlines": [], "perches": [], "measurements": []}
    card, land = call("outing_card", asked), call("site_map", asked)
    said = words(parsed(paper_page(card, land, MADE)))
    assert "No sightline here yet" in said


@given(st.text(max_size=400), st.integers(2, 120))
def test_clipped_is_never_too_long(text: str, most: int) -> None:
    found = clipped(text, most)
    assert len(found) <= most
    assert found.isprintable()


@given(
    st.lists(st.text("abc def", max_size=200), max_size=12), st.integers(10, 80), st.integers(2, 14)
)
def test_fitted_keeps_its_lines_and_counts_the_rest(
    texts: list[str], letters: int, lines: int
) -> None:
    found = fitted(texts, letters, lines)
    spoken = [text for text in texts if text.strip()]
    counted = re.fullmatch(r"… (\d+) more in the notebook", found[-1]) if found else None
    kept = len(found) - (counted is not None)
    assert kept + (int(counted[1]) if counted else 0) == len(spoken)
    used = sum(-(-len(one) // letters) for one in found[:kept]) + (counted is not None)
    assert used <= lines


@pytest.mark.parametrize(
    ("text", "short"),
    [
        ("sun clears the trees 06:16 ± 3 min (aimed, once)", "sun clears the trees 06:16 ± 3 min"),
        ("a of b; c long; d longer, e in the end", "a of b; … e in the end"),
        ("short (kept)", "short (kept)"),
        ("one clause that is long but has no other clause", None),
    ],
)
def test_shortened_spares_what_can_be_spared(text: str, short: str | None) -> None:
    assert shortened(text, 18) == (text if short is None else short)
