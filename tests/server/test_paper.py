"""The paper page is one well-formed file that says what the card says."""

from __future__ import annotations

import re

import pytest

from scout.engine.calls import call
from scout.engine.cautions import ALWAYS
from scout.server.paper import paper_name, paper_page

from .pages import MADE, card_and_map, every_text, request
from .paper import CASES, OPEN_CASES, PAPERS, SVG, page, parsed, words

NASTY = "<script>alert('x')</script>\"&amp;' ]]> <!-- \x00\x0b --> }} {% raw %} ‮" * 7


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
