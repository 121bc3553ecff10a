"""An animal's habits in the terminal: a dawn, a dusk, what goes with it, what nobody has watched.

One mark a visit, never bars; every share as k of n. Not for: counting.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scout.terminal.page import Page

_INDENT = 3
_HALVES = {"dawn": "sunrise", "dusk": "sunset"}
_NOON = "solar noon"  # what is counted from where some day has no sunrise
_TALLIES = {"sky": "sky", "wind": "wind from", "month": "month"}


def print_routine(page: Page, said: Mapping[str, Any]) -> None:
    """Print the engine's answer."""
    title = said["title"]
    page.heading(
        " · ".join(part for part in (title["species"], title["site"], title["place"]) if part)
    )
    for warning in said["warnings"]:
        page.line(warning)
    page.line(said["anchoring"]["words"])
    kind = said["anchoring"]["kind"]
    for session, anchor in _HALVES.items():
        page.line()
        _half(page, said[session], session, kind if kind == _NOON else anchor)
    if said["curve"] is None:
        page.line()
        page.line(said["curve_words"])
    _tallies(page, said)
    _unwatched(page, said["unwatched"])


def _half(page: Page, half: Mapping[str, Any], session: str, anchor: str) -> None:
    page.heading(f"{session.capitalize()}: {half['words']}")
    if half["there"]["n"] == 0:
        return
    seen, blank = ("●", "○") if page.all_letters else ("#", "o")
    row = "".join(seen if mark["seen"] else blank for mark in half["marks"])
    page.line(f"each watched {session}, earliest by the sun first, {seen} seen: {row}", _INDENT)
    first, stay = half["first_arrival"], half["stay"]
    if first is not None:
        # Minutes of the mean day are not minutes of this one: where there is a clock it counts.
        at = f"{first['clock']} on this day"
        if first["clock"] is None:
            at = f"{_minutes(first['median_min'], anchor)} of the mean day"
        mornings = f"the {first['mornings']} watched {session}s it came"
        if first["mornings"] == 1:
            mornings = f"the one watched {session} it came"
        page.line(f"first comes {at}, the middle of {mornings}", _INDENT)
    if stay is not None:
        page.line(
            f"usual stay {_span(stay['median_s'])} "
            f"({_span(stay['low_s'])} to {_span(stay['high_s'])})",
            _INDENT,
        )
    page.line(half["holds"]["words"], _INDENT)
    page.table(
        ("from, in the mean day", "on this day", "there, of watched", "90 %"),
        (
            (
                _minutes(step["from_min"], anchor),
                step["clock"] or "",
                f"{step['k']} of {step['n']}",
                step["band"] + (" stands out" if step["from_min"] in half["stands_out"] else ""),
            )
            for step in half["steps"]
        ),
        indent=_INDENT,
    )


def _tallies(page: Page, said: Mapping[str, Any]) -> None:
    if any(said["tallies"].values()):
        page.line("On how many of the watched dawns and dusks it came, both together:")
    for key, name in _TALLIES.items():
        rows = said["tallies"][key]
        if rows:
            words = "; ".join(f"{row['word']} {row['words']}" for row in rows)
            page.named(name, words)
    if said["order"]:
        words = "; ".join(f"{one['from']} → {one['to']} {_times(one)}" for one in said["order"])
        page.named("which perch after which", words)


def _unwatched(page: Page, yet: Mapping[str, Any]) -> None:
    page.line()
    page.heading("What nobody has watched yet")
    if yet["why_not"]:
        page.line(yet["why_not"], _INDENT)
        return
    named = {"hours": "hours", "winds": "wind from", "skies": "sky", "where": "sit at any of"}
    lists = [(name, yet[key]) for key, name in named.items() if yet[key]]
    for name, items in lists:
        page.named(name, ", ".join(items), _INDENT)
    if not lists:
        page.line("Every hour, wind and sky has been watched at least once.", _INDENT)


def _times(one: Mapping[str, Any]) -> str:
    return "once" if one["times"] == 1 else f"{one['times']} times"


def _minutes(minutes: float, anchor: str) -> str:
    whole = round(minutes)
    if whole == 0:
        return f"at {anchor}"
    return f"{abs(whole)} min {'after' if whole > 0 else 'before'} {anchor}"


def _span(seconds: int) -> str:
    return f"{seconds} s" if seconds < 120 else f"{seconds // 60} min"
