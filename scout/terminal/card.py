"""An outing card in the terminal: read from above, it says whether to get up, when, and where.

Not for: what a card says (the engine writes every sentence), or the page for printing.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scout.terminal.page import Page
from scout.terminal.strip import cells, hours, legend, utc_of

_INDENT = 3
_WIDEST_STRIP = 120
_SKIES = ("clear", "in and out", "overcast")
_TOLD_ELSEWHERE = ("sun clears the skyline", "sun goes behind the skyline")


def print_card(page: Page, card: Mapping[str, Any], *, details: bool = False) -> None:
    """Print a card from the engine's answer; `details`: also what its figures come from."""
    _head(page, card)
    _times(page, card)
    page.line()
    page.heading(card["verdict"])
    page.line(card["routine"])
    _sightlines(page, card, details)
    _rest(page, card)


def _head(page: Page, card: Mapping[str, Any]) -> None:
    title, asked = card["title"], card["asked"]
    page.heading(f"{title['site']} · {title['session']}, {title['day']} · {title['species']}")
    page.flowing((title["kit"], title["optic"]))
    wind = "wind not typed" if asked["wind"] is None else f"wind {asked['wind']}, as typed"
    sky = "sky not typed: three shown" if asked["sky"] is None else f"sky {asked['sky']}, as typed"
    page.flowing((wind, sky, f"wanted: {asked['behaviour']} {asked['shutter']}"))
    for remark in card["session"]["remarks"]:
        page.line(remark)
    page.line()


def _times(page: Page, card: Mapping[str, Any]) -> None:
    shutters = tuple(f"{one['shutter']} " for one in card["arrivals"])
    page.flowing(
        f"{entry['at']['clock']} {entry['what']} ({entry['note']})"
        for entry in card["timeline"]
        if entry["what"] not in _TOLD_ELSEWHERE and not entry["what"].startswith(shutters)
    )
    if not card["arrivals"]:
        return
    page.line()
    until = card["title"]["session"] == "dusk"
    page.table(
        (f"shutter reached {'until' if until else 'from'}", "clear", "sun out / in", "overcast"),
        (
            (
                f"{one['behaviour']} {one['shutter']}",
                _clock(one["clear"]),
                _both(one["sun out"], one["sun in"]),
                _clock(one["overcast"]),
            )
            for one in card["arrivals"]
        ),
    )
    if card["sightlines"]:
        first = card["sightlines"][0]
        page.line(f"at {first['name']}; {first['clears_words']}")


def _clock(moment: Mapping[str, str] | None) -> str:
    return "never" if moment is None else moment["clock"]


def _both(out: Mapping[str, str] | None, within: Mapping[str, str] | None) -> str:
    first, second = _clock(out), _clock(within)
    return first if first == second else f"{first} / {second}"


def _sightlines(page: Page, card: Mapping[str, Any], details: bool) -> None:
    if card["sightlines"]:
        page.line()
        page.line(legend(page.all_letters))
    for one in card["sightlines"]:
        page.line()
        _sightline(page, card, one, details)
    if card["barred"]:
        page.line()
        page.heading("Not offered")
        for one in card["barred"]:
            page.named(one["name"], " ".join(one["barred"]), _INDENT)


def _sightline(page: Page, card: Mapping[str, Any], one: Mapping[str, Any], details: bool) -> None:
    page.heading(f"{one['rank']:<{_INDENT}}{one['name']}")
    page.line(one["best_words"], _INDENT)
    _strip(page, card, one)
    facts = [one["line_words"], f"bad winds: {one['bad_winds']}", one["clears_words"]]
    if one["light_wanted"] != "any":
        facts.insert(0, f"{one['light_wanted']} light wanted")
    if card["asked"]["sky"] is None:
        good = ", ".join(f"{sky} {one['good_min'][sky]}" for sky in _SKIES)
        facts.insert(0, f"good minutes: {good}")
    page.flowing(facts, _INDENT)
    _presence(page, card, one)
    for name, key in (("for it", "for"), ("against it", "against"), ("mind", "notes")):
        if one[key]:
            page.named(name, " ".join(one[key]), _INDENT)
    if details:
        for sentence in one["details"]:
            page.named("detail", sentence, _INDENT)


def _presence(page: Page, card: Mapping[str, Any], one: Mapping[str, Any]) -> None:
    """What the log says of the animal here: the headline first, sums of minutes last."""
    if one["presence"] is None:
        return
    page.line(one["presence"], _INDENT)
    page.flowing([one[key] for key in ("stay", "left", "expected") if one[key]], _INDENT)
    for animal in one["each"]:
        said = [animal[key] for key in ("presence", "stay", "left") if animal[key]]
        page.flowing(said, _INDENT)
    if one["marks"]:
        seen, blank = ("●", "○") if page.all_letters else ("#", "o")
        row = "".join(seen if mark else blank for mark in one["marks"])
        session = card["title"]["session"]
        page.line(f"each watched {session}, earliest by the sun first, {seen} seen: {row}", _INDENT)


def _strip(page: Page, card: Mapping[str, Any], one: Mapping[str, Any]) -> None:
    sky = card["asked"]["ranked_by_sky"]
    stretches = one["stretches"]["sun out" if sky == "in and out" else sky]
    if not stretches:
        return
    start, end = utc_of(stretches[0]["from"]), utc_of(stretches[-1]["to"])
    width = min(_WIDEST_STRIP, page.width - _INDENT - 2)
    before = " " * _INDENT
    page.exactly(f"{before} {hours(start, end, width, card['title']['zone'])}")
    page.exactly(f"{before}[{cells(stretches, start, end, width, page.all_letters)}]")


def _rest(page: Page, card: Mapping[str, Any]) -> None:
    page.line()
    if card["walk_in"] is not None:
        page.named("Walk-in", card["walk_in"]["words"])
    page.named("", card["permission"])
    if card["access"]:
        page.named("Access", card["access"])
    for title, key in (("Cautions", "cautions"), ("Not known", "not_known")):
        if card[key]:
            page.line()
            page.heading(title)
            for sentence in card[key]:
                page.named("", sentence, _INDENT)
